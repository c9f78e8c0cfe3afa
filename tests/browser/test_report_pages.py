"""The reports of all demo lures in a real browser, on a phone and on a desk.

Pictures of what was seen are kept in the folder named by DRYTANK_SCREENSHOTS, if it is set.
"""

import time
from dataclasses import replace
from functools import cache

import pytest

from sim.motion import kinematics as reading
from tests import demos
from tests.browser.fits import (
    CLIPPED,
    CROWDED,
    DESK,
    LEAST_LETTERS,
    LETTERS,
    LOST,
    PHONE,
    SIDEWAYS,
    UNEVEN,
)
from tests.show.terminal import report_page as report

NAMES = demos.NAMES
EVIL = "<script>window.broken = 1</script><img src=x onerror='window.broken = 1'>"

SET = """(role, value, event) => {
  const control = document.querySelector(`[data-role="${role}"]`);
  control.value = value;
  control.dispatchEvent(new Event(event, { bubbles: true }));
}"""
CLICK = "document.querySelector('[data-role=\"%s\"]').click()"
SCRUB = "Number(document.querySelector('[data-role=\"scrub\"]').value)"
PIXELS = """(() => {
  const picture = document.querySelector("canvas").toDataURL();
  let sum = 0;
  for (let k = 0; k < picture.length; k += 1) sum = (31 * sum + picture.charCodeAt(k)) >>> 0;
  return sum;
})()"""
UNTIL = """new Promise((done, fail) => {
  const end = performance.now() + 10000;
  const look = () => {
    if (%s) done(true);
    else if (performance.now() > end) fail(new Error("waited in vain"));
    else requestAnimationFrame(look);
  };
  look();
})"""


@pytest.fixture(scope="module")
def reports(tmp_path_factory):
    """The reports as files, each written when it is asked for: every demo lure, and two side by side."""
    folder = tmp_path_factory.mktemp("reports")

    @cache
    def written(name):
        page = demos.report("porch_light", "cellar_door") if name == "side_by_side" else demos.report(name)
        path = folder / f"{name}.html"
        path.write_text(page, encoding="utf-8")
        return path

    return written


@pytest.fixture
def open_page(open_file, reports):
    """Open a report by its name, its folds too if wanted: what is folded is looked at as well."""

    def opened(name, width=DESK, scripts=True, folded=False):
        page = open_file(reports(name), width, scripts)
        if not folded:
            page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        return page

    return opened


def settle(page):
    """Wait until what was asked for is drawn."""
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


# ---- all reports --------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("name", [*NAMES, "side_by_side"])
def test_a_report_opens_fits_plays_scrubs_and_stops(name, width, open_page, reports, keep_picture):
    page = open_page(name, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width, "sideways scrolling"
    assert page.evaluate(CLIPPED) == []
    assert page.evaluate(LOST) == [], "letters of a figure outside it"
    assert page.evaluate(LETTERS) >= LEAST_LETTERS, "letters too small to be read"
    assert page.evaluate(SIDEWAYS) == [], "tables wider than the page"
    assert width == DESK or page.evaluate(UNEVEN) == [], "cards out of line"
    assert page.evaluate(CROWDED) == []

    still = page.evaluate(PIXELS)
    page.evaluate(CLICK % "play")
    page.evaluate(UNTIL % f"{SCRUB} > 0")  # it plays
    page.evaluate(CLICK % "play")
    settle(page)
    stopped, drawn = page.evaluate(SCRUB), page.evaluate(PIXELS)
    assert drawn != still
    time.sleep(0.1)
    assert page.evaluate(SCRUB) == stopped, "it stops"
    assert page.evaluate(PIXELS) == drawn

    page.evaluate(f"({SET})('scrub', 1500, 'input')")
    assert page.evaluate(SCRUB) == 1500
    assert page.evaluate(PIXELS) != drawn, "it scrubs"
    page.evaluate(CLICK % "trail")
    page.evaluate(CLICK % "forces")
    settle(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(CLIPPED) == []
    keep_picture(page, f"{name}-{width}")

    assert page.complaints == [], "no script error, no complaint"
    assert page.fetched == [reports(name).as_uri()], "no outside request"


@pytest.mark.parametrize("name", NAMES)
def test_what_is_long_is_folded_on_a_phone_and_stands_open_on_a_desk(name, open_page):
    closed = "[...document.querySelectorAll('details.long')].filter((one) => !one.open).length"
    page = open_page(name, DESK, folded=True)
    assert page.evaluate(closed) == 0
    assert page.locator("details.long > summary").evaluate_all("all => all.every(one => !one.offsetHeight)")
    page = open_page(name, PHONE, folded=True)
    height = page.evaluate("document.documentElement.scrollHeight")
    count = page.evaluate(closed)
    assert count >= 3
    assert height < 12_000
    summary = page.locator("details.long > summary").first
    assert summary.bounding_box()["height"] >= 40  # a finger's
    summary.tap()
    assert page.evaluate(closed) == count - 1
    page.emulate_media(media="print")
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(closed) == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_motion_of_a_report_can_be_watched_to_its_end_close_and_whole(name, open_page):
    page = open_page(name)
    page.evaluate(CLICK % "trail")
    page.evaluate(CLICK % "forces")
    seen = page.evaluate(
        f"""(() => {{
          const set = {SET};
          const seen = [];
          for (const option of document.querySelector('[data-role="motion"]').options) {{
            set("motion", option.value, "change");
            const end = document.querySelector('[data-role="scrub"]').max;
            const pictures = new Set();
            for (const look of ["close", "whole"]) {{
              set("zoom", look, "change");
              for (const time of [0.4 * end, end]) {{
                set("scrub", time, "input");
                pictures.add({PIXELS});
              }}
            }}
            seen.push([pictures.size, document.querySelector('[data-role="readout"]').textContent]);
          }}
          return seen;
        }})()"""
    )
    assert len(seen) >= 4
    for pictures, said in seen:
        assert pictures == 4, "every look and moment is a picture of its own"
        assert said.endswith("ended")
    assert page.complaints == []


@pytest.mark.parametrize("name", NAMES)
def test_a_report_prints_without_the_replay(name, open_page, tmp_path):
    page = open_page(name)
    path = tmp_path / f"{name}.pdf"
    page.pdf(path=path, prefer_css_page_size=True, print_background=True)
    assert path.read_bytes().startswith(b"%PDF")
    page.emulate_media(media="print")
    shown = "getComputedStyle(document.getElementById('%s')).display"
    assert page.evaluate(shown % "replay") == "none"
    assert page.evaluate(shown % "pulled") != "none"
    assert page.evaluate("getComputedStyle(document.querySelector('.lists')).display") == "none"
    wide = page.evaluate("document.querySelector('.sheet svg').getBoundingClientRect().width")
    assert wide == pytest.approx(210.0 / 25.4 * 96.0, abs=0.1), "the shop sheet prints at full size"


# ---- how it is used -----------------------------------------------------------------------------------


def test_the_replay_is_worked_by_the_keyboard(open_page):
    page = open_page("thimble_oar")
    page.evaluate("document.querySelector('[data-role=\"trail\"]').focus()")
    page.keyboard.press("ArrowRight")
    assert page.evaluate(SCRUB) == 50
    page.keyboard.press("End")
    end = page.evaluate("Number(document.querySelector('[data-role=\"scrub\"]').max)")
    assert page.evaluate(SCRUB) == pytest.approx(end, abs=10)
    page.keyboard.press("Home")
    assert page.evaluate(SCRUB) == 0
    page.evaluate("document.querySelector('[data-role=\"play\"]').focus()")
    page.keyboard.press("Space")
    assert page.evaluate("document.querySelector('[data-role=\"play\"]').textContent") == "Stop"
    page.keyboard.press("Space")
    assert page.evaluate("document.querySelector('[data-role=\"play\"]').textContent") == "Play"
    page.evaluate("document.querySelector('[data-role=\"scrub\"]').focus()")
    before = page.evaluate(SCRUB)
    page.keyboard.press("ArrowRight")
    assert page.evaluate(SCRUB) > before


def test_the_replay_is_worked_by_touch(open_page):
    page = open_page("thimble_oar", PHONE)
    page.evaluate("document.querySelector('canvas').scrollIntoView({ block: 'center', behavior: 'instant' })")
    settle(page)
    box = page.evaluate(
        "(({ left, top, width, height }) => [left, top, width, height])"
        "(document.querySelector('canvas').getBoundingClientRect())"
    )
    x, y = box[0] + 0.3 * box[2], box[1] + 0.5 * box[3]
    finger = page.context.new_cdp_session(page)
    for step in range(9):
        at = [{"x": x + 15 * step, "y": y}]
        finger.send(
            "Input.dispatchTouchEvent", {"type": "touchMove" if step else "touchStart", "touchPoints": at}
        )
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    settle(page)
    drawn = page.evaluate(SCRUB)
    assert drawn == pytest.approx(1000 * 4 * 120 / box[2], rel=0.1), (
        "a finger drawn across moves through time"
    )
    page.touchscreen.tap(x, y)
    assert page.evaluate("document.querySelector('[data-role=\"play\"]').textContent") == "Stop", (
        "a tap plays"
    )
    page.evaluate(UNTIL % f"{SCRUB} > {drawn}")


def test_slow_motion_is_slow(open_page):
    page = open_page("thimble_oar")

    def reached(pace):
        page.evaluate(f"({SET})('pace', '{pace}', 'change')")
        page.evaluate(f"({SET})('scrub', 0, 'input')")
        return page.evaluate(
            f"""new Promise((done) => {{
              const play = document.querySelector('[data-role="play"]');
              let from = null;
              const watch = (now) => {{
                from ??= now;
                if (now - from < 400) return requestAnimationFrame(watch);
                const at = {SCRUB} / (now - from);
                play.click();
                done(at);
              }};
              play.click();
              requestAnimationFrame(watch);
            }})"""
        )

    assert reached("1") == pytest.approx(1.0, abs=0.25)
    assert reached("0.1") == pytest.approx(0.1, abs=0.05)


def test_a_phone_is_told_the_lists_of_the_shop_sheet_and_a_desk_shows_the_sheet(open_page):
    shown = "document.querySelector('%s').getBoundingClientRect().height > 1"
    phone, desk = open_page("thimble_oar", PHONE), open_page("thimble_oar", DESK)
    assert phone.evaluate(shown % ".lists")
    assert not phone.evaluate(shown % ".sheet")
    assert desk.evaluate(shown % ".sheet")
    assert not desk.evaluate(shown % ".lists")
    assert "A belly: drill 7.5" in phone.evaluate("document.querySelector('.lists').innerText").replace(
        "\u00a0", " "
    )


def test_the_waterline_is_drawn_where_the_run_says(open_page):
    """Pixel row of the surface against the height of the lure's middle in the run itself."""
    page, entry = open_page("porch_light"), demos.entry("porch_light")
    page.evaluate(f"({SET})('scrub', 3000, 'input')")
    rows, height, width = page.evaluate(
        """(() => {
          const canvas = document.querySelector('canvas[data-view="side"]');
          const pixels = canvas.getContext("2d").getImageData(canvas.width - 4, 0, 1, canvas.height).data;
          const rows = [];
          for (let y = 0; y < canvas.height; y += 1) {
            const [r, g, b] = pixels.slice(4 * y, 4 * y + 3);
            if (Math.hypot(r - 27, g - 98, b - 133) < 60) rows.push(y);
          }
          return [rows, canvas.clientHeight, canvas.clientWidth];
        })()"""
    )
    y = entry.recordings[0].run.at([3.0])
    middle = 0.5 * sum(entry.lure.nose_to_tail)
    z = float(reading.points(y, reading.axes(y), [middle, 0.0, 0.0])[0, 2])
    scale = min(width / (2.1 * entry.lure.length), height / (1.25 * entry.lure.length))
    assert rows, "the surface is in sight"
    assert sum(rows) / len(rows) + 0.5 == pytest.approx(height / 2 + scale * z, abs=1.0)


def test_two_designs_move_in_step(open_page):
    page = open_page("side_by_side")
    page.evaluate(f"({SET})('scrub', 2000, 'input')")
    said = page.evaluate(
        "[...document.querySelectorAll('[data-role=\"readout\"]')].map((e) => e.textContent)"
    )
    assert len(said) == 2
    assert said[0] != said[1]
    assert page.evaluate("document.querySelector('[data-role=\"clock\"]').textContent").startswith("2.00 s")


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_word_shows_its_sentence_when_the_keyboard_comes_to_it(width, open_page):
    page = open_page("thimble_oar", width)
    for k in range(page.evaluate("document.querySelectorAll('.term').length")):
        shown = page.evaluate(
            f"""(() => {{
              const term = document.querySelectorAll(".term")[{k}];
              term.focus();
              const note = document.getElementById(term.getAttribute("aria-describedby"));
              const box = note.getBoundingClientRect();
              return [getComputedStyle(note).visibility, box.left, box.right, box.top, box.bottom];
            }})()"""
        )
        assert shown[0] == "visible"
        assert shown[1] >= 0
        assert shown[2] <= width
        assert shown[3] >= 0
        assert shown[4] <= 900


def test_without_scripts_all_but_the_replay_is_there(open_page):
    page = open_page("thimble_oar", scripts=False)
    shown = " ".join(page.inner_text("body").split())
    for words in (
        "Thimble Oar",
        "The replay needs scripts",
        "Floats, with",
        "does at each speed",
        "Take care",
    ):
        assert words in shown
    assert "Speed of the replay" not in shown, "the player's controls are not shown"


def test_a_hostile_name_does_nothing(open_file, tmp_path):
    entry = demos.entry("gravel_bell")
    design = entry.design.model_copy(update={"name": EVIL, "about": f"</p></header>{EVIL}"})
    result = entry.result.model_copy(update={"design": EVIL})
    hostile = replace(entry, design=design, source=f"# {EVIL}</pre>", result=result)
    path = tmp_path / "hostile.html"
    path.write_text(report(hostile), encoding="utf-8")
    page = open_file(path, DESK)
    assert page.evaluate("window.broken") is None
    assert page.evaluate("document.querySelector('h1').textContent") == EVIL
    assert page.evaluate("document.querySelectorAll('img').length") == 0
    assert page.fetched == [path.as_uri()]
    assert page.complaints == []
