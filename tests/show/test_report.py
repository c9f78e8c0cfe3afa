"""The report as a page: whole, valid, safe and readable."""

import re
from pathlib import Path

import html5lib
import pytest

from sim import __version__
from sim.design.load import read
from sim.show.figures.style import contrast
from sim.show.units import US
from sim.show.writers.markup import Html, table, tag, text
from sim.show.writers.terms import Terms, glossary
from sim.studies import dossier
from sim.studies.dossier import assumptions, gather
from sim.trials import cast, drop, retrieve
from sim.trials.trial import trial
from tests import demos
from tests.show.terminal import report_page as report

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
EVIL = "<script>window.broken = 1</script>\"'&"
X = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def floater():
    return demos.entry("porch_light")


@pytest.fixture(scope="module")
def sinker():
    return demos.entry("last_skittle")


@pytest.fixture(scope="module")
def pages(floater, sinker):
    """Text of a report of one design, of two side by side, and of one full of hostile words."""
    source = (SCENARIOS / "gravel_bell.toml").read_text(encoding="utf-8")
    source = source.replace('name = "Gravel Bell"', f"name = '''{EVIL}'''\nabout = '''</pre>{EVIL}'''")
    hostile = gather(
        read(f"# </script></pre>{EVIL}\n{source}", "evil.toml"), f"# </script></pre>{EVIL}\n{source}"
    )
    return {
        "floater": demos.report("porch_light"),
        "sinker": demos.report("last_skittle"),
        "two": report(floater, demos.beside("last_skittle", "porch_light"), US),
        "hostile": report(hostile),
    }


NAMES = ("floater", "sinker", "two", "hostile")


def tree(page):
    """The page as a tree; a parser error fails the test."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=True).parse(page)


def words(element):
    return " ".join("".join(element.itertext()).split())


def spoken(element):
    """The words of an element without the explanations of its terms."""
    if element.get("role") == "tooltip":
        return element.tail or ""
    inner = "".join(spoken(child) for child in element)
    return " ".join(f"{element.text or ''}{inner}".split()) + (element.tail or "")


# ---- valid and safe -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_page_is_valid_html_and_no_id_is_given_twice(pages, name):
    found = [element.get("id") for element in tree(pages[name]).iter() if element.get("id")]
    assert len(found) == len(set(found))


@pytest.mark.parametrize("name", NAMES)
def test_every_label_description_and_link_on_the_page_leads_somewhere(pages, name):
    root = tree(pages[name])
    ids = {element.get("id") for element in root.iter()}
    for element in root.iter():
        for key in ("aria-describedby", "aria-labelledby"):
            assert element.get(key, next(iter(ids))) in ids
        if element.tag == f"{X}a":
            assert element.get("href").startswith("#")
            assert element.get("href")[1:] in ids


@pytest.mark.parametrize("name", NAMES)
def test_every_control_picture_and_table_has_a_name(pages, name):
    root = tree(pages[name])
    parents = {child: parent for parent in root.iter() for child in parent}
    for element in root.iter():
        kind = str(element.tag).rsplit("}")[-1]
        if kind in ("select", "input"):
            assert parents[element].tag == f"{X}label"
            assert words(parents[element])
        elif kind == "button":
            assert words(element)
        elif kind in ("canvas", "svg"):
            assert element.get("role") == "img"
            assert element.get("aria-label")
        elif kind == "table":
            assert words(element.find(f"{X}caption"))


@pytest.mark.parametrize("name", NAMES)
def test_the_page_fetches_nothing_and_its_policy_forbids_it(pages, name):
    root = tree(pages[name])
    policy = next(m.get("content") for m in root.iter(f"{X}meta") if m.get("http-equiv"))
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    for element in root.iter():
        for key, value in element.attrib.items():
            assert not str(key).startswith("on"), "no handlers inside the page"
            if str(key).rsplit("}")[-1] in ("src", "href"):
                assert value.startswith(("#", "data:"))
    style = words(next(root.iter(f"{X}style")))
    assert "url(" not in style
    assert "@import" not in style


def test_what_a_maker_writes_stays_text(pages):
    root = tree(pages["hostile"])
    assert len(list(root.iter(f"{X}script"))) == 2, "the player and its data, nothing else"
    assert words(next(root.iter(f"{X}h1"))) == EVIL
    assert EVIL in words(next(root.iter(f"{X}pre")))
    assert f"</pre>{EVIL}" in words(next(e for e in root.iter(f"{X}p") if e.get("class") == "about"))


@pytest.mark.parametrize("name", NAMES)
def test_a_report_is_small_enough_to_send(pages, name):
    assert len(pages[name].encode()) < 3_000_000
    data = re.search(r'id="replay-data">(.*?)</script>', pages[name], re.S).group(1)
    assert len(data) < 300_000


# ---- what it says -------------------------------------------------------------------------------------


def test_the_head_is_a_verdict_in_three_sentences(pages):
    for name, first in (("floater", "Floats, with"), ("sinker", "Sinks: it is")):
        box = next(e for e in tree(pages[name]).iter(f"{X}div") if "verdict" in e.get("class", ""))
        said = [spoken(p) for p in box.findall(f"{X}p")]
        assert len(said) == 3
        assert said[0].startswith(first)
        assert said[2].startswith("Pulled")


def test_every_section_is_there_and_reached_from_the_top(pages):
    root = tree(pages["floater"])
    links = [a.get("href")[1:] for a in root.iter(f"{X}a")]
    assert links == [s.get("id") for s in root.iter(f"{X}section")]
    assert set(links) >= {
        "rest",
        "drop",
        "cast",
        "pulled",
        "weights",
        "sure",
        "change",
        "care",
        "file",
        "replay",
        "shop",
        "speeds",
    }


def test_every_tie_on_point_and_speed_has_its_row(pages, floater):
    root = tree(pages["floater"])
    section = next(s for s in root.iter(f"{X}section") if s.get("id") == "pulled")
    rows = [tuple(words(cell) for cell in row) for row in section.iter(f"{X}tr")]
    for run in floater.result.retrieve:
        row = next(row for row in rows if row[:2] == (run.tie_on, f"{run.speed_m_s:.2f}"))
        assert row[3] == f"{run.depth_m:.2f}".replace("-0.00", "0.00")


@pytest.mark.parametrize("which", ["floater", "sinker"])
def test_a_report_answers_what_a_trial_answers(which, floater, sinker):
    entry = {"floater": floater, "sinker": sinker}[which]
    assert entry.result == trial(entry.design)


def test_a_report_has_a_bar_for_each_tie_on_point_and_says_how_sharp_its_edges_are(pages, floater):
    root = tree(pages["floater"])
    section = next(s for s in root.iter(f"{X}section") if s.get("id") == "speeds")
    (svg,) = section.iter("{http://www.w3.org/2000/svg}svg")
    for point in floater.lure.tie_ons:
        assert f"tied at {point.replace('_', ' ')}" in svg.get("aria-label")
    found = floater.windows
    worst = max((e.give_or_take_m_s / e.speed_m_s for p in found.tie_ons for e in p.edges), default=0.0)
    told = re.search(r"halved down to ([\d.]+)", words(section)).group(1)
    assert float(told) == pytest.approx(100 * max(worst, found.share), rel=0.06)


@pytest.mark.parametrize("which", ["floater", "sinker"])
def test_the_replayed_runs_are_those_that_the_table_describes(which, floater, sinker):
    entry = {"floater": floater, "sinker": sinker}[which]
    pulls = [motion for motion in entry.recordings if motion.kind == "pull"]
    again = [retrieve.describe(m.run, entry.lure, m.tie_on, m.speed) for m in pulls if not m.programme]
    assert again == entry.result.retrieve
    drops = next(motion.run for motion in entry.recordings if motion.kind == "drop")
    assert drop.describe(drops, entry.lure) == entry.result.drop
    casts = next(motion.run for motion in entry.recordings if motion.kind == "cast")
    assert cast.describe(casts, entry.lure) == entry.result.cast


def test_the_design_file_can_be_copied_back_out_of_the_report(pages, floater):
    pre = next(tree(pages["floater"]).iter(f"{X}pre"))
    assert read("".join(pre.itertext()), "copy.toml") == floater.design


def test_two_designs_stand_side_by_side_in_the_readers_units(pages, sinker):
    root = tree(pages["two"])
    panels = [e for e in root.iter(f"{X}div") if e.get("data-role") == "panel"]
    assert [words(panel.find(f"{X}h3")) for panel in panels] == ["Porch Light", "Last Skittle"]
    assert sum(canvas.get("data-view") == "side" for canvas in root.iter(f"{X}canvas")) == 2
    said = words(next(s for s in root.iter(f"{X}section") if s.get("id") == "two"))
    assert "oz" in said
    assert " g " not in said


def test_version_and_the_lack_of_a_seed_are_told(pages):
    foot = words(next(tree(pages["floater"]).iter(f"{X}footer")))
    assert __version__ in foot
    assert "no seed" in foot


def test_what_the_file_leaves_open_is_told_and_what_it_gives_is_not():
    design = read((SCENARIOS / "tin_leaf.toml").read_text(encoding="utf-8"), "tin_leaf.toml")
    taken = assumptions(design)
    assert "cast.speed: 28 m/s" in taken
    assert "retrieve.from_cast: false" in taken
    assert "cast.speed: 91.9 ft/s" in assumptions(design, "us")
    assert not any(line.startswith(("line.diameter", "water.temperature")) for line in taken)


def test_a_sinker_has_no_figure_of_how_it_sits_and_says_why(pages):
    root = tree(pages["sinker"])
    rest = next(s for s in root.iter(f"{X}section") if s.get("id") == "rest")
    assert "no place of rest" in words(rest)
    assert not list(rest.iter("{http://www.w3.org/2000/svg}svg"))


# ---- words --------------------------------------------------------------------------------------------


def test_the_words_are_those_of_the_glossary():
    own = (ROOT / "sim/show/writers/glossary.md").read_text(encoding="utf-8")
    assert own == (ROOT / "docs/glossary.md").read_text(encoding="utf-8"), (
        "copy docs/glossary.md to sim/show/writers/glossary.md"
    )
    assert glossary()["Wakes"] == "runs with its back breaking the surface."


def test_a_word_is_explained_once_a_page_by_a_button_that_works_without_script():
    terms = Terms()
    first = terms.marked("It wakes, then it wobbles.", "wakes", "wobbles")
    assert '<button type="button" class="term" aria-describedby="term-1">wakes</button>' in first
    assert '<span role="tooltip" id="term-1">runs with its back breaking the surface.</span>' in first
    assert terms.marked("It wakes.", "wakes") == "It wakes."
    assert terms.term("unheard-of", "<b>") == "&lt;b&gt;"


def test_text_is_escaped_unless_it_was_made_as_html():
    assert text(EVIL) == "&lt;script&gt;window.broken = 1&lt;/script&gt;&quot;&#x27;&amp;"
    assert tag("p", Html("<b>x</b>"), title='"') == '<p title="&quot;"><b>x</b></p>'
    assert "\x1b" not in text("\x1b[31m")


def test_a_table_tells_every_value_its_head_for_screens_too_narrow_for_columns():
    written = table("T", ("A", Terms().term("Wakes", "W")), [("a", "1")], numbers=[1], broad=0)
    assert '<td class="number" data-head="W">1</td>' in written


# ---- colours ------------------------------------------------------------------------------------------


def test_all_words_stand_out_from_what_they_stand_on():
    style = (ROOT / "sim/show/writers/style.css").read_text(encoding="utf-8")
    own = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", style))
    for ink in ("ink", "quiet", "surface", "good", "bad"):
        for paper in ("paper", "water", "note"):
            assert contrast(own[ink], own[paper]) >= 4.5, (ink, paper)
    player = (ROOT / "sim/show/writers/player.js").read_text(encoding="utf-8")
    arrows = re.findall(r"#[0-9a-f]{6}", re.search(r"ARROWS = \[(.*?)\]", player).group(1))
    assert len(arrows) == 8
    for colour in arrows:
        assert contrast(colour, own["paper"]) >= 4.5
        assert contrast(colour, own["water"]) >= 4.5


def test_builds_tried_elsewhere_stand_in_the_report(floater, monkeypatch):
    monkeypatch.setattr(dossier, "recordings", lambda *_: list(floater.recordings))
    monkeypatch.setattr(dossier, "speed_windows", lambda *_, **__: floater.windows)
    told = dossier.gather(floater.design, floater.source, builds=lambda: floater.spread)
    assert told.spread is floater.spread
