"""What a calibration taught, written into a design file: the `[calibration]` table, whole or not at all."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import tomlkit

from sim.design.edit import edited, with_line_ends
from sim.design.load import read
from sim.design.model import Design
from sim.design.priors import MODEL
from sim.studies.calibration.fit_parameters import THROWER
from sim.studies.calibration.fitted import CalibrationResult, Fitted, Standing
from sim.units import Quantity, parse

MOVED, LEFT = 0.1, 0.95  # prior deviations: what has moved or learnt less than this is not worth a line


def worth_writing(one: Fitted) -> bool:
    """Whether the tests changed what is known of it; also of those told only together with others."""
    return one.standing not in (Standing.UNTRIED, Standing.BARELY) and (
        abs(one.deviations) > MOVED or one.left < LEFT
    )


def settled(fitted: Sequence[Fitted]) -> bool:
    """Whether the tests settle anything; else nothing is written at all."""
    return any(one.standing is Standing.FITTED for one in fitted)


def written(fitted: Sequence[Fitted], lure: int) -> list[Fitted]:
    """What goes into the file of a lure: what the tests changed, and the thrower only if he is fitted."""
    if not settled(fitted):
        return []
    own = [one for one in fitted if one.lure in (None, lure) and worth_writing(one)]
    return [one for one in own if one.name != THROWER or one.standing is Standing.FITTED]


def changes_of(fitted: Sequence[Fitted], lure: int) -> dict[str, Quantity]:
    """The same as changes of a design, by path: the values to the last digit that is written."""
    return {
        THROWER if one.name == THROWER else f"{MODEL}{one.name}": parse(
            _text(one), "speed" if one.unit else "factor"
        )
        for one in written(fitted, lure)
    }


def with_calibration(
    text: str, design: Design, result: CalibrationResult, lure: int, when: datetime.date, folder: Path
) -> str:
    """The text of a design file with the calibration in it, in place of an earlier one.

    Args:
        design: as the text reads. folder: where the files that it names are.

    Raises:
        DesignError: what would be written is no design; nothing should be written then.
    """
    own = written(result.fitted, lure)
    factors = [one for one in own if one.name != THROWER]
    thrower = next((one for one in own if one.name == THROWER), None)
    before = design.calibration.cast_speed_before
    changes: dict[str, Any] = {"calibration": None} if design.calibration.model_fields_set else {}
    speed = before or design.cast.speed
    if thrower is not None:
        changes["cast.speed"] = _text(thrower)
    elif before is not None:
        changes["cast.speed"] = speed.text
    bare = edited(text, changes)
    block = _block(result, factors, None if thrower is None else speed.text or f"{speed.value:.4g} m/s", when)
    whole = with_line_ends(text, f"{bare.rstrip()}\n\n{block}")
    read(whole, "design", folder)
    return whole


def _block(result: CalibrationResult, factors: list[Fitted], before: str | None, when: datetime.date) -> str:
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
    lures = " and ".join(result.lures)
    table.add(
        "note",
        f"{when}: {_counted(result.readings, 'reading')} of {_counted(tests, 'test')} with {lures}"[:400],
    )
    document = tomlkit.document()
    document.add("calibration", table)
    return tomlkit.dumps(document)


def _text(one: Fitted) -> str:
    """A value with its error, to two figures of the error."""
    places = max(0, 1 - math.floor(math.log10(one.sd))) if one.sd > 0.0 else 3
    unit = f" {one.unit}" if one.unit else ""
    return f"{one.value:.{places}f} +- {one.sd:.{places}f}{unit}"


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
