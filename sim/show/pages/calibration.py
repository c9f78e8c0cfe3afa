"""The pages of `calibrate`: what the tests of a log teach, and what they do not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sim.show import lessons, readings
from sim.show.document import Bullets, Column, Document, Paragraph, Picture, Roomy, Table, blocks, section
from sim.show.lessons import value
from sim.show.units import Units
from sim.studies.calibration.fitted import CalibrationResult, Fitted, Residual, Standing

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def page(result: CalibrationResult, files: Sequence[str], units: Units, *, written: bool = False) -> Document:
    """What was learnt, what not and why, every test before and after, what to look at again."""

    def picture() -> Figure:
        from sim.show.figures.fitted import predicted_against_measured

        return predicted_against_measured(result, units)

    together = [f"{p.one} and {p.other}: r = {p.r:.2f}" for p in result.together]
    further = lessons.further(result, files, written)
    return Document(
        " and ".join(result.lures),
        blocks(
            Paragraph(lessons.answer(result), "head"),
            section("The picture", Picture(picture, "fit"), key="picture"),
            section(
                "What was learnt", _learnt(result),
                Roomy(blocks(Paragraph("" if _fitted(result) else "No coefficient on its own."))),
                bare=True, key="learnt",
            ),
            section(
                "Not told by these tests", Bullets(tuple(lessons.partly_fitted(result))),
                [Paragraph(words) for words in lessons.not_fitted(result)], key="open",
            ),
            section("Go together", Bullets(tuple(together)), key="pairs"),
            section("Every test", _tests(result, units), bare=True, key="tests"),
            section("Seems off at the bench", Bullets(tuple(lessons.along(result, units))), key="bench"),
            section("Look again", Bullets(tuple(lessons.again(result, files, units))), key="again"),
            section("Struck out, not used", Bullets(tuple(lessons.struck(result))), key="struck"),
            section(
                "How sure this is", Paragraph(" ".join(lessons.method(result))),
                Paragraph(" ".join(further), "quiet"), bare=True, key="sure",
            ),
        ),
        asks="what the tests teach",
    )  # fmt: skip


def _fitted(result: CalibrationResult) -> list[Fitted]:
    return [one for one in result.fitted if one.standing is Standing.FITTED]


def _cells(one: Fitted) -> tuple[str, ...]:
    was = f"{one.was:.2f} +- {one.was_sd:.2f}"
    return one.name, value(one), was, f"{100 * one.left:.0f} %", one.does


def _learnt(result: CalibrationResult) -> Table:
    columns = (
        Column("Fitted", number=False), Column("Now"), Column("Before"), Column("Doubt\nleft"),
        Column("It scales", number=False, widest=34),
    )  # fmt: skip
    return Table(columns, tuple(_cells(one) for one in _fitted(result)), "Fitted", broad=4)


def _tests(result: CalibrationResult, units: Units) -> Table:
    columns = (
        Column("Test"), Column("Figure", number=False, widest=12), Column("Seen", number=False, widest=20),
        Column("Before"), Column("After"), Column("Off\nbefore"), Column("Off\nafter"), Column("Off\nfitted"),
    )  # fmt: skip
    rows = tuple(_test(one, result, units) for one in result.tests)
    return Table(columns, rows, "Predicted against measured", broad=2)


def _test(one: Residual, result: CalibrationResult, units: Units) -> tuple[str, ...]:
    """The cells of one reading; its pull stands with its figure, for the width of the page."""
    figure, pull = readings.named(one.figure), readings.where(one.pull, one.speed_m_s, units)
    start = [
        lessons.label(one, result), ", ".join(filter(None, [figure, pull])),
        readings.stated(one.figure, one.word, one.low, one.high, one.sd, units),
        _model(one, one.before, units), _model(one, one.after, units),
    ]  # fmt: skip
    offs = [readings.off(off, off == 0.0) for off in (one.off_before, one.off_after, one.off_fitted)]
    return (*start, *offs[:2], "left out" if one.left_out else offs[2])


def _model(one: Residual, found: float | None, units: Units) -> str:
    if one.word is None:
        return readings.number(one.figure, found, units)
    return "?" if found is None else "yes" if found >= 0.0 else "no"
