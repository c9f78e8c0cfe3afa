"""Every uncertain input, every coefficient, and every slip of the hand that a design makes possible.

Priors of slips, in deviations, are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.design.extent import extent, outer_sizes
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.design.priors import Prior, priors
from sim.studies.diagnosis.suspect import FURTHEST, ErrorForm, GrossError, Suspect
from sim.units import Quantity, show

SOAKED = 0.45  # share of its weight that unsealed wood takes up, at most that is looked at
SIZE_UP, WEIGHT_UP = 1.12, 1.35  # of a hook, from one size to the next


def suspects(design: Design) -> list[Suspect]:
    """Everything that could be behind it, inputs and coefficients first, in the order of the file."""
    found = [
        Suspect(one.path, one.path, one, *_beyond(design, one), paths=tuple(one.changes(0.0)))
        for one in priors(design)
    ]
    return found + list(_slips(design))


# ---- inputs that can be far off -----------------------------------------------------------------------

_PLACED, _BENT, _SET, _TURNED = 3.0, 3.0, 3.0, 3.0  # priors, deviations; judgement
_SPOOL, _WET, _LEAK = 3.0, 2.5, 3.0


def _beyond(design: Design, one: Prior) -> tuple[GrossError | None, GrossError | None]:
    """How far up and how far down a slip can take an input."""
    top, _, rest = one.path.partition(".")
    last, value = one.path.rsplit(".", 1)[-1], one.value.value

    def both(by: float, prior: float, words: str) -> tuple[GrossError, GrossError]:
        return GrossError(value + by, prior, words), GrossError(value - by, prior, words)

    if top == "ballast" and last in ("back", "up"):
        length, height = _sizes(design)
        by = 0.15 * (length if last == "back" else height)
        return both(by, _PLACED, "it was put elsewhere than drawn")
    if top == "tie_on" and last in ("left", "up"):
        return both(3.0e-3, _BENT, "the eye is bent")
    if top == "plate" and last == "angle":
        return both(math.radians(15.0), _SET, "it was set at another angle, or slipped")
    if top == "plate" and last == "skew":
        return both(math.radians(12.0), _TURNED, "it sits turned in its slot")
    if one.path == "line.diameter":
        words = "another line was on the spool"
        return GrossError(1.8 * value, _SPOOL, words), GrossError(0.55 * value, _SPOOL, words)
    if top == "body" and last == "density" and _drinks(design, rest.split(".")[0]):
        high = one.at(FURTHEST).value
        return GrossError((1.0 + SOAKED) * high, _WET, "it has taken up water: not sealed"), None
    if top == "body" and last == "fill_density" and one.at(FURTHEST).value < 1000.0:
        return GrossError(1000.0, _LEAK, "water has got in"), None
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


def _slip(name: str, words: str, prior: float, tells: str, *steps: ErrorForm) -> Suspect:
    paths = tuple(dict.fromkeys(path for step in steps for path in step.changes))
    return Suspect(f"slip.{name}", words, steps=steps, prior=prior, tells=tells, paths=paths)


def _water(design: Design) -> Iterator[Suspect]:
    if design.water.salinity is not None:
        return
    other = "salt" if design.water.kind == "fresh" else "fresh"
    yield _slip(
        "water", f"{other} water", 3.0, "Find out how salt the water you fish is",
        ErrorForm(f"{design.water.kind} -> {other} water", {"water.kind": other}),
    )  # fmt: skip


def _hooks(design: Design) -> Iterator[Suspect]:
    for name, hook in design.hook.items():
        if hook.weight is None:
            continue
        weight = hook.weight
        steps = []
        for word, more, larger in (
            ("larger", WEIGHT_UP, SIZE_UP),
            ("smaller", 1.0 / WEIGHT_UP, 1.0 / SIZE_UP),
        ):
            changes = {f"hook.{name}.weight": Quantity(weight.value * more, 0.0, "mass")}
            if hook.size is not None:
                changes[f"hook.{name}.size"] = Quantity(hook.size.value * larger, 0.0, "length")
            now = f"{show(weight.value, 'mass')} -> {show(weight.value * more, 'mass')}"
            steps.append(ErrorForm(f"a size {word}, {now}", changes))
        yield _slip(
            f"hook_size.{name}", f"hook.{name} of another size", 2.5,
            "Weigh the hook that hangs there", *steps,
        )  # fmt: skip


def _ballast(design: Design) -> Iterator[Suspect]:
    length, _ = _sizes(design)
    for name, ballast in design.ballast.items():
        path = f"ballast.{name}"
        if ballast.weight is not None:
            grams = ballast.weight.value
            steps = (
                ErrorForm(f"{show(grams, 'mass')} {becomes}", {f"{path}.weight": Quantity(by * grams, 0.0, "mass")})
                for by, becomes in (
                    (2.0, f"-> {show(2.0 * grams, 'mass')}, put in twice"),
                    (0.5, f"-> {show(0.5 * grams, 'mass')}, half of it"),
                    (0.01, "left out"),  # a hundredth of it stays: a part without weight is no part
                )
            )  # fmt: skip
            yield _slip(f"ballast_weight.{name}", f"{path} of another weight", 3.5,
                        "Weigh the whole lure: is it as heavy as `drytank budget` says?", *steps)  # fmt: skip
        back = ballast.at.back.value
        if abs(length - 2.0 * back) > 0.1 * length:
            turned = Quantity(length - back, 0.0, "length")
            yield _slip(
                f"counted_from_tail.{name}", f"{path} placed from the tail, not from the nose", 3.5,
                "Lay the lure on an edge: where does it balance?",
                ErrorForm(
                    f"{show(back, 'length')} -> {show(turned.value, 'length')} back", {f"{path}.at.back": turned}
                ),
            )  # fmt: skip


def _bodies(design: Design) -> Iterator[Suspect]:
    for name, body in design.body.items():
        path = f"body.{name}"
        if body.weight is not None and not _hollow(body) and _drinks(design, name):
            steps = (
                ErrorForm(f"{show(body.weight.value, 'mass')} -> {show((1.0 + share) * body.weight.value, 'mass')}",
                     {f"{path}.weight": Quantity((1.0 + share) * body.weight.value, 0.0, "mass")})
                for share in (0.1, 0.2, 0.3, 0.45)
            )  # fmt: skip
            yield _slip(f"soaked.{name}", f"{path} has taken up water: not sealed", _WET,
                        "Weigh it dry and again after an hour in water", *steps)  # fmt: skip
        if _hollow(body) and body.fill is None and body.fill_density is None and body.fill_weight is None:
            steps = (
                ErrorForm(f"{100.0 * share:.0f} % of its hollow full of water",
                     {f"{path}.fill_density": Quantity(1000.0 * share, 0.0, "density")})
                for share in (0.1, 0.25, 0.5, 1.0)
            )  # fmt: skip
            yield _slip(
                f"leak.{name}", f"water in {path}", _LEAK, "Shake it; weigh it before and after", *steps
            )
        wall = _wall_volume(design, body)
        if (
            body.cavity is not None
            and wall is not None
            and body.cavity.value - wall > 0.05 * body.cavity.value
        ):
            less = Quantity(body.cavity.value - wall, 0.0, "volume")
            yield _slip(
                f"cavity.{name}", f"what {path} displaces was written as its cavity", 3.0,
                "Fill it with water and weigh that (`drytank measure cavity`)",
                ErrorForm(f"{show(body.cavity.value, 'volume')} -> {show(less.value, 'volume')}",
                     {f"{path}.cavity": less}),
            )  # fmt: skip


def _hollow(body: Body) -> bool:
    return body.cavity is not None or body.wall is not None


def _wall_volume(design: Design, body: Body) -> float | None:
    """Volume of a weighed wall, m3."""
    density = body.density.value if body.density is not None else None
    if density is None and body.material and (known := find(body.material)):
        density = known.density
    return body.weight.value / density if body.weight is not None and density else None


def _eyes(design: Design) -> Iterator[Suspect]:
    names = list(design.tie_on)
    for k, one in enumerate(names):
        for other in names[k + 1 :]:
            yield _slip(
                f"eyes.{one}.{other}", f"{one} and {other} mixed up", 3.0,
                "Look which eye the line is tied to",
                ErrorForm(f"tied to {other} where {one} is said, and the other way round",
                     {f"tie_on.{one}": design.tie_on[other], f"tie_on.{other}": design.tie_on[one]}),
            )  # fmt: skip


def _weighing(design: Design) -> Iterator[Suspect]:
    whole = design.measured.weight
    if whole is None:
        return
    hooks = sum(h.count * h.weight.value for h in design.hook.values() if h.weight is not None)
    if hooks > 0.0:
        yield _slip(
            "hooks_not_weighed", "the whole was weighed without its hooks", 2.5,
            "Weigh the lure with its hooks on",
            ErrorForm(f"{show(whole.value, 'mass')} -> {show(whole.value + hooks, 'mass')}",
                 {"measured.weight": Quantity(whole.value + hooks, 0.0, "mass")}),
        )  # fmt: skip
