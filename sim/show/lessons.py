"""The sentences of a calibration: its verdict, what it does not tell, what to look at again, what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from sim.show import readings, remarks
from sim.show.layout import clean
from sim.show.units import Units
from sim.studies.calibration.fit_parameters import THROWER
from sim.studies.calibration.fitted import (
    LEAST_FELT,
    CalibrationResult,
    Fitted,
    Outlier,
    Residual,
    Standing,
    TurnedAlong,
    WholeLure,
)
from sim.studies.calibration.write_back import anything, whole_of, worth_writing
from sim.trials.results import DISPLACED, SPARE_LIFT

A_LITTLE = 0.9  # share of the doubt left, from which on a coefficient is not told of on a line of its own
INPUTS = 6  # told of what was turned along
TRIED_BY = {
    "added_mass": "log the wobble rate of a pull", "munk": "log a drop time, or depths at two speeds",
    "slam": "nothing that is logged tells it well", "cross_drag": "log a drop time, let go level",
    "axial_drag": "log a drop time of a lure that goes nose or tail first, or the pull on the line",
    "tail_relief": "log the depth of a pull", "cross_relief": "log the wobble rate of a pull",
    "roll_drag": "log the wobble rate of a lure that rocks", "plate_lift": "log depths at two speeds",
    "plate_drag": "log a drop time, and the depth of a pull from a point with a steep lip",
    "plate_spin": "log a drop that flutters or spins", "plate_friction": "log the depth of a pull",
    "near_surface": "log what it does just under the surface", "shedding": "log the wobble rate of a pull",
    "wire_drag": "log a drop time of a lure with much bare wire", "hook_drag": "log a drop time with and without hooks",
    "shelter": "log the depth of a pull of a lure with a lip",
    "line_bend": "log the depth with two line diameters", "line_drag": "log a cast with two line diameters",
    THROWER: "log casts",
}  # fmt: skip
"""The test that tries each. Judgement, from which runs feel it."""


def answer(result: CalibrationResult) -> str:
    """The verdict in a sentence or two."""
    fitted = [one for one in result.fitted if one.standing is Standing.FITTED]
    if not fitted:
        start = f"{counted(result.readings, 'reading')} {'settles' if result.readings == 1 else 'settle'}"
        start += " no coefficient on its own"
        told = "what several do together" if result.lessons.learns else ""
        weight = "the spare lift" if result.lessons.learns and result.whole else ""
        both = " and ".join(filter(None, [weight, told]))
        start += f", but {both}." if both else "."
    else:
        most = sorted(fitted, key=lambda one: one.left)[:3]
        stated = ", ".join(f"{one.name} {value(one)}" for one in most)
        more = f" and {len(fitted) - 3} more" if len(fitted) > 3 else ""
        start = f"{counted(result.readings, 'reading')} fit {stated}{more}."
    return f"{start} {_misses(result)}"


def _misses(result: CalibrationResult) -> str:
    count = sum(not one.left_out for one in result.tests)
    before, after, fitted = result.unmet
    if result.lessons.farther:
        return (
            f"But in the file it would set more of the readings off than before, {after} of {count} for {before}: the "
            "log and the file do not agree about the lure itself. Settle what is named under Look again and Seems "
            "off at the bench first; until then nothing of it goes into the file."
        )
    if not (before or after or fitted):
        return "Every reading is met within two deviations, before and after."
    file = f" {after} with what goes into the file," if anything(result.lessons, len(result.lures)) else ""
    return (
        f"Off by more than two deviations: {before} of {count} before,{file} {fitted} as fitted, where what "
        "is in doubt at the bench is turned along."
    )


def value(one: Fitted) -> str:
    """After the tests, with its error."""
    unit = f" {one.unit}" if one.unit else ""
    return f"{one.value:.2f} +- {one.sd:.2f}{unit}"


# ---- what is not told ---------------------------------------------------------------------------------


def partly_fitted(result: CalibrationResult) -> list[str]:
    """Coefficients that are tried and not fitted, each with its reason."""
    return [
        f"{one.name}{f' {value(one)}' if worth_writing(one) else ''}: {why(one)}"
        for one in result.fitted
        if one.standing in (Standing.TOGETHER, Standing.HARDLY) and _half(one)
    ]


def _half(one: Fitted) -> bool:
    """Worth a line of its own."""
    return one.left < A_LITTLE or one.standing is Standing.TOGETHER


def not_fitted(result: CalibrationResult) -> list[str]:
    """Those of which the tests say next to nothing, or nothing: a sentence for each kind."""
    hardly = [one for one in result.fitted if one.standing is Standing.HARDLY and not _half(one)]
    barely = [one for one in result.fitted if one.standing is Standing.BARELY]
    untried = [one for one in result.fitted if one.standing is Standing.UNTRIED]
    out = []
    if hardly:
        stated = ", ".join(f"{one.name} ({100 * one.left:.0f} %)" for one in hardly)
        out.append(f"Hardly touched, with most of their doubt left: {stated}.")
    if barely:
        stated = "; ".join(f"{one.name} {_by(one)} ({_test(one)})" for one in barely)
        out.append(
            "Barely touched, too little to be turned. Off by all of its doubt, each would move the readings, all "
            f"together, by this share of their +-: {stated}."
        )
    if untried:
        out.append("No test tried " + "; ".join(f"{one.name} ({_test(one)})" for one in untried) + ".")
    return out


def _by(one: Fitted) -> str:
    return f"{one.felt:.2f}" if one.felt >= LEAST_FELT else "less than chance"


def _test(one: Fitted) -> str:
    """The test that would tell it."""
    return TRIED_BY.get(one.name, "")


def why(one: Fitted) -> str:
    """Why it is not fitted, and what test would tell it; nothing if it is."""
    match one.standing:
        case Standing.UNTRIED:
            return f"no test tried it: {_test(one)}"
        case Standing.BARELY:
            by = f"{one.felt:.2f} of their +-" if one.felt >= LEAST_FELT else "less than chance does"
            return f"barely touched: off by all of its doubt, it moves the readings together by {by}; {_test(one)}"
        case Standing.TOGETHER:
            return f"only together with {one.partner}: r = {one.r:.2f}; {_test(one)}"
        case Standing.HARDLY:
            return f"the tests hardly tell it: {100 * one.left:.0f} % of its doubt is left; {_test(one)}"
    return ""


# ---- what to look at ----------------------------------------------------------------------------------


def label(one: Residual, result: CalibrationResult) -> str:
    """The number of a test, with a letter for its lure where there are several."""
    return numbered(one.lure, one.test, result)


def numbered(lure: int, test: int, result: CalibrationResult) -> str:
    """As `label`."""
    return f"{chr(ord('A') + lure)}{test}" if len(result.lures) > 1 else str(test)


def along(result: CalibrationResult, units: Units) -> list[str]:
    """Findings for the bench: the whole lure, and what the fit turned along and no file carries."""
    out = [_whole(one, result, units) for one in result.whole if whole_of(result.lessons, one.lure)]
    out += [_along(one, result, units) for one in result.along[:INPUTS]]
    more = len(result.along) - INPUTS
    return [*out, f"and {more} more, which carry less"] if more > 0 else out


def _whole(one: WholeLure, result: CalibrationResult, units: Units) -> str:
    """What the tests say of the spare lift, and what is written of it."""
    whose = f" of {result.lures[one.lure]}" if len(result.lures) > 1 else ""

    def told(figure: str, value: float, sd: float) -> str:
        return readings.stated(figure, None, value, value, sd, units)

    return (
        f"spare lift{whose}: {told(SPARE_LIFT, one.spare_g, one.spare_sd_g)} by these tests, "
        f"{told(SPARE_LIFT, one.was_spare_g, one.was_spare_sd_g)} by the file. So it displaces "
        f"{told(DISPLACED, one.displaced_ml, one.displaced_sd_ml)}, which goes into the file as "
        "`measured.displaced`; a dunk would tell it better"
    )


def _along(one: TurnedAlong, result: CalibrationResult, units: Units) -> str:
    was, now = remarks.sentences((one.was, one.now), units)
    whose = f" of {result.lures[one.lure]}" if one.lure is not None and len(result.lures) > 1 else ""
    tests = list(dict.fromkeys(f"test {label(result.tests[n], result)}" for n in one.readings))
    hang = f"; {_and(tests)} {'hangs' if len(tests) == 1 else 'hang'} on it" if tests else ""
    far = f"{one.deviations:+.1f} of its doubt"
    if one.lure is None:
        return f"{one.name}, a coefficient that is not written: turned along from {was} to {now}, {far}{hang}"
    return f"{one.name}{whose}: rather {now} than {was}, {far}{hang}. Measure it"


def again(result: CalibrationResult, files: Sequence[str], units: Units) -> list[str]:
    """Readings that all others speak against, slips, what was not used, and what the file has otherwise."""
    left_out = any(one.left_out for one in result.tests)
    dragged = (
        "A reading that is far off drags the fit along, and others then look thrown about by chance: put right or "
        "strike out what is named here first, and calibrate again"
    )
    return [
        *(_against(one, result, files, units) for one in result.outliers),
        *readings.slips(result.slips, units),
        *(
            f"test {label(one, result)}, {_spoken(one)}, was left out: {remarks.sentence(one.left_out, units)}"
            for one in result.tests
            if one.left_out
        ),
        *([dragged] if left_out and (result.outliers or result.slips) else []),
        *remarks.sentences(result.notes, units),
    ]


def _against(one: Outlier, result: CalibrationResult, files: Sequence[str], units: Units) -> str:
    mine = [result.tests[n] for n in one.readings]
    first = mine[0]
    strike = f'drytank log {clean(files[first.lure])} --strike-out {first.test} --because "..."'
    named = _and([f"test {label(held, result)}, {_spoken(held)}" for held in mine])
    far = f"{abs(one.off):.0f}" if abs(one.off) >= 10.0 else f"{abs(one.off):.1f}"
    if len(mine) > 1:
        return (
            f"{named}: one of these is off, by {far} deviations. Without it the others agree, and nothing says which "
            f"it is. Measure again, and strike out the wrong one, as in `{strike}`"
        )
    says = ""
    if first.word is None and one.others is not None:
        others = (
            f"{readings.number(first.figure, one.others, units)} {readings.unit(first.figure, units)}".strip()
        )
        seen = readings.stated(first.figure, None, first.low, first.high, first.sd, units)
        says = f"; they make it {others}, where it says {seen}"
    return (
        f"{named}: all others speak against this one, by {far} deviations{says}. Measure it again; if it was a "
        f"slip, put it right or strike it out: `{strike}`"
    )


def _spoken(one: Residual) -> str:
    return f'"{clean(one.said)}"'


def struck(result: CalibrationResult) -> list[str]:
    """Tests that are struck out."""
    return [
        f'test {numbered(one.lure, one.test, result)}, "{clean(one.said)}": {clean(one.why)}'
        for one in result.struck
    ]


# ---- how, and what next -------------------------------------------------------------------------------


def method(result: CalibrationResult) -> list[str]:
    """How well it fits, and what was done about it."""
    words = [
        f"Squared misfits: {result.chi_square_before:.1f} before; {result.chi_square:.1f} as fitted, with how far "
        f"everything was turned, for {counted(result.readings, 'reading')}."
    ]
    if result.widened > 1.0:
        groups = [
            " or ".join(label(result.tests[n], result) for n in one.readings) for one in result.outliers
        ]
        why = (
            f"without test {_and(groups)} the others agree."
            if groups
            else "it is no few readings, so something is not as the file says, or not in the model."
        )
        words.append(
            f"That is more than chance, so every +- of the log was taken {result.widened:.1f} times as wide: {why}"
        )
    return words


def further(result: CalibrationResult, files: Sequence[str], written: bool) -> list[str]:
    """What to do next."""
    writes = anything(result.lessons, len(result.lures))
    words = []
    if writes or result.lessons.farther:
        words.append(
            "After is what `log` says once this is in the file; fitted, what comes out with all of the bench "
            "turned along as well."
        )
    words.append("The errors are those of prior and readings together.")
    if writes and not written:
        words.append("--write puts what was learnt into the file.")
    return [*words, f"`drytank advise {clean(files[0])}` says which test would teach most."]


def counted(count: int, word: str) -> str:
    """A number of things."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def _and(words: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))
