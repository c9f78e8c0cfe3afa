"""The lures built last, for studies whose cases mostly change what no lure is made of."""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from typing import Any

from sim.design.model import Design
from sim.lure.assemble import build
from sim.lure.bodies import tie_on_point
from sim.lure.lure import Lure

NO_PART = ("about", "water", "line", "cast", "retrieve", "calibration", "tie_on")
"""Groups of a design that `build` makes nothing of, but for the points of the eyes."""

MOST = 4
_kept: deque[tuple[bool, dict[str, Any], Lure]] = deque(maxlen=MOST)


def built(design: Design, with_hulls: bool = True) -> Lure:
    """As `build`; if all parts are those of a lure built before, that one, with its eyes where they are now.

    A body from a mesh file is always built: the file may have changed.

    Raises:
        BuildError: a design that cannot be built.
    """
    parts = {name: value for name, value in design.__dict__.items() if name not in NO_PART}
    for hulls, others, lure in tuple(_kept):
        if hulls == with_hulls and others == parts:
            return replace(lure, tie_ons={name: tie_on_point(tie) for name, tie in design.tie_on.items()})
    lure = build(design, with_hulls=with_hulls)
    if all(body.file is None for body in design.body.values()):
        _kept.append((with_hulls, parts, lure))
    return lure
