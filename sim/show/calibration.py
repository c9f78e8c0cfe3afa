"""The pages of `log` and `calibrate`: what was tested, what it teaches, and what it does not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from sim.show import layout, readings
from sim.show.layout import Column, Look, bullets, clean, paragraph, section, table
from sim.show.units import Units
from sim.studies.lessons.block import worth_writing
from sim.studies.lessons.fitted import CalibrationResult, Fitted, Held, Standing
from sim.studies.lessons.predicted import LogResult

if TYPE_CHECKING:
    from sim.show.report.frame import Part

PLAIN = Look()
TWO = 2.0  # deviations within which a reading fits
A_LITTLE = 0.9  # share of the doubt left, from which on a coefficient is not told of on a line of its own


# ---- the log ------------------------------------------------------------------------------------------


def log_page(result: LogResult, look: Look = PLAIN) -> str:
    """Every test, held against today's prediction."""
    held = [one for test in result.tests for one in test.held]
    off = [one for one in held if not one.fits]
    verdict = f"{_counted(len(result.tests), 'test')}, {_counted(len(held), 'reading')}: " + (
        "all fit the design." if not off else f"{len(off)} of them do not fit the design."
    )
    columns = [
        Column("Test"), Column("Date", number=False), Column("Figure", number=False, widest=12),
        Column("Pull", number=False, widest=10), Column("Seen", number=False, widest=20),
        Column("Design says"), Column("Off"),
    ]  # fmt: skip
    rows = []
    for k, test in enumerate(result.tests):
        for n, one in enumerate(test.held):
            rows.append(
                [
                    str(k + 1) if n == 0 else "", (test.date or "") if n == 0 else "",
                    readings.named(one.figure), readings.where(one.tie_on, one.speed_m_s, look.units),
                    readings.told(one.figure, one.word, one.low, one.high, one.sd, look.units),
                    _says(one.figure, one.predicted, look.units), _off(one.misfit, one.fits),
                ]
            )  # fmt: skip
    told = [
        f"Test {k + 1}: {'; '.join(filter(None, [', '.join(test.conditions), test.note]))}."
        for k, test in enumerate(result.tests)
        if test.conditions or test.note
    ]
    ways = (
        "Off is told in deviations of the reading; a word is off or it fits. `drytank calibrate` fits the "
        "model to the log."
    )
    return layout.page(
        look.paint(paragraph(clean(f"{result.design}: the log")), "head"),
        paragraph(verdict),
        table(look, columns, rows),
        bullets(told),
        section(look, "Does not agree with the file", result.notes),
        look.paint(paragraph(ways), "quiet"),
    )


def _says(figure: str, value: float | str | None, units: Units) -> str:
    if isinstance(value, str):
        return clean(value)
    return readings.number(figure, value, units)


def _off(misfit: float, fits: bool) -> str:
    if misfit in (float("inf"), float("-inf")):
        return "?"
    return "fits" if fits and abs(misfit) < 1e-9 else f"{misfit:+.1f}"


# ---- the calibration ----------------------------------------------------------------------------------


def page(
    result: CalibrationResult, files: Sequence[str], look: Look = PLAIN, *, written: bool = False
) -> str:
    """One page: what was learnt, what not and why, every test before and after."""
    rest = [one for one in result.fitted if one.standing is not Standing.FITTED]
    return layout.page(
        look.paint(paragraph(clean(f"{' and '.join(result.lures)}: what the tests teach")), "head"),
        look.paint(paragraph(answer(result)), "head"),
        _learnt(result, look),
        section(look, "Not told by these tests", [_unlearnt(one) for one in rest if _half(one)]),
        paragraph(hardly(rest)),
        paragraph(untried(rest)),
        section(look, "Go together", [f"{p.one} and {p.other}: r = {p.r:.2f}" for p in result.together]),
        _tests(result, look),
        section(look, "Look again", [*outliers(result), *result.notes, *result.inputs]),
        paragraph(" ".join(method(result))),
        look.paint(paragraph(" ".join(further(result, files, written))), "quiet"),
    )


def answer(result: CalibrationResult) -> str:
    """The verdict in a sentence or two."""
    fitted = [one for one in result.fitted if one.standing is Standing.FITTED]
    if not fitted:
        start = f"{_counted(result.readings, 'reading')} settle no coefficient on its own."
    else:
        most = sorted(fitted, key=lambda one: one.left)[:3]
        told = ", ".join(f"{one.name} {value(one)}" for one in most)
        more = f" and {len(fitted) - 3} more" if len(fitted) > 3 else ""
        start = f"{_counted(result.readings, 'reading')} fit {told}{more}."
    off = _misses(result.tests)
    after = (
        "As fitted, every reading is met within two deviations."
        if not off[1]
        else f"As fitted, {off[1]} of {result.readings} readings miss by more than two deviations."
    )
    before = f" Before, {off[0]} {'was' if off[0] == 1 else 'were'} off." if off[0] else ""
    return f"{start} {after}{before}"


def _misses(tests: Sequence[Held]) -> tuple[int, int]:
    used = [one for one in tests if not one.left_out]
    return sum(abs(one.off_before) > TWO for one in used), sum(abs(one.off_after) > TWO for one in used)


def value(one: Fitted) -> str:
    """After the tests, with its error."""
    unit = f" {one.unit}" if one.unit else ""
    return f"{one.value:.2f} +- {one.sd:.2f}{unit}"


def _learnt(result: CalibrationResult, look: Look) -> str:
    fitted = [one for one in result.fitted if one.standing is Standing.FITTED]
    columns = [
        Column("Fitted", number=False), Column("Now"), Column("Before"), Column("Doubt\nleft"),
        Column("It scales", number=False, widest=34),
    ]  # fmt: skip
    rows = [
        [one.name, value(one), f"{one.was:.2f} +- {one.was_sd:.2f}", f"{100 * one.left:.0f} %", one.does]
        for one in fitted
    ]
    return table(look, columns, rows) if rows else ""


def _tried(one: Fitted) -> bool:
    return one.standing is not Standing.UNTRIED


def _unlearnt(one: Fitted) -> str:
    kept = f" {value(one)}" if worth_writing(one) else ""
    return f"{one.name}{kept}: {one.why}"


def _half(one: Fitted) -> bool:
    """Tried, and worth a line of its own."""
    return _tried(one) and (one.left < A_LITTLE or one.standing is Standing.TOGETHER)


def hardly(rest: Sequence[Fitted]) -> str:
    """Coefficients of which the tests say next to nothing, with what is left of their doubt."""
    names = [one for one in rest if _tried(one) and not _half(one)]
    if not names:
        return ""
    told = ", ".join(f"{one.name} ({100 * one.left:.0f} %)" for one in names)
    return f"Hardly touched, with most of their doubt left: {told}."


def untried(rest: Sequence[Fitted]) -> str:
    """Coefficients that no test tried."""
    names = [one for one in rest if not _tried(one)]
    if not names:
        return ""
    return "No test tried " + "; ".join(f"{one.name} ({one.why.split(': ', 1)[1]})" for one in names) + "."


def _tests(result: CalibrationResult, look: Look) -> str:
    several = len(result.lures) > 1
    columns = [
        Column("Test"), Column("Figure", number=False, widest=12), Column("Pull", number=False, widest=10),
        Column("Seen", number=False, widest=20), Column("Before"), Column("After"), Column("Off\nbefore"),
        Column("Off\nafter"),
    ]  # fmt: skip
    rows = []
    for one in result.tests:
        left_out = bool(one.left_out)
        rows.append(
            [
                label(one, several), readings.named(one.figure),
                readings.where(one.pull, one.speed_m_s, look.units),
                readings.told(one.figure, one.word, one.low, one.high, one.sd, look.units),
                _model(one, one.before, look.units), _model(one, one.after, look.units),
                "left out" if left_out else _off(one.off_before, one.off_before == 0.0),
                "" if left_out else _off(one.off_after, one.off_after == 0.0),
            ]
        )  # fmt: skip
    return table(look, columns, rows)


def label(one: Held, several: bool) -> str:
    """The number of a test, with a letter for its lure where there are several."""
    return f"{chr(ord('A') + one.lure)}{one.test}" if several else str(one.test)


def _model(one: Held, found: float | None, units: Units) -> str:
    if one.word is None:
        return readings.number(one.figure, found, units)
    return "?" if found is None else "yes" if found >= 0.0 else "no"


def outliers(result: CalibrationResult) -> list[str]:
    """Readings that disagree with all others, and those that were not used."""
    several = len(result.lures) > 1
    out = [
        f'test {label(one, several)}, "{clean(one.said)}": this reading disagrees with all others; measure it again'
        for one in result.tests
        if one.outlier
    ]
    return out + [
        f'test {label(one, several)}, "{clean(one.said)}", was left out: {one.left_out}'
        for one in result.tests
        if one.left_out
    ]


def method(result: CalibrationResult) -> list[str]:
    """How well it fits, and what was done about it."""
    words = [
        f"Squared misfits: {result.chi_square_before:.1f} before; {result.chi_square:.1f} after, with how far "
        f"everything was turned, for {_counted(result.readings, 'reading')}."
    ]
    if result.widened > 1.0:
        words.append(
            f"That is more than chance, so every +- of the log was taken {result.widened:.1f} times as wide: "
            "something is not as the file says, or not in the model."
        )
    return words


def further(result: CalibrationResult, files: Sequence[str], written: bool) -> list[str]:
    """What to do next."""
    first = clean(files[0])
    words = [
        "The errors are those of prior and readings together; what the bench does not know exactly was turned "
        "along with the model."
    ]
    if not written:
        words.append("--write puts what was learnt into the file.")
    return [*words, f"`drytank advise {first}` says which test would teach most."]


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


# ---- as a page to keep --------------------------------------------------------------------------------


def report(result: CalibrationResult, files: Sequence[str], sources: Mapping[str, str], units: Units) -> str:
    """The same as one HTML file with its figure."""
    from sim.show.figures.fitted import predicted_against_measured
    from sim.show.report import markup
    from sim.show.report.study import figure_of, study_page

    several = len(result.lures) > 1
    rest = [one for one in result.fitted if one.standing is not Standing.FITTED]
    told = [*(_unlearnt(one) for one in rest if _half(one)), *filter(None, [hardly(rest)])]
    parts: list[Part] = [
        ("picture", "The picture", figure_of(predicted_against_measured(result, units), "fit")),
        ("learnt", "What was learnt", _learnt_table(result)),
    ]
    if told or untried(rest):
        parts.append(("open", "What was not", markup.listed([*told, *filter(None, [untried(rest)])])))
    if result.together:
        pairs = [(p.one, p.other, f"{p.r:.2f}") for p in result.together]
        parts.append(
            ("pairs", "What goes together", markup.table("Correlations", ("One", "Other", "r"), pairs, (2,)))
        )
    rows = [
        (
            label(one, several), readings.named(one.figure), readings.where(one.pull, one.speed_m_s, units),
            readings.told(one.figure, one.word, one.low, one.high, one.sd, units),
            _model(one, one.before, units), _model(one, one.after, units),
            "left out" if one.left_out else _off(one.off_before, one.off_before == 0.0),
            "" if one.left_out else _off(one.off_after, one.off_after == 0.0),
        )
        for one in result.tests
    ]  # fmt: skip
    heads = ("Test", "Figure", "Pull", "Seen", "Before", "After", "Off before", "Off after")
    parts.append(
        (
            "tests",
            "Every test",
            markup.table("Predicted against measured", heads, rows, (4, 5, 6, 7), broad=3),
        )
    )
    again = [*outliers(result), *result.notes, *result.inputs]
    if again:
        parts.append(("again", "Look again", markup.listed(again)))
    lures = " and ".join(result.lures)
    says = [answer(result), *method(result), *further(result, files, written=True)]
    return study_page(f"{lures}: what the tests teach", says, parts, sources)


def _learnt_table(result: CalibrationResult) -> object:
    from sim.show.report import markup

    rows = [
        (one.name, value(one), f"{one.was:.2f} +- {one.was_sd:.2f}", f"{100 * one.left:.0f} %", one.does)
        for one in result.fitted
        if one.standing is Standing.FITTED
    ]
    if not rows:
        return markup.tag("p", "No coefficient on its own.")
    return markup.table(
        "Fitted", ("Coefficient", "Now", "Before", "Doubt left", "It scales"), rows, (1, 2, 3), broad=4
    )
