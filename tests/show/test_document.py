"""One document, two writers: what both say, what only a file has room for, what only a terminal shows."""

import html5lib

from sim.show.document import (
    Brief,
    Bullets,
    Column,
    Document,
    Fold,
    Labelled,
    Paragraph,
    Picture,
    Roomy,
    Section,
    Table,
    Verbatim,
    blocks,
    section,
)
from sim.show.figures.style import nothing
from sim.show.layout import WIDTH
from sim.show.writers import html, text
from sim.trials.cautions import Hazard, told

EVIL = "<script>window.broken = 1</script>\x1b[31m"
COLUMNS = (
    Column("Tie-on", number=False, once=True),
    Column("Speed", "m/s"),
    Column("It", number=False),
    Column("Depth\nat most", "m", roomy=True),
)
ROWS = (
    ("nose", "0.50", "dives", "1.20"),
    ("nose", "0.90", "wakes", "0.00"),
    ("lip", "0.50", "spins", "0.30"),
)
PAGE = Document(
    "Oar <b>",
    blocks(
        Paragraph("It floats.", "good"),
        Section("Pulled", (Table(COLUMNS, ROWS, "What it does", note="Depth is of its middle."),), bare=True),
        section("Why", Bullets(("run `drytank explain`",)), Labelled((("At rest", "level"), ("", "and upright")))),
        Section("More", (Roomy((Paragraph("A long account."),)), Brief((Paragraph("In short."),)))),
        section("Picture", Picture(lambda: nothing("Drawn", "Here."), "one")),
        section("Patch", Verbatim("-a\n+b", "A patch"), Fold("Every value", (Paragraph("1, 2, 3"),))),
        section("Nothing", Bullets(()), Table(COLUMNS, ())),
    ),
    asks="why",
)  # fmt: skip


def words(page):
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    return " ".join("".join(root.find("body").itertext()).split())


def test_the_terminal_page_has_the_answer_first_and_no_line_too_long():
    page = text.write(PAGE)
    assert page.startswith("Oar <b>\n\nIt floats.\n\n        Speed\nTie-on")
    assert max(map(len, page.splitlines())) <= WIDTH


def test_what_repeats_in_a_leading_column_is_left_blank_on_a_terminal():
    lines = [line.split() for line in text.write(PAGE).splitlines()]
    assert ["nose", "0.50", "dives"] in lines
    assert ["0.90", "wakes"] in lines
    assert ["lip", "0.50", "spins"] in lines


def test_a_file_has_what_takes_more_room_and_a_terminal_what_stands_for_it():
    terminal, file = text.write(PAGE), words(html.write(PAGE))
    assert "In short." in terminal
    assert "A long account." not in terminal
    assert "1.20" not in terminal
    assert "A long account." in file
    assert "In short." not in file
    assert "1.20" in file


def test_a_section_with_nothing_to_say_is_nowhere():
    assert "Nothing" not in text.write(PAGE)
    assert 'href="#nothing"' not in html.write(PAGE)


def test_neither_writer_lets_a_name_do_anything():
    page = Document(
        EVIL, (Paragraph(EVIL, "head"), Bullets((EVIL,)), Verbatim(EVIL), Table(COLUMNS, ((EVIL,) * 4,)))
    )
    assert "\x1b" not in text.write(page)
    made = html.write(page, {EVIL: EVIL})
    assert "<script" not in made
    assert "\x1b" not in made


def test_colour_is_only_there_where_it_is_asked_for():
    assert "\x1b" not in text.write(PAGE)
    assert "\x1b[1;32m" in text.write(PAGE, text.Look(colour=True))


def test_a_file_ends_in_cautions_and_sources_and_says_that_chance_had_no_part():
    made = words(html.write(PAGE, {"a.toml": "x = 1"}, told([Hazard.LEAD])))
    assert made.rindex("Take care") < made.index("Lead is poison") < made.rindex("The file")
    assert "Nothing in this study is drawn by chance" in made


def test_a_word_of_the_glossary_is_explained_once():
    made = html.write(PAGE)
    assert made.count("runs well below the surface") == 1
    assert made.count("<button") == made.count('<span role="tooltip"') == 3
