"""What is legal in a design but looks like a slip."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from sim.design.contradictions import contradictions
from sim.design.extent import extent, point
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.design.problems import printable
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

SLOWEST, FASTEST = 0.05, 4.0  # m/s, of a line, that the laws of drag and lift were checked for


def warnings(design: Design) -> list[Remark]:
    """What is legal but looks like a slip."""
    checks = (_far_tie_ons, _far_parts, _proud_ballast, _light_whole, contradictions, _stiff, _odd_speeds)
    return [one for check in checks for one in check(design)]


def _far_tie_ons(design: Design) -> Iterator[Remark]:
    """Tie-on points more than half the lure's length away from all of it."""
    box = extent(design)
    if box is None:
        return
    length = max(high - low for low, high in box)
    for name, tie in design.tie_on.items():
        place = zip(point(tie.at), box, strict=True)
        away = math.hypot(*(max(low - x, x - high, 0.0) for x, (low, high) in place))
        if away > 0.5 * length:
            yield remark(
                "far_tie_on", name=name, away=Amount(away, "length"), length=Amount(length, "length")
            )


def _far_parts(design: Design) -> Iterator[Remark]:
    """Plates, hooks and ballast more than half the bodies' length away from every body."""
    bodies = extent(Design(name=design.name, body=design.body))
    if bodies is None or not design.body:
        return
    length = max(high - low for low, high in bodies)
    places = [(f"plate.{name}.root", plate.root) for name, plate in design.plate.items()]
    for kind in ("hook", "fitting", "ballast"):
        places += [(f"{kind}.{name}.at", part.at) for name, part in getattr(design, kind).items()]
    for key, place in places:
        own = zip(point(place), bodies, strict=True)
        away = math.hypot(*(max(low - x, x - high, 0.0) for x, (low, high) in own))
        if away > 0.5 * length:
            yield remark("far_part", part=key, away=Amount(away, "length"), length=Amount(length, "length"))


def _proud_ballast(design: Design) -> Iterator[Remark]:
    """Drilled-in ballast that, as a ball or as its rod, would stick out of an upright body above or below."""
    for name, ballast in design.ballast.items():
        body = design.body.get(ballast.body or next(iter(design.body), ""))
        stuff = ballast.density.value if ballast.density else _density(ballast.material or "lead")
        if (
            body is None
            or ballast.place != "drilled"
            or ballast.weight is None
            or stuff is None
            or body.angle.value
        ):
            continue
        reach = _belly_and_back(body, ballast.at.back.value - body.at.back.value)
        if reach is None:
            continue
        rod, up_down = ballast.rod(), ballast.way()[2] != 0.0
        ball = (3.0 * ballast.weight.value / (4.0 * math.pi * stuff)) ** (1.0 / 3.0)
        radius = ball if rod is None else 0.5 * rod[up_down]
        up = ballast.at.up.value - body.at.up.value
        out = max(reach[0] - (up - radius), up + radius - reach[1])
        if out > 0.0005:
            yield remark(
                "ballast_proud", name=name, rod=rod is not None, weight=Amount(ballast.weight.value, "mass"),
                out=Amount(out, "length"),
            )  # fmt: skip


def _density(material: str) -> float | None:
    found = find(material)
    return None if found is None else found.density


def _belly_and_back(body: Body, back: float) -> tuple[float, float] | None:
    """Lowest and highest point of a body at a place along it, from its axis; None where it is not told or not there."""
    if body.shape == "ellipsoid" and body.length and body.height:
        half = 0.5 * body.length.value
        share = 1.0 - ((back - half) / half) ** 2
        reach = 0.5 * body.height.value * math.sqrt(share) if share > 0.0 else 0.0
        return (-reach, reach) if share > 0.0 else None
    for one, two in pairwise(body.stations):
        low, high = one.back.value, two.back.value
        if low <= back <= high and high > low:
            part = (back - low) / (high - low)
            middle = one.up.value + part * (two.up.value - one.up.value)
            reach = 0.5 * (one.height.value + part * (two.height.value - one.height.value))
            return middle - reach, middle + reach
    return None


def _light_whole(design: Design) -> Iterator[Remark]:
    """A whole that weighs less than the parts that were weighed, by more than twice the doubt."""
    told = design.measured.weight
    if told is None:
        return
    weights: list[Quantity] = []
    for group in (design.body, design.plate, design.wire, design.hook, design.fitting, design.ballast):
        for part in group.values():
            given = [part.weight, part.fill_weight if isinstance(part, Body) else None]
            weights += [w for w in given if w is not None] * (2 if part.mirrored else 1)
    if design.paint is not None and design.paint.weight is not None:
        weights.append(design.paint.weight)
    total = math.fsum(w.value for w in weights)
    doubt = 2 * math.hypot(told.sd, *(w.sd for w in weights))
    if told.value < total - doubt - 1e-3 * total:
        yield remark("whole_light", given=printable(told.text), total=Amount(total, "mass"))


def _stiff(design: Design) -> Iterator[Remark]:
    """Soft tails and spinning blades, which are reckoned as stiff plates."""
    for name, plate in design.plate.items():
        words = (plate.material or "").lower().replace("_", " ").split()
        if plate.role == "tail" and {"soft", "silicone"} & set(words):
            yield remark("soft_tail", name=name)


def _odd_speeds(design: Design) -> Iterator[Remark]:
    for speed in design.retrieve.speeds:
        if not SLOWEST <= speed.value <= FASTEST:
            yield remark(
                "odd_speed", given=printable(speed.text), slower=speed.value < SLOWEST,
                slowest=Amount(SLOWEST, "speed"), fastest=Amount(FASTEST, "speed"),
            )  # fmt: skip
