"""The pages and pictures of the studies that decide: nothing cut off, nothing left out, nothing said twice."""

import re

import html5lib
import pytest

from sim.show import suspect_words, values
from sim.show.figures import labels
from sim.show.figures.fitted import predicted_against_measured
from sim.show.figures.spread import spread
from sim.show.figures.suspects import bars
from sim.show.inputs import value
from sim.show.pages import explanation as explained
from sim.show.units import METRIC, US
from sim.show.writers import html
from tests.show import decided, looks

X = "{http://www.w3.org/1999/xhtml}"
LONG = "the longest name that anybody ever gave to a lure carved of driftwood"
NAMED = ("Thimble Oar", LONG, "x" * 60)


def root(name, word="Thimble Oar"):
    return html5lib.HTMLParser(namespaceHTMLElements=True).parse(decided.page(name, word))


def words(element):
    return " ".join("".join(element.itertext()).split())


def sections(tree):
    return {s.get("id"): s for s in tree.iter(f"{X}section")}


def verdict(tree):
    return next(e for e in tree.iter(f"{X}div") if "verdict" in e.get("class", ""))


def seen(figure):
    return [text.get_text() for text, _ in looks.texts(figure)]


def pictures(word="Thimble Oar", units=METRIC):
    found = decided.explanation(word)
    return {
        "spread": spread(decided.tolerance(word), units),
        "suspects": bars(explained.shown(found), found, units),
        "fitted": predicted_against_measured(decided.calibrated(word), units),
    }


# ---- pictures -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("word", NAMED)
def test_no_text_of_a_picture_is_cut_off_or_runs_into_another(word, units):
    for name, figure in pictures(word, units).items():
        assert looks.misplaced(figure) == [], name


def test_every_answer_of_a_bar_is_named_however_narrow_it_is():
    result = decided.tolerance("Thimble Oar")
    told = seen(spread(result))
    for question in result.questions:
        for share in question.answers:
            assert f"{values.headline(share.answer)} {share.count}" in told


def test_a_long_question_and_a_long_cause_are_told_whole():
    shown = pictures(LONG)
    assert f"dives at least 1.25 m deep at 0.9 m/s from {LONG}" in " ".join(seen(shown["spread"]))
    slip = next(
        cause
        for group in decided.explanation(LONG).groups
        for cause in group.causes
        if "rear_third" in cause.name
    )
    words = f"{suspect_words.name(slip)}: {suspect_words.becomes(slip, METRIC)}".replace("\u00a0", " ")
    assert words in " ".join(seen(shown["suspects"]))


def test_causes_are_told_in_the_readers_units_in_picture_and_table():
    assert "0.709 in" in " ".join(seen(pictures(units=US)["suspects"]))
    found = decided.explanation("Thimble Oar")
    page = html.write(explained.explanation("Thimble Oar", found, US), {"a.toml": ""})
    table = words(sections(html5lib.HTMLParser(namespaceHTMLElements=True).parse(page))["causes"])
    assert "0.709 in -> 1.81 in back" in table.replace("\u00a0", " ")
    assert " mm" not in table


def test_a_key_stands_in_a_picture_as_it_stands_in_the_file():
    assert "calibration.added_inertia: 1.37" in seen(pictures()["suspects"])


def test_a_bar_longer_than_the_sheet_says_so_and_only_then():
    found = decided.explanation("Thimble Oar")
    assert "dotted end" in " ".join(seen(bars(explained.shown(found), found)))
    close = found.model_copy(update={"cost_as_designed": 9.5, "groups": found.groups[-1:]})
    assert "dotted end" not in " ".join(seen(bars(explained.shown(close), close)))


def test_every_test_has_a_row_and_one_that_was_left_out_says_so():
    result = decided.calibrated("Thimble Oar")
    told = seen(predicted_against_measured(result))
    numbers = [text.split(":")[0] for text in told if re.match(r"\d+:", text)]
    assert sorted(numbers) == [str(one.test) for one in result.tests]
    assert told.count("left out") == sum(bool(one.left_out) for one in result.tests) == 1


def test_what_is_farther_off_than_the_scale_goes_stands_at_its_edge_with_its_number():
    far = seen(predicted_against_measured(decided.calibrated("Oar", ((-4.8, 0.0), (15.2, 9.4), (-7.3, 0.1)))))
    assert "+15\nnow +9" in far
    assert "-7" in far
    assert "at the edge" in " ".join(far)
    near = seen(predicted_against_measured(decided.calibrated("Oar", ((-4.8, 0.0), (5.9, -5.9)))))
    assert "at the edge" not in " ".join(near)


def test_lines_of_a_label_keep_its_words_and_its_room():
    lines = labels.lines_of(f"{LONG} {'y' * 90}", 2.0)
    assert " ".join(lines[:-1]) == LONG
    assert lines[-1].endswith("\u2026")
    assert all(labels.width_in(line) <= 2.0 for line in lines)
    assert labels.lines_of("", 2.0) == [""]


# ---- pages --------------------------------------------------------------------------------------------


def test_the_luck_of_a_design_is_told_in_a_few_sentences_and_every_pull_in_a_row():
    tree = root("tolerance")
    said = [words(p) for p in verdict(tree)]
    assert said[0].startswith("Dives")
    assert said[0].endswith("in 88 of 100 builds (81 to 94).")
    pulls = [one for one in decided.tolerance("").questions if one.tie_on is not None]
    assert len(said) == 4
    assert f"in 2 of {len(pulls)} pulls" in said[-1]
    rows = [[words(cell) for cell in row] for row in sections(tree)["pulled"].iter(f"{X}tr")][1:]
    assert [row[0] for row in rows] == [one.tie_on for one in pulls]
    assert rows[0][3:] == ["58", "51 to 64", "tracks off to a side 19, rolls over 12, spirals 7, unknown 4"]


def shown(one):
    return value(one.value_si, one.dimension, METRIC).replace("\u00a0", " ")


def test_inputs_known_alike_share_a_row_and_none_is_missing():
    inputs = decided.tolerance("Oar").inputs
    rows = [
        [words(cell) for cell in row] for row in sections(root("tolerance", "Oar"))["inputs"].iter(f"{X}tr")
    ][1:]
    assert len(rows) == len({(one.why.key, one.sd_si) for one in inputs}) < len(inputs)
    assert rows[1][:2] == ["Usual: nothing sits where it was drawn", "+- 0.30 mm"]
    assert rows[1][2] == "hook.tail.at.back 64.0 mm, hook.tail.at.up -6.00 mm"
    told = " ".join(row[2] for row in rows)
    assert all(f"{one.path} {shown(one)}" in told for one in inputs)


def test_the_first_test_that_is_advised_is_told_once():
    tree = root("advise")
    first = words(verdict(tree))
    assert words(tree).count(first) == 1
    assert len(list(sections(tree)["tests"].iter(f"{X}li"))) == 2
    assert "takes" in sections(tree)
    assert words(sections(tree)["known"]).startswith("How sure this is")


def test_causes_stand_in_groups_without_empty_columns():
    tree = root("explain")
    rows = [[words(cell) for cell in row] for row in sections(tree)["causes"].iter(f"{X}tr")]
    assert rows[0] == ["Group", "What", "As designed", "Would be", "Turns at", "Likely, of 100"]
    assert [row[0] for row in rows[1:]] == ["1", "1", "2", "3"]
    found = decided.explanation("Thimble Oar")
    slips = found.model_copy(update={"groups": found.groups[1:]})
    page = html.write(explained.explanation("Thimble Oar", slips, METRIC), {"a.toml": ""})
    tree = html5lib.HTMLParser(namespaceHTMLElements=True).parse(page)
    heads = [words(cell) for cell in next(sections(tree)["causes"].iter(f"{X}tr"))]
    assert heads == ["Group", "What", "Would be", "Likely, of 100"]


def test_each_remedy_has_its_number_and_its_patch_a_name():
    tree = root("remedy")
    heads = [words(h) for h in tree.iter(f"{X}h2")]
    assert "1. Leave body.hammerhead_shark empty and sealed" in heads
    assert "2. Move ballast.Thimble Oar back by 2 mm" in heads
    named = [pre.get("aria-label") for pre in sections(tree)["one"].iter(f"{X}pre")]
    assert named == ["As a patch of the file"]


def test_the_method_of_a_calibration_stands_under_how_sure_and_not_in_its_answer():
    tree = root("calibrate")
    assert "Squared misfits" not in words(verdict(tree))
    assert "Squared misfits" in words(sections(tree)["sure"])


@pytest.mark.parametrize("name", decided.NAMES)
def test_no_page_shows_the_marks_of_a_command_as_they_are_typed(name):
    shown = " ".join(words(s) for key, s in sections(root(name)).items() if key != "file")
    assert "`" not in shown
