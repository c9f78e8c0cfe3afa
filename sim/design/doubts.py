"""What is legal in a design but looks like a slip."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.design.contradictions import contradictions
from sim.design.extent import extent, point
from sim.design.model import Body, Design
from sim.design.problems import printable
from sim.units import Quantity, show


def warnings(design: Design) -> list[str]:
    """What is legal but looks like a slip, each as a sentence."""
    checks = (_far_tie_ons, _light_whole, contradictions, _stiff, _odd_speeds)
    return [sentence for check in checks for sentence in check(design)]


def _far_tie_ons(design: Design) -> Iterator[str]:
    """Tie-on points more than half the lure's length away from all of it."""
    box = extent(design)
    if box is None:
        return
    length = max(high - low for low, high in box)
    for name, tie in design.tie_on.items():
        place = zip(point(tie.at), box, strict=True)
        away = math.hypot(*(max(low - x, x - high, 0.0) for x, (low, high) in place))
        if away > 0.5 * length:
            yield (
                f"tie_on.{name} is {show(away, 'length')} away from everything else on a lure of "
                f"{show(length, 'length')}; check its place and its unit"
            )


def _light_whole(design: Design) -> Iterator[str]:
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
        yield (
            f'measured.weight = "{printable(told.text)}" is less than the given weights of the parts, '
            f"{show(total, 'mass')} in all; the measured value is used: weigh the whole again, hooks and all"
        )


def _stiff(design: Design) -> Iterator[str]:
    """Soft tails and spinning blades, which are reckoned as stiff plates."""
    for name, plate in design.plate.items():
        words = (plate.material or "").lower().replace("_", " ").split()
        if plate.role == "tail" and {"soft", "silicone"} & set(words):
            yield (
                f"plate.{name} is soft, and is reckoned as a stiff plate: its weight and its lift at rest are right, "
                "but a soft tail bends and beats on its own, so take the swimming as a hint"
            )


def _odd_speeds(design: Design) -> Iterator[str]:
    for speed in design.retrieve.speeds:
        if not 0.05 <= speed.value <= 4.0:
            word = "slower" if speed.value < 0.05 else "faster"
            yield (
                f'retrieve.speeds: "{printable(speed.text)}" is {word} than the 0.05 to 4 m/s that the laws '
                "of drag and lift here were checked for; take the answer as a hint"
            )
