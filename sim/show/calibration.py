"""The pages of `calibrate`: what the tests of a log teach, and what they do not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from sim.show import layout, lessons, readings
from sim.show.layout import Column, Look, clean, paragraph, section, table
from sim.show.lessons import value
from sim.show.units import Units
from sim.studies.calibration.fitted import CalibrationResult, Fitted, Residual, Standing

if TYPE_CHECKING:
    from sim.show.report.frame import Part

PLAIN = Look()


def page(
    result: CalibrationResult, files: Sequence[str], look: Look = PLAIN, *, written: bool = False
) -> str:
    """One page: what was learnt, what not and why, every test before and after, what to look at again."""
    return layout.page(
        look.paint(paragraph(clean(f"{' and '.join(result.lures)}: what the tests teach")), "head"),
        look.paint(paragraph(lessons.answer(result)), "head"),
        _learnt(result, look),
        section(look, "Not told by these tests", lessons.half_told(result)),
        *(paragraph(words) for words in lessons.untold(result)),
        section(look, "Go together", [f"{p.one} and {p.other}: r = {p.r:.2f}" for p in result.together]),
        _tests(result, look),
        section(look, "Seems off at the bench", lessons.along(result)),
        section(look, "Look again", lessons.again(result, files, look.units)),
        section(look, "Struck out, not used", lessons.struck(result)),
        paragraph(" ".join(lessons.method(result))),
        look.paint(paragraph(" ".join(lessons.further(result, files, written))), "quiet"),
    )


def _fitted(result: CalibrationResult) -> list[Fitted]:
    return [one for one in result.fitted if one.standing is Standing.FITTED]


def _cells(one: Fitted) -> list[str]:
    return [one.name, value(one), f"{one.was:.2f} +- {one.was_sd:.2f}", f"{100 * one.left:.0f} %", one.does]


def _learnt(result: CalibrationResult, look: Look) -> str:
    columns = [
        Column("Fitted", number=False), Column("Now"), Column("Before"), Column("Doubt\nleft"),
        Column("It scales", number=False, widest=34),
    ]  # fmt: skip
    rows = [_cells(one) for one in _fitted(result)]
    return table(look, columns, rows) if rows else ""


def _tests(result: CalibrationResult, look: Look) -> str:
    columns = [
        Column("Test"), Column("Figure", number=False, widest=12), Column("Seen", number=False, widest=20),
        Column("Before"), Column("After"), Column("Off\nbefore"), Column("Off\nafter"), Column("Off\nfitted"),
    ]  # fmt: skip
    return table(look, columns, [_test(one, result, look.units) for one in result.tests])


def _test(one: Residual, result: CalibrationResult, units: Units) -> list[str]:
    """The cells of one reading; its pull stands with its figure, for the width of the page."""
    figure, pull = readings.named(one.figure), readings.where(one.pull, one.speed_m_s, units)
    start = [
        lessons.label(one, result), ", ".join(filter(None, [figure, pull])),
        readings.told(one.figure, one.word, one.low, one.high, one.sd, units),
        _model(one, one.before, units), _model(one, one.after, units),
    ]  # fmt: skip
    offs = [readings.off(off, off == 0.0) for off in (one.off_before, one.off_after, one.off_fitted)]
    return [*start, *offs[:2], "left out" if one.left_out else offs[2]]


def _model(one: Residual, found: float | None, units: Units) -> str:
    if one.word is None:
        return readings.number(one.figure, found, units)
    return "?" if found is None else "yes" if found >= 0.0 else "no"


# ---- as a page to keep --------------------------------------------------------------------------------


def report(result: CalibrationResult, files: Sequence[str], sources: Mapping[str, str], units: Units) -> str:
    """The same as one HTML file with its figure."""
    from sim.show.figures.fitted import predicted_against_measured
    from sim.show.report.study import figure_of, study_page
    from sim.show.writers import markup

    parts: list[Part] = [
        ("picture", "The picture", figure_of(predicted_against_measured(result, units), "fit")),
        ("learnt", "What was learnt", _learnt_table(result)),
    ]
    told = [*lessons.half_told(result), *lessons.untold(result)]
    if told:
        parts.append(("open", "What was not learnt", markup.listed(told)))
    if result.together:
        pairs = [(p.one, p.other, f"{p.r:.2f}") for p in result.together]
        parts.append(
            ("pairs", "What goes together", markup.table("Correlations", ("One", "Other", "r"), pairs, (2,)))
        )
    heads = ("Test", "Figure", "Seen", "Before", "After", "Off before", "Off after", "Off fitted")
    rows = [tuple(_test(one, result, units)) for one in result.tests]
    parts.append(
        (
            "tests",
            "Every test",
            markup.table("Predicted against measured", heads, rows, (3, 4, 5, 6, 7), broad=2),
        )
    )
    for name, title, items in (
        ("bench", "Seems off at the bench", lessons.along(result)),
        ("again", "Look again", lessons.again(result, files, units)),
        ("struck", "Struck out, not used", lessons.struck(result)),
    ):
        if items:
            parts.append((name, title, markup.listed(items)))
    lures = " and ".join(result.lures)
    sure = [*lessons.method(result), *lessons.further(result, files, written=True)]
    parts.append(("sure", "How sure this is", markup.listed(sure)))
    return study_page(f"{lures}: what the tests teach", [lessons.answer(result)], parts, sources)


def _learnt_table(result: CalibrationResult) -> object:
    from sim.show.writers import markup

    rows = [tuple(_cells(one)) for one in _fitted(result)]
    if not rows:
        return markup.tag("p", "No coefficient on its own.")
    return markup.table(
        "Fitted", ("Coefficient", "Now", "Before", "Doubt left", "It scales"), rows, (1, 2, 3), broad=4
    )
