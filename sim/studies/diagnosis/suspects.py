"""Every uncertain input, every coefficient, and every slip of the hand that a design makes possible.

Priors of slips, in deviations, are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

from sim.design.assembly import Assembly
from sim.design.extent import extent, outer_sizes
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.design.priors import Prior, priors
from sim.studies.diagnosis.suspect import FURTHEST, ErrorForm, GrossError, Mishap, Moved, Suspect
from sim.units import Quantity

SOAKED = 0.45  # share of its weight that unsealed wood takes up, at most that is looked at
SIZE_UP, WEIGHT_UP = 1.12, 1.35  # of a hook, from one size to the next


def suspects(design: Design) -> list[Suspect]:
    """Everything that could be behind it, inputs and coefficients first, in the order of the file."""
    found = [
        Suspect(one.path, one, *_beyond(design, one), paths=tuple(one.changes(0.0))) for one in priors(design)
    ]
    return found + list(_slips(design))


# ---- inputs that can be far off -----------------------------------------------------------------------

_PLACED, _BENT, _SET, _TURNED = 3.0, 3.0, 3.0, 3.0  # priors, deviations; judgement
_SPOOL, _WET, _LEAK = 3.0, 2.5, 3.0


def _beyond(design: Design, one: Prior) -> tuple[GrossError | None, GrossError | None]:
    """How far up and how far down a slip can take an input."""
    top, _, rest = one.path.partition(".")
    last, value = one.path.rsplit(".", 1)[-1], one.value.value

    def both(by: float, prior: float, what: Mishap) -> tuple[GrossError, GrossError]:
        return GrossError(value + by, prior, what), GrossError(value - by, prior, what)

    if top == "ballast" and last in ("back", "up"):
        length, height = _sizes(design)
        by = 0.15 * (length if last == "back" else height)
        return both(by, _PLACED, Mishap.PLACED)
    if top == "tie_on" and last in ("left", "up"):
        return both(3.0e-3, _BENT, Mishap.BENT)
    if top == "plate" and last == "angle":
        return both(math.radians(15.0), _SET, Mishap.SET)
    if top == "plate" and last == "skew":
        return both(math.radians(12.0), _TURNED, Mishap.TURNED)
    if one.path == "line.diameter":
        return GrossError(1.8 * value, _SPOOL, Mishap.SPOOL), GrossError(0.55 * value, _SPOOL, Mishap.SPOOL)
    if top == "body" and last == "density" and _drinks(design, rest.split(".")[0]):
        high = one.at(FURTHEST).value
        return GrossError((1.0 + SOAKED) * high, _WET, Mishap.SOAKED), None
    if top == "body" and last == "fill_density" and one.at(FURTHEST).value < 1000.0:
        return GrossError(1000.0, _LEAK, Mishap.LEAK), None
    return None, None


def _sizes(design: Design) -> tuple[float, float]:
    """Length and height of the lure, m."""
    body = next((outer_sizes(body) for body in design.body.values()), None)
    if body is not None:
        return body[0], body[2]
    box = extent(design)
    if box is None:
        return 0.07, 0.02
    (front, rear), (low, high), _ = box
    return rear - front, max(high - low, 0.25 * (rear - front))


def _drinks(design: Design, name: str) -> bool:
    """Whether a body takes up water where it is not sealed: wood and cork, or who knows what."""
    material = design.body[name].material
    known = find(material) if material else None
    return known is not None and known.group == "wood"


# ---- slips that are no input --------------------------------------------------------------------------


def _slips(design: Design) -> Iterator[Suspect]:
    yield from _water(design)
    yield from _hooks(design)
    yield from _ballast(design)
    yield from _bodies(design)
    yield from _eyes(design)
    yield from _weighing(design)


def _slip(name: str, prior: float, *steps: ErrorForm) -> Suspect:
    """A slip; its name is what happened and to which part."""
    paths = tuple(dict.fromkeys(path for step in steps for path in step.changes))
    return Suspect(f"slip.{name}", steps=steps, prior=prior, paths=paths)


def _value(
    path: str, was: Quantity, to: float, form: str = "", besides: Mapping[str, Any] | None = None
) -> ErrorForm:
    """One value of the design that is another, SI."""
    moved = Moved(was_si=was.value, to_si=to, dimension=was.dimension, form=form)
    return ErrorForm(moved, {path: Quantity(to, 0.0, was.dimension), **(besides or {})})


def _water(design: Design) -> Iterator[Suspect]:
    if design.water.salinity is not None:
        return
    other = "salt" if design.water.kind == "fresh" else "fresh"
    yield _slip("water", 3.0, ErrorForm(Moved(form=other), {"water.kind": other}))


def _hooks(design: Design) -> Iterator[Suspect]:
    for name, hook in design.hook.items():
        if hook.weight is None:
            continue
        steps = []
        for form, more, larger in (
            ("larger", WEIGHT_UP, SIZE_UP),
            ("smaller", 1.0 / WEIGHT_UP, 1.0 / SIZE_UP),
        ):
            size = {}
            if hook.size is not None:
                size[f"hook.{name}.size"] = Quantity(hook.size.value * larger, 0.0, "length")
            steps.append(_value(f"hook.{name}.weight", hook.weight, hook.weight.value * more, form, size))
        yield _slip(f"hook_size.{name}", 2.5, *steps)


def _ballast(design: Design) -> Iterator[Suspect]:
    length, _ = _sizes(design)
    for name, ballast in design.ballast.items():
        path = f"ballast.{name}"
        if ballast.weight is not None:
            steps = (
                _value(f"{path}.weight", ballast.weight, by * ballast.weight.value, form)
                # a hundredth of what is left out stays: a part without weight is no part
                for by, form in ((2.0, "twice"), (0.5, "half"), (0.01, "left out"))
            )
            yield _slip(f"ballast_weight.{name}", 3.5, *steps)
        back = ballast.at.back.value
        if abs(length - 2.0 * back) > 0.1 * length:
            yield _slip(
                f"counted_from_tail.{name}", 3.5,
                _value(f"{path}.at.back", Quantity(back, 0.0, "length"), length - back),
            )  # fmt: skip


def _bodies(design: Design) -> Iterator[Suspect]:
    for name, together in design.assembly.items():
        if together.cavity is not None:
            yield from _hollow_slips(design, name, f"assembly.{name}", together)
    for name, body in design.body.items():
        path = f"body.{name}"
        if body.weight is not None and not _hollow(body) and _drinks(design, name):
            shares = (0.1, 0.2, 0.3, 0.45)
            steps = (
                _value(f"{path}.weight", body.weight, (1.0 + share) * body.weight.value) for share in shares
            )
            yield _slip(f"soaked.{name}", _WET, *steps)
        if _hollow(body):
            yield from _hollow_slips(design, name, path, body)


def _hollow_slips(design: Design, name: str, path: str, body: Body | Assembly) -> Iterator[Suspect]:
    if body.fill is None and body.fill_density is None and body.fill_weight is None:
        leaks = (
            ErrorForm(
                Moved(to_si=share, dimension="share", form="leak"),
                {f"{path}.fill_density": Quantity(1000.0 * share, 0.0, "density")},
            )
            for share in (0.1, 0.25, 0.5, 1.0)
        )
        yield _slip(f"leak.{name}", _LEAK, *leaks)
    wall = _wall_volume(design, body)
    if body.cavity is not None and wall is not None and body.cavity.value - wall > 0.05 * body.cavity.value:
        yield _slip(f"cavity.{name}", 3.0, _value(f"{path}.cavity", body.cavity, body.cavity.value - wall))


def _hollow(body: Body) -> bool:
    return body.cavity is not None or body.wall is not None


def _wall_volume(design: Design, body: Body | Assembly) -> float | None:
    """Volume of a weighed wall, m3."""
    density = body.density.value if body.density is not None else None
    if density is None and body.material and (known := find(body.material)):
        density = known.density
    return body.weight.value / density if body.weight is not None and density else None


def _eyes(design: Design) -> Iterator[Suspect]:
    for one, other in combinations(design.tie_on, 2):
        swapped = {f"tie_on.{one}": design.tie_on[other], f"tie_on.{other}": design.tie_on[one]}
        yield _slip(f"eyes.{one}.{other}", 3.0, ErrorForm(Moved(form="swapped"), swapped))


def _weighing(design: Design) -> Iterator[Suspect]:
    whole = design.measured.weight
    if whole is None:
        return
    hooks = sum(h.count * h.weight.value for h in design.hook.values() if h.weight is not None)
    if hooks > 0.0:
        yield _slip("hooks_not_weighed", 2.5, _value("measured.weight", whole, whole.value + hooks))
