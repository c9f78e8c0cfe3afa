"""The bench and the tank in a real browser: by mouse, touch and keyboard, on a phone and at a desk."""

import re
import threading
from contextlib import contextmanager
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from sim.cli.forms import forms
from sim.design.load import load
from sim.disk import write_whole
from sim.page import app
from sim.page.app import Page
from sim.page.serve import serve
from tests.browser.fits import DESK, PHONE

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PATIENCE = 60_000  # ms; what has to be compiled or is beside other tests takes its time
SWUM = "#tank[data-swims]"
SHORT = ("[retrieve]\n", '[retrieve]\nduration = "3 s"\n')  # a hundred pulls go with each text of the design


@contextmanager
def served(page):
    """The address of a page that is served from a thread."""
    ready, address = threading.Event(), []

    def say(text):
        address.append(text)
        ready.set()

    threading.Thread(target=serve, args=(page, 0, say, False), daemon=True).start()
    assert ready.wait(30)
    yield address[0]
    page.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """Address and file of a served page, from a thread beside the tests."""
    folder = tmp_path_factory.mktemp("bench")
    file = folder / "lure.toml"
    file.write_text(
        (SCENARIOS / "cellar_door.toml").read_text(encoding="utf-8").replace(*SHORT), encoding="utf-8"
    )
    page = Page(folder, file, tmp_path_factory.mktemp("drafts"), write_whole, forms=forms())
    with served(page) as address:
        yield address, file


@pytest.fixture
def bench(server, window):
    """The page at a width, held still unless asked otherwise, with what it fetched and complained about."""
    pages = []

    def bench_(width, still=True):
        page = window(width, True, still).new_page()
        page.set_default_timeout(PATIENCE)
        page.fetched, page.complaints = [], []
        page.on("request", lambda request: page.fetched.append(request.url))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on("console", lambda line: page.complaints.append(line.text) if line.type == "error" else None)
        page.goto(server[0])
        page.wait_for_selector(SWUM)
        pages.append(page)
        return page

    yield bench_
    for page in pages:
        page.close()


def serious(page):
    """What axe finds serious with everything that can be opened open, and what sticks out of the page."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    found = [one["id"] for one in Axe().run(page).response["violations"]
             if one["impact"] in ("serious", "critical")]  # fmt: skip
    return found + (
        [] if page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1") else ["wide"]
    )


def ring(page, path, view="side"):
    return page.locator(f'[data-id="{path}"][data-view="{view}"]')


def taken_hold_of(page, path):
    """Where the mouse is that has pressed the middle of a ring."""
    box = ring(page, path).locator(".dot").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    return x, y


def text_of(page):
    return page.locator("textarea").input_value()


def undo(page):
    before = text_of(page)
    page.get_by_role("button", name="Undo").click()
    page.wait_for_function("before => document.querySelector('textarea').value !== before", arg=before)


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_it_opens_with_the_verdict_swims_and_asks_nobody_else(bench, server, keep_picture, width):
    page = bench(width, still=False)
    page.wait_for_function("() => document.querySelector('#tank input[type=range]').value > 0")
    assert page.locator("#verdict").inner_text().startswith("Floats, with 3.01")
    assert page.locator("#tank canvas").count() == 3
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    assert all(url.startswith((server[0], "data:")) for url in page.fetched)
    assert page.complaints == []
    keep_picture(page, f"bench_{width}")


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_first_start_shows_the_bench_at_once_and_says_what_is_compiled(
    window, tmp_path, monkeypatch, width
):
    """Compiled in two steps, each when it is let go on: what tells how it lies, then all else."""
    lies, swims = threading.Event(), threading.Event()

    def prepare(workers, told, first):
        assert lies.wait(60)
        told(9, 28)
        assert swims.wait(60)
        told(28, 28)

    monkeypatch.setattr(app, "prepare", prepare)
    monkeypatch.setattr(app, "is_compiled", lambda: False)
    monkeypatch.setattr(app, "waits_for", lambda files: not lies.is_set())
    file = tmp_path / "lure.toml"
    file.write_text((SCENARIOS / "cellar_door.toml").read_text(encoding="utf-8"), encoding="utf-8")
    with served(Page(tmp_path, file, tmp_path / "drafts", write_whole, forms=forms())) as address:
        page = window(width, True, True).new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.locator("#verdict", has_text=re.compile("^Floats, with 3.01.*compiled")).wait_for()
        page.locator("#tank", has_text="The solver is being compiled, once. ").wait_for()
        assert page.locator("#bench .body").count()
        assert not page.locator("#bench .surface").count()
        assert serious(page) == []
        ring(page, "tie_on.nose.at").focus()
        page.keyboard.press("ArrowUp")
        page.get_by_role("button", name="Undo").click(trial=True)  # once that is taken
        lies.set()
        page.locator("#verdict", has_text=re.compile("^Floats, with .* nose")).wait_for()
        page.locator("#tank", has_text="9 of 28 parts").wait_for()
        assert page.locator("#bench .surface").count()
        swims.set()
        page.wait_for_selector(SWUM)
        page.locator("#verdict", has_text="give or take").wait_for()
        page.close()


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_start_takes_the_makers_own_numbers_and_each_question_leads_to_its_answer(window, tmp_path, width):
    """As a new user: a hollow toy, told in five numbers, and what can be asked of it."""
    (tmp_path / "folder").mkdir()
    with served(Page(tmp_path / "folder", None, tmp_path / "drafts", write_whole, forms=forms())) as address:
        page = window(width, True, True).new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.locator("[data-start=found] summary").click()
        assert serious(page) == []
        numbers = {
            "length": "45 mm",
            "width": "33 mm",
            "height": "20 mm",
            "weight": "21 g",
            "cavity": "14 mL",
        }
        for label, text in numbers.items():
            page.locator("[data-start=found]").get_by_label(label, exact=True).fill(text)
        page.locator("[data-start=found]").get_by_role("button", name="Begin").click()
        page.wait_for_selector(SWUM)
        assert page.locator("#verdict").inner_text().startswith("Cannot be told")
        assert "`" not in page.locator("#verdict").inner_text()
        assert serious(page) == []
        page.locator('[data-path="body.main.displaced"]').evaluate(
            "(field) => { while ((field = field.parentElement)) if (field.open === false) field.open = true; }"
        )
        page.locator('[data-path="body.main.displaced"]').fill("28 +- 1 mL")
        page.locator('[data-path="body.main.displaced"]').press("Tab")
        page.locator("#verdict", has_text=re.compile("^Floats, with .* give or take")).wait_for()
        ask_at = page.get_by_role("navigation", name="Questions").get_by_role
        ask_at("button", name="How fast does it sink?").click()
        page.locator("#tank .words", has_text=re.compile("rises|floats", re.I)).first.wait_for()
        assert page.locator("#tank select").first.input_value() == "drop"
        ask_at("button", name="What to change?").click()
        page.wait_for_function("() => document.activeElement.id === 'remedy-want'")
        ask_at("button", name="Which eye?").click()
        page.locator("#bars .cells button:not([disabled])").first.wait_for()
        assert serious(page) == []
        page.close()


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_nothing_serious_stands_in_the_way_of_those_who_cannot_see_it(bench, width):
    page = bench(width)
    page.locator("#map .place[data-known]").first.wait_for()
    page.locator("[data-form=report]").wait_for()
    thing = form_of(page, "thing", weight="21 g", cavity="14 mL", material="pvc")
    thing.get_by_role("button", name="Ask").click()
    thing.locator(".answer .head").first.wait_for()
    page.get_by_role("button", name="Pin this one").click()
    assert serious(page) == []
    for kind in ("drop", "cast"):
        swims = page.locator("#tank").get_attribute("data-swims")
        page.locator("#tank select").first.select_option(kind)
        page.wait_for_function(f"() => document.querySelector('#tank').dataset.swims !== '{swims}'")
        assert serious(page) == []


def test_a_ring_dragged_by_the_mouse_changes_the_file_in_one_step(bench):
    page = bench(DESK)
    before, swims = text_of(page), page.locator("#tank").get_attribute("data-swims")
    x, y = taken_hold_of(page, "tie_on.lip.at")
    page.mouse.move(x + 12, y - 6, steps=4)
    page.mouse.up()
    page.wait_for_function("before => document.querySelector('textarea').value !== before", arg=before)
    apart = [b for a, b in zip(before.splitlines(), text_of(page).splitlines(), strict=True) if a != b]
    assert len(apart) == 1
    assert "back" in apart[0]
    page.wait_for_function(f"() => document.querySelector('#tank').dataset.swims !== '{swims}'")
    undo(page)
    assert text_of(page) == before
    assert page.complaints == []


PICTURES = """() => {
  const own = CanvasRenderingContext2D.prototype, clear = own.clearRect;
  window.pictures = 0;
  own.clearRect = function (...all) { window.pictures += 1; return clear.apply(this, all); };
}"""


def test_the_tank_is_drawn_only_while_it_swims_and_is_seen(bench):
    page = bench(DESK, still=False)
    page.evaluate(PICTURES)
    page.wait_for_function("() => pictures > 4")

    def drawn_meanwhile():
        page.wait_for_timeout(100)
        before = page.evaluate("pictures")
        page.wait_for_timeout(400)
        return page.evaluate("pictures") - before

    x, y = taken_hold_of(page, "tie_on.lip.at")
    for step in range(4):
        with page.expect_response("**/ask/attempt"):
            page.mouse.move(x + step + 1, y)
    assert drawn_meanwhile() == 0
    assert "before this change" in page.locator("#tank figcaption").first.inner_text()
    with page.expect_response("**/ask/attempt"):
        page.mouse.move(x, y)
    page.mouse.up()
    page.wait_for_function("() => !document.querySelector('#tank').classList.contains('stale')")
    assert drawn_meanwhile() > 0
    page.get_by_role("button", name="Hold still").click()
    assert drawn_meanwhile() == 0
    page.get_by_role("button", name="Swim").click()
    assert drawn_meanwhile() > 0
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    assert drawn_meanwhile() == 0


REDS = """() => {
  const canvas = document.querySelector("#tank canvas"), wide = canvas.width >> 2;
  const { data } = canvas.getContext("2d").getImageData(0, 0, wide, canvas.height), found = new Array(wide).fill(0);
  for (let k = 0; k < data.length; k += 4) if (data[k] > data[k + 1] + 60) found[(k / 4) % wide] += 1;
  return found;
}"""


def test_one_line_goes_ahead_of_the_lure(window, tmp_path):
    file = tmp_path / "lure.toml"
    file.write_text((SCENARIOS / "porch_light.toml").read_text(encoding="utf-8"), encoding="utf-8")
    with served(Page(tmp_path, file, tmp_path / "drafts", write_whole)) as address:
        page = window(DESK, True, True).new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.wait_for_selector(SWUM)
        for moment in ("0", "50", "430", "900"):
            page.get_by_label("Time of the run").fill(moment)
            reds = page.evaluate(REDS)
            assert all(1 <= red <= 3 for red in reds), (moment, reds)  # px, of one line
        page.close()


def test_a_drag_asks_one_thing_at_a_time_and_its_release_one_edit_and_one_swim(bench):
    page = bench(DESK)
    before, begun = text_of(page), page.locator("#tank").get_attribute("data-begun")
    page.fetched.clear()
    under_way, most = set(), [0]
    page.on("request", lambda one: under_way.add(one) if one.url.endswith("attempt") else None)
    page.on("request", lambda _: most.append(max(most.pop(), len(under_way))))
    page.on("requestfinished", lambda one: under_way.discard(one))
    x, y = taken_hold_of(page, "tie_on.lip.at")
    page.mouse.move(x + 12, y - 6, steps=30)
    page.mouse.up()
    page.wait_for_function(f"() => document.querySelector('#tank').dataset.begun !== '{begun}'")
    assert most == [1]
    asked = [url.rpartition("/")[2] for url in page.fetched]
    assert asked.count("edit") == asked.count("swim") == 1
    undo(page)
    assert text_of(page) == before


def test_a_ring_drawn_to_where_nothing_can_be_built_is_refused_in_words_and_goes_back(bench):
    page = bench(DESK)
    page.locator("#verdict[aria-busy=false]").wait_for()
    height, before, verdict = (
        ring(page, "body.main.height"),
        text_of(page),
        page.locator("#verdict").inner_text(),
    )
    at, box = height.locator(".dot").get_attribute("cy"), height.locator(".dot").bounding_box()
    page.mouse.move(box["x"] + 5, box["y"] + 5)
    page.mouse.down()
    page.mouse.move(box["x"] + 5, box["y"] + 200, steps=3)  # of no height at all
    page.wait_for_function("was => document.querySelector('#verdict').innerText !== was", arg=verdict)
    page.mouse.up()
    page.locator("#notice:not(:empty)").wait_for()
    page.wait_for_function("was => document.querySelector('#verdict').innerText === was", arg=verdict)
    assert height.locator(".dot").get_attribute("cy") == at
    assert text_of(page) == before
    assert page.complaints == []


def test_a_ring_moves_by_the_arrow_keys_and_keeps_the_focus(bench):
    page = bench(DESK)
    before = text_of(page)
    ring(page, "hook.belly.at").focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_function("before => document.querySelector('textarea').value !== before", arg=before)
    assert 'up = "-11.5 mm"' in text_of(page)
    page.wait_for_function("() => document.activeElement.dataset.id === 'hook.belly.at'")
    undo(page)
    assert text_of(page) == before


def test_a_field_takes_what_the_file_takes_and_says_what_cannot_be(bench):
    page = bench(DESK)
    before = text_of(page)
    page.locator("summary", has_text="body.main").click()
    field = page.locator('[data-path="body.main.length"]')
    field.fill("2 3/4 in")
    field.press("Tab")
    page.wait_for_function("() => document.querySelector('textarea').value.includes('2 3/4 in')")
    field = page.locator('[data-path="body.main.length"]')
    field.fill("68 pigs")
    field.press("Tab")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.fault')].some(fault => fault.textContent.includes('pigs'))"
    )
    assert "2 3/4 in" in text_of(page)
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("2 3/4 in")  # as it was: the fault is mended
    field.press("Tab")
    page.wait_for_function("() => ![...document.querySelectorAll('.fault')].some(fault => fault.textContent)")
    assert field.get_attribute("aria-invalid") is None
    undo(page)
    assert text_of(page) == before
    assert page.complaints == []


def test_work_that_was_not_saved_is_back_and_that_stays_said(window, tmp_path):
    file = tmp_path / "lure.toml"
    file.write_text((SCENARIOS / "cellar_door.toml").read_text(encoding="utf-8"), encoding="utf-8")
    before = Page(tmp_path, file, tmp_path / "drafts", write_whole, forms=forms())
    before.edit({"changes": {"body.main.length": "79 mm"}, "revision": 0})
    before.close()
    with served(Page(tmp_path, file, tmp_path / "drafts", write_whole, forms=forms())) as address:
        page = window(DESK, True, True).new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.locator("[data-form=remedy]").wait_for()  # all is there
        assert page.locator("#notice").inner_text().startswith("Unsaved work")
        page.close()


def test_touch_presses_a_field_of_the_speed_bar_and_it_swims(bench):
    page = bench(PHONE)
    cell = page.locator("#bars .cells button:not([disabled])").first
    cell.wait_for()
    swims = page.locator("#tank").get_attribute("data-swims")
    cell.tap()
    page.wait_for_function(f"() => document.querySelector('#tank').dataset.swims !== '{swims}'")
    assert page.complaints == []


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_place_of_the_map_that_is_pressed_is_where_the_eye_goes(bench, keep_picture, width):
    page = bench(width)
    before = text_of(page)
    known = page.locator("#map .place[data-known]")
    known.first.wait_for()
    keep_picture(page, f"page_map_{width}", "#map", "#map .words p")
    if width == PHONE:
        known.first.tap()
    else:
        known.first.focus()
        page.keyboard.press("ArrowRight")
        page.wait_for_function("() => document.activeElement.dataset.known")
        said = page.locator("#map [role=status]").inner_text()
        assert said.startswith("Tied ")
        page.keyboard.press("Enter")
    page.wait_for_function("before => document.querySelector('textarea').value !== before", arg=before)
    apart = [(a, b) for a, b in zip(before.splitlines(), text_of(page).splitlines(), strict=True) if a != b]
    assert len(apart) == 1
    assert "back" in apart[0][1]
    known.first.wait_for()
    undo(page)
    assert text_of(page) == before
    assert page.complaints == []


def test_a_pinned_version_swims_as_a_ghost_with_a_table_of_what_differs(bench):
    page = bench(DESK)
    page.get_by_role("button", name="Pin this one").click()
    table = page.locator("#tank table", has_text="pinned")
    table.first.wait_for()
    assert "depth" in table.first.inner_text()


def test_it_is_let_go_and_cast_as_well(bench):
    page = bench(DESK)
    for kind, word in (("drop", "rises|sinks|floats"), ("cast", "flies")):
        page.locator("#tank select").first.select_option(kind)
        page.wait_for_function(
            """([word]) => new RegExp(word, "i").test(document.querySelector("#tank .words").textContent)""",
            arg=[word],
        )


def form_of(page, name, **filled):
    """A form of the page, opened and filled in."""
    form = page.locator(f"[data-form={name}]")
    form.locator("summary").first.click()
    for label, text in filled.items():
        form.get_by_label(label.replace("_", " "), exact=True).fill(text)
    return form


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_found_thing_and_a_mix_are_answered_beside_their_forms(bench, keep_picture, width):
    page = bench(width)
    thing = form_of(page, "thing", weight="21 g", cavity="14 mL", material="pvc")
    thing.get_by_role("button", name="Ask").click()
    mix = form_of(page, "mix", parts="resin=1 hardener=1", fill="12 mL", density="0.6 g/mL")
    mix.get_by_role("button", name="Ask").click()
    mix.locator(".answer table").wait_for()
    assert "hardener" in mix.locator(".answer table").inner_text()
    thing.locator(".answer .head").first.wait_for()
    assert re.search(r"floats; 100 of 100", thing.locator(".answer").inner_text())
    form, answer = mix.locator("form").bounding_box(), mix.locator(".answer").bounding_box()
    if width == DESK:
        assert answer["x"] > form["x"] + form["width"]
    else:
        assert answer["y"] > form["y"] + form["height"] - 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    keep_picture(page, f"page_mix_{width}", "[data-form=mix]")
    assert page.complaints == []


def test_each_proposal_is_seen_as_a_change_tried_put_back_and_taken(bench, keep_picture):
    page = bench(PHONE)
    before = text_of(page)
    form = form_of(page, "remedy", what_you_want="floats with 4 g to spare")
    form.get_by_label("allow", exact=True).evaluate("(field) => { field.closest('details').open = true; }")
    form.get_by_label("allow", exact=True).fill("ballast,hooks")
    form.get_by_role("button", name="Ask").tap()
    tries = form.get_by_role("button", name="Try it on the page")
    tries.first.wait_for()
    assert (offered := tries.count()) >= 2
    assert form.locator(".change .plus").count() >= 2
    keep_picture(page, "page_proposal", "[data-form=remedy] .answer")
    tries.first.tap()
    form.get_by_role("button", name="Put it back").wait_for()
    first = text_of(page)
    assert first != before
    assert not page.locator("#verdict").inner_text().startswith("Floats, with 3.01")
    tries.first.tap()  # the second proposal, in place of the first
    page.wait_for_function(
        "([a, b]) => ![a, b].includes(document.querySelector('textarea').value)", arg=[before, first]
    )
    form.get_by_role("button", name="Put it back").tap()
    page.wait_for_function("before => document.querySelector('textarea').value === before", arg=before)
    assert tries.count() == offered
    tries.nth(1).tap()
    form.get_by_role("button", name="Take it").tap()
    form.get_by_text("Taken. It is not saved yet.").wait_for()
    undo(page)
    assert text_of(page) == before
    assert page.complaints == []


def test_a_test_at_the_water_is_written_into_the_log_of_the_design(bench, server):
    page, file = bench(DESK), server[1]
    form = form_of(page, "log", what_you_saw_or_measured="floats", water="14 C", note="off the jetty")
    form.get_by_role("button", name="Ask").click()
    form.locator(".answer p", has_text="Test 1 is in").wait_for()
    assert 'said = "floats"' in file.with_name("lure.log.toml").read_text(encoding="utf-8")
    assert page.complaints == []


def test_long_work_says_how_far_it_is_and_can_be_stopped(bench):
    page = bench(DESK)
    form = form_of(page, "tolerance")
    form.get_by_role("button", name="Ask").click()
    form.locator(".answer", has_text=re.compile(r"Trying builds: \d+ of \d+")).wait_for()
    form.get_by_role("button", name="Stop").click()
    form.locator(".answer", has_text="Stopped.").wait_for()
    assert page.complaints == []


def test_the_sheet_can_be_opened_and_saved(bench):
    page = bench(DESK)
    form = form_of(page, "sheet")
    form.get_by_role("button", name="Ask").click()
    link = form.get_by_role("link", name="Save it")
    link.wait_for()
    with page.expect_download() as saved:
        link.click()
    assert Path(saved.value.path()).read_bytes().startswith(b"%PDF")
    assert page.complaints == []


def test_saving_writes_the_file_and_a_change_from_an_editor_is_asked_about(bench, server):
    page, file = bench(DESK), server[1]
    ring(page, "hook.belly.at").focus()
    page.keyboard.press("ArrowDown")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Saved").wait_for()
    assert file.read_text(encoding="utf-8") == text_of(page)
    load(file)
    file.write_text(file.read_text(encoding="utf-8") + "# from an editor\n", encoding="utf-8")
    page.reload()
    page.get_by_role("button", name="Take the file's").click()
    page.wait_for_function("() => document.querySelector('textarea').value.endsWith('# from an editor\\n')")
    undo(page)
    undo(page)
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Saved").wait_for()


def test_what_is_typed_while_an_edit_is_under_way_is_kept_and_each_edit_counts(bench):
    page = bench(DESK)
    before = text_of(page)
    page.locator("summary", has_text="body.main").click()
    height_before = page.locator('[data-path="body.main.height"]').input_value()
    with page.expect_response("**/ask/edit"), page.expect_response("**/ask/edit"):
        for key, text in (("length", "69 mm"), ("width", "17 mm")):
            page.locator(f'[data-path="body.main.{key}"]').fill(text)  # leaves the one before
        page.locator('[data-path="body.main.height"]').fill("2")
    page.wait_for_function("() => document.querySelector('textarea').value.includes('17 mm')")
    assert '"69 mm"' in text_of(page)
    height = page.locator('[data-path="body.main.height"]')
    assert height.input_value() == "2"  # half typed
    height.fill(height_before)
    undo(page)
    undo(page)
    assert text_of(page) == before
    assert page.complaints == []


def test_presses_of_an_arrow_key_that_come_quickly_all_count(bench):
    page = bench(DESK)
    before = text_of(page)
    ring(page, "hook.belly.at").focus()
    for _ in range(4):
        page.keyboard.press("ArrowUp")
    page.wait_for_function("() => document.querySelector('textarea').value.includes('up = \"-10.0 mm\"')")
    while text_of(page) != before:
        undo(page)


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_tests_are_logged_held_against_the_design_learnt_from_tried_taken_and_saved(bench, server, width):
    page, file = bench(width), server[1]
    before, log = text_of(page), file.with_name("lure.log.toml")
    log.unlink(missing_ok=True)
    for number, seconds in enumerate(("6.2", "6.4"), 1):
        form = page.locator("[data-form=log]")
        if number == 1:
            form.locator("summary").first.click()
        form.get_by_label("what you saw or measured", exact=True).fill(f"rose 1 m in {seconds} +- 0.2 s")
        form.get_by_label("water", exact=True).fill("14 C")
        form.get_by_role("button", name="Ask").click()
        form.locator(".answer p", has_text=f"Test {number} is in").wait_for()
    assert log.read_text(encoding="utf-8").count("[[test]]") == 2
    logged = form_of(page, "logged")
    logged.get_by_role("button", name="Ask").click()
    logged.locator(".answer", has_text="2 tests, 2 readings").wait_for()
    learnt = form_of(page, "calibrate")
    learnt.get_by_role("button", name="Ask").click()
    learnt.get_by_role("button", name="Try it on the page").wait_for(timeout=300_000)
    assert "calibration" in learnt.locator(".change").inner_text()
    assert text_of(page) == before  # nothing yet
    learnt.get_by_role("button", name="Try it on the page").click()
    learnt.get_by_role("button", name="Take it").click()
    page.wait_for_function("() => document.querySelector('textarea').value.includes('[calibration')")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Saved").wait_for()
    assert "[calibration" in file.read_text(encoding="utf-8")
    load(file)
    assert page.complaints == []
    undo(page)
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Saved").wait_for()
    assert file.read_text(encoding="utf-8") == before
    log.unlink()
