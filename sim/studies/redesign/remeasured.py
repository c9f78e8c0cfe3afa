"""What was measured of the finished lure, carried over to the changed one.

`[measured]` beats what the parts add up to. A change to a part changes the finished lure by as much: what was
weighed, dunked and balanced is moved by what the parts say that it moves.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.design.model import Design, Measured
from sim.lure.moments import Array
from sim.lure.weigh import weigh


def measured(design: Design) -> bool:
    """Whether anything of the whole lure was measured that a changed part moves."""
    keys = ("weight", "displaced", "balance", "balance_up")
    return any(getattr(design.measured, key) is not None for key in keys)


def moved(before: Design, after: Design) -> dict[str, Any]:
    """Changes to `[measured]` that follow from changes to parts; empty where it moves by nothing.

    Raises:
        BuildError: one of the two cannot be built.
    """
    if not measured(before):
        return {}
    old, new = _parts(before), _parts(after)
    whole = before.measured
    weight = whole.weight.value if whole.weight is not None else float(old[0])
    out: dict[str, Any] = {}
    if whole.weight is not None and abs(new[0] - old[0]) > 1e-7:
        out["measured.weight"] = _text(1e3 * (weight + new[0] - old[0]), 1e3 * whole.weight.sd, "g")
    if whole.displaced is not None and abs(new[1] - old[1]) > 1e-10:
        value = 1e6 * (whole.displaced.value + new[1] - old[1])
        out["measured.displaced"] = _text(value, 1e6 * whole.displaced.sd, "mL")
        out |= {f"measured.{key}": None for key in ("level", "cup") if getattr(whole, key) is not None}
    for key, axis, sign in (("balance", 0, -1.0), ("balance_up", 2, 1.0)):
        place = getattr(whole, key)
        shift = sign * float(new[2 + axis] - old[2 + axis])
        if place is None or (abs(shift) < 1e-9 and abs(new[0] - old[0]) < 1e-7):
            continue
        at = (place.value * weight + shift) / (weight + new[0] - old[0])
        out[f"measured.{key}"] = _text(1e3 * at, 1e3 * place.sd, "mm")
        if whole.poise is not None and key == "balance":
            out["measured.poise"] = None
    return out


def _parts(design: Design) -> Array:
    """Mass, volume and first moments of mass (3) of what the parts add up to."""
    bare = weigh(design.model_copy(update={"measured": Measured()}))
    return np.array([bare.mass, bare.volume, *(bare.mass * bare.centre)])


def _text(value: float, sd: float, unit: str) -> str:
    return f"{value:.2f} +- {sd:.2g} {unit}" if sd else f"{value:.2f} {unit}"
