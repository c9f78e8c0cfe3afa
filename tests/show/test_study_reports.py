"""The pages of the studies: whole, valid, safe, the answer first, and everything it rests on."""

import re

import html5lib
import pytest

from sim import __version__
from sim.show.document import Document, Paragraph, given
from sim.show.pages import comparison
from sim.show.writers import html
from sim.studies.compare import NOTICED
from tests.show import decided
from tests.show import pages as made
from tests.studies.work import TEXT

X = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def pages():
    """Every page with plain words, and every one with hostile words."""
    sources = dict.fromkeys(made.NAMES, made) | dict.fromkeys(decided.NAMES, decided)
    plain = {name: source.page(name) for name, source in sources.items()}
    return plain | {f"hostile {name}": source.page(name, made.EVIL) for name, source in sources.items()}


NAMES = (*made.NAMES, *decided.NAMES)
ALL = [*NAMES, *(f"hostile {name}" for name in NAMES)]


def tree(page):
    """The page as a tree; a parser error fails the test."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=True).parse(page)


def words(element):
    return " ".join("".join(element.itertext()).split())


def said(element):
    """The words of an element without the explanations of its terms."""
    if element.get("role") == "tooltip":
        return element.tail or ""
    inner = "".join(said(child) for child in element)
    return " ".join(f"{element.text or ''}{inner}".split()) + (element.tail or "")


def section(root, key):
    return next(s for s in root.iter(f"{X}section") if s.get("id") == key)


@pytest.mark.parametrize("name", ALL)
def test_the_page_is_valid_html_whose_ids_and_links_hold_together(pages, name):
    root = tree(pages[name])
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    for element in root.iter():
        for key in ("aria-describedby", "aria-labelledby"):
            assert element.get(key, ids[0]) in ids
    links = [a.get("href")[1:] for a in root.iter(f"{X}a")]
    assert links == [s.get("id") for s in root.iter(f"{X}section")]


@pytest.mark.parametrize("name", ALL)
def test_the_page_runs_no_script_and_fetches_nothing(pages, name):
    root = tree(pages[name])
    policy = next(m.get("content") for m in root.iter(f"{X}meta") if m.get("http-equiv"))
    assert policy.startswith("default-src 'none'; style-src 'unsafe-inline'")
    assert "script-src" not in policy
    assert not list(root.iter(f"{X}script"))
    assert not list(root.iter(f"{X}img"))
    for element in root.iter():
        for key, value in element.attrib.items():
            assert not str(key).startswith("on")
            if str(key).rsplit("}")[-1] in ("src", "href"):
                assert value.startswith(("#", "data:"))


@pytest.mark.parametrize("name", NAMES)
def test_what_a_maker_writes_stays_text(pages, name):
    root = tree(pages[f"hostile {name}"])
    assert made.EVIL in words(next(root.iter(f"{X}h1")))
    if name in made.NAMES:
        assert made.EVIL in words(section(root, "asked"))
    assert f"{made.EVIL}</pre>" in words(section(root, "file"))


@pytest.mark.parametrize("name", ALL)
def test_every_picture_and_table_has_a_name_and_the_page_can_be_sent(pages, name):
    root = tree(pages[name])
    for svg in root.iter("{http://www.w3.org/2000/svg}svg"):
        assert svg.get("role") == "img"
        assert svg.get("aria-label")
    for table in root.iter(f"{X}table"):
        assert words(table.find(f"{X}caption"))
        corner, *heads = table.iter(f"{X}th")
        assert all(words(head) for head in heads)
        assert words(corner) or name.removeprefix("hostile ") in ("tolerance", "remedy")
    assert len(pages[name].encode()) < 3_000_000


@pytest.mark.parametrize("name", made.NAMES)
def test_a_page_ends_with_cautions_the_design_file_and_the_version(pages, name):
    root = tree(pages[name])
    assert [s.get("id") for s in root.iter(f"{X}section")][-2:] == ["care", "file"]
    assert words(section(root, "care")).startswith("Take care")
    source = "".join(next(section(root, "file").iter(f"{X}pre")).itertext())
    assert source.split("\n", 1)[1].strip() == TEXT.strip()
    assert __version__ in words(next(root.iter(f"{X}footer")))


def test_the_seed_is_told_where_chance_had_a_part_and_only_there(pages):
    told = {name: words(next(tree(pages[name]).iter(f"{X}footer"))) for name in made.NAMES}
    assert "from seed 9:" in told.pop("sampled")
    assert all("no seed" in foot for foot in told.values())


def test_the_answer_stands_first():
    root = tree(
        html.write(
            Document("What", (Paragraph("Yes: 5 < 6.", "head"), Paragraph("But mind.", "head")), seed=3),
            {"a": "x"},
        )
    )
    box = next(e for e in root.iter(f"{X}div") if "verdict" in e.get("class", ""))
    assert [words(p) for p in box] == ["Yes: 5 < 6.", "But mind."]
    assert [s.get("id") for s in root.iter(f"{X}section")] == ["file"]
    assert "from seed 3:" in words(next(root.iter(f"{X}footer")))


def test_what_was_asked_is_a_table_of_two_columns():
    root = tree(html.write(Document("What", (given([("lip.angle", "30deg")]),)), {"a": "x = 1"}))
    rows = [[words(cell) for cell in row] for row in section(root, "asked").iter(f"{X}tr")]
    assert rows == [["What", "Value"], ["lip.angle", "30deg"]]


def test_a_comparison_tells_every_retrieve_and_what_differs_most(pages):
    root = tree(pages["compare"])
    found = made.fakes.comparison()
    first = words(next(e for e in root.iter(f"{X}div") if "verdict" in e.get("class", "")))
    assert comparison.most(found, made.METRIC).startswith("What differs most: what it does")
    assert first.startswith("What differs most: what it does")
    rows = [[words(cell) for cell in row] for row in section(root, "pulled").iter(f"{X}tr")][1:]
    assert len(rows) == len(found.pulled)
    assert [row[:2] for row in rows] == [[f"{r.speed_m_s:.2f}", r.tie_on] for r in found.pulled]


def test_a_map_tells_shares_that_add_up_and_the_deepest_place(pages):
    root = tree(pages["map_two"])
    rows = [[words(cell) for cell in row] for row in section(root, "shares").iter(f"{X}tr")][1:]
    for speed in ("0.50", "0.90"):
        shares = [float(row[2].rstrip(" %")) for row in rows if row[1] == speed]
        assert sum(shares) == pytest.approx(100.0, abs=len(shares) / 2)
    head = words(next(root.iter(f"{X}header")))
    for depth in ("23 cm", "24 cm"):  # the last cell of either panel, as the made-up rows have it
        assert (
            f"it goes deepest, {depth}, with plate.lip.angle at 60 deg and plate.lip.length at 20 mm." in head
        )


def test_varied_runs_are_counted_and_shown_up_to_a_limit(pages):
    root = tree(pages["vary"])
    runs = 4 * 2 * 2 * 2
    head = said(next(root.iter(f"{X}header")))
    assert f"Of {runs} runs: " in head
    counts = [int(n) for n in re.findall(r" ?in (\d+)", head.split("runs: ")[1].split(".")[0])]
    assert sum(counts) == runs
    rows = [[words(cell) for cell in row] for row in section(root, "runs").iter(f"{X}tr")][1:]
    assert [row[0] for row in rows] == [str(k + 1) for k in range(runs)]
    assert words(section(root, "failed")) == f"No answerno way ({counts[-1]} of {runs} runs)"


def test_a_figure_that_hardly_differs_gets_no_panel():
    from sim.show import varied_figure

    design, _ = made.lure()
    plan = made.fakes.plan([made.parameter(design, "lip.angle=30deg..60deg", 3)])
    step = NOTICED["retrieve.depth_m"]
    rows = [
        {"plate.lip.angle_deg": 30.0 + 15.0 * k, "tie_on": "nose", "retrieve.depth_m": 0.4 * step * k}
        for k in range(3)
    ]
    assert "No figure differs" in varied_figure.scatter(plan, rows, "Title").get_label()
    rows[2]["retrieve.depth_m"] = 1.1 * step
    assert len(varied_figure.scatter(plan, rows, "Title").axes) == 1


def test_windows_are_told_in_a_sentence_a_picture_and_a_row_each(pages):
    root = tree(pages["windows"])
    head = words(next(root.iter(f"{X}header")))
    assert "Tied at nose, it wakes" in head
    assert "Tied at lip, it rolls over" in head
    rows = [[words(cell) for cell in row] for row in section(root, "table").iter(f"{X}tr")][1:]
    assert [row[:3] for row in rows] == [
        ["nose", "0.30", "0.60"],
        ["nose", "0.60", "1.20"],
        ["lip", "0.30", "1.20"],
    ]
    assert "until it is slowed down to 0.5" in words(section(root, "slowing"))
    assert "it took 18 retrieves" in words(section(root, "picture"))
