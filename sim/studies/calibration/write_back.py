"""What a calibration taught, written into a design file: the `[calibration]` table, whole or not at all.

What was learnt of the lure itself goes where a design has it: `cast.speed`, `measured.weight`, `measured.displaced`.
The table keeps what stood there before, so that the next calibration starts from that.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from sim.design.edit import edited, with_line_ends
from sim.design.load import read
from sim.design.model import Design
from sim.design.priors import MODEL
from sim.studies.calibration.fit_parameters import THROWER
from sim.studies.calibration.fitted import CalibrationResult, Fitted, Lessons, Standing, WholeLure
from sim.units import Quantity, parse

MOVED, LEFT = 0.03, 0.95  # prior deviations: what has moved or learnt less than this is not worth a line


def worth_writing(one: Fitted) -> bool:
    """Whether the tests changed what is known of it; also of those told only together with others."""
    return one.standing not in (Standing.UNTRIED, Standing.BARELY) and (
        abs(one.deviations) > MOVED or one.left < LEFT
    )


def written(lessons: Lessons, lure: int) -> list[Fitted]:
    """What goes into the file of a lure: what the tests changed, and the thrower only if he is fitted.

    Nothing where the tests settle nothing.
    """
    if not lessons.settled:
        return []
    own = [one for one in lessons.fitted if one.lure in (None, lure) and worth_writing(one)]
    return [one for one in own if one.name != THROWER or one.standing is Standing.FITTED]


def whole_of(lessons: Lessons, lure: int) -> WholeLure | None:
    """What goes into the file of a lure of its weight and what it displaces."""
    return next((one for one in lessons.whole if one.lure == lure), None) if lessons.settled else None


def anything(lessons: Lessons, lures: int) -> bool:
    """Whether anything goes into any of the files."""
    return any(written(lessons, lure) or whole_of(lessons, lure) for lure in range(lures))


def changes_of(lessons: Lessons, lure: int) -> dict[str, Quantity]:
    """The same as changes of a design, by path: the values to the last digit that is written."""
    out = {
        THROWER if one.name == THROWER else f"{MODEL}{one.name}": parse(
            _text(one), "speed" if one.unit else "factor"
        )
        for one in written(lessons, lure)
    }
    for path, text in _measured(whole_of(lessons, lure)).items():
        out[path] = parse(text, "mass" if path.endswith("weight") else "volume")
    return out


def _measured(whole: WholeLure | None) -> dict[str, str]:
    """The whole lure as a design file has it."""
    if whole is None:
        return {}
    out = {"measured.displaced": f"{to_error(whole.displaced_ml, whole.displaced_sd_ml)} mL"}
    if whole.weighed:
        out["measured.weight"] = f"{to_error(whole.weight_g, whole.weight_sd_g)} g"
    return out


def with_calibration(
    text: str, design: Design, result: CalibrationResult, lure: int, when: datetime.date, folder: Path
) -> str:
    """The text of a design file with the calibration in it, in place of an earlier one.

    Args:
        design: as the text reads. folder: where the files that it names are.

    Raises:
        DesignError: what would be written is no design; nothing should be written then.
    """
    own, whole_lure = written(result.lessons, lure), whole_of(result.lessons, lure)
    factors = [one for one in own if one.name != THROWER]
    thrower = next((one for one in own if one.name == THROWER), None)
    before = design.calibration.cast_speed_before
    changes: dict[str, Any] = {"calibration": None} if design.calibration.model_fields_set else {}
    speed = before or design.cast.speed
    if thrower is not None:
        changes["cast.speed"] = _text(thrower)
    elif before is not None:
        changes["cast.speed"] = speed.text
    stood = measured_before(design)
    changes |= whole_changes(design, stood | _measured(whole_lure))
    bare = edited(text, changes)
    block = _block(
        result, factors, None if thrower is None else speed.text or f"{speed.value:.4g} m/s",
        None if whole_lure is None else stood, when,
    )  # fmt: skip
    whole = with_line_ends(text, f"{bare.rstrip()}\n\n{block}")
    read(whole, "design", folder)
    return whole


def measured_before(design: Design) -> dict[str, str | None]:
    """What a file had of the whole lure before its tests told it, by path; None where there was nothing."""
    known = design.calibration.measured_before or design.measured
    return {
        f"measured.{key}": None if told is None else told.text
        for key, told in (("weight", known.weight), ("displaced", known.displaced))
    }


def whole_changes(design: Design, wanted: Mapping[str, str | None]) -> dict[str, str | None]:
    """Changes that give a file these values of the whole lure; a table that they leave empty goes as a whole."""
    given = {f"measured.{key}" for key in design.measured.model_fields_set}
    gone = {path for path, text in wanted.items() if text is None} & given
    if gone and gone == given | {path for path, text in wanted.items() if text is not None}:
        return {"measured": None}
    return {path: text for path, text in wanted.items() if text is not None or path in given}


def _block(
    result: CalibrationResult,
    factors: list[Fitted],
    before: str | None,
    measured: Mapping[str, str | None] | None,
    when: datetime.date,
) -> str:
    tests = len({(held.lure, held.test) for held in result.tests})
    table = tomlkit.table()
    table.add(
        tomlkit.comment(f"Fitted by `drytank calibrate` on {when} to {_counted(tests, 'test')} of the log.")
    )
    table.add(tomlkit.comment("Run it again after more tests; it starts from the model, not from here."))
    for one in factors:
        table.add(one.name, _text(one))
    names = {one.name for one in factors}
    pairs = [pair for pair in result.together if {pair.one, pair.other} <= names]
    if pairs:
        listed = tomlkit.array().multiline(True)
        for pair in pairs:
            row = tomlkit.inline_table()
            row.update({"one": pair.one, "other": pair.other, "r": round(pair.r, 2)})
            listed.append(row)
        table.add("together", listed)
    if before is not None:
        table.add("cast_speed_before", before)
    if measured is not None:
        stood = tomlkit.inline_table()
        stood.update({path.split(".")[1]: text for path, text in measured.items() if text is not None})
        table.add("measured_before", stood)
    lures = " and ".join(result.lures)
    table.add(
        "note",
        f"{when}: {_counted(result.readings, 'reading')} of {_counted(tests, 'test')} with {lures}"[:400],
    )
    document = tomlkit.document()
    document.add("calibration", table)
    return tomlkit.dumps(document)


def _text(one: Fitted) -> str:
    """A value with its error, and its unit."""
    unit = f" {one.unit}" if one.unit else ""
    return f"{to_error(one.value, one.sd)}{unit}"


def to_error(value: float, sd: float) -> str:
    """A value with its error, to three figures of the error: a lure near a change of motion answers to little."""
    places = max(0, 2 - math.floor(math.log10(sd))) if sd > 0.0 else 3
    return f"{value:.{places}f} +- {sd:.{places}f}"


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
