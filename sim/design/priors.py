"""What nobody knows exactly: every input of a design as a distribution, told by the maker or usual.

An input with a `+-` is taken as it is told. One without is given what is usual for its kind at a bench
(judgement, `usual_sd`); a material of the list lies anywhere between its lightest and heaviest; a coefficient
of the model has the doubt of `sim.coefficients`, or that of the design's calibration. Each is drawn by one
standard normal number, so that "how far" means the same for all of them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sim.bench.uncertainty import digit
from sim.coefficients import COEFFICIENTS, DOUBTED
from sim.design.assembly import Assembly
from sim.design.expand import expanded
from sim.design.fullness import fullness
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.design.paths import leaves
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MODEL = "calibration."
SKEWED = 0.1  # relative deviation above which a value that cannot be negative is drawn from a lognormal
_SIGNED = ("at.", "root.", "start.", "end.", "front.", "rear.", ".up", ".left", ".back", ".balance")


@dataclass(frozen=True)
class Prior:
    """One input that is not known exactly: what it is, how well it is known, and who says so."""

    path: str  # the name it goes by; full path of its key, or `body.main.stations.width` for all of them
    value: Quantity  # as the design has it, with the deviation used
    given: bool  # by the maker's own +- (or a calibration); else usual for its kind
    why: Remark  # where the deviation comes from
    paths: tuple[str, ...] = ()  # the keys that it scales together; empty: its own
    values: tuple[float, ...] = ()  # and what they are
    between: tuple[float, float] | None = (
        None  # its ends, where only these are known; the value is its median
    )

    @property
    def of_the_model(self) -> bool:
        """Whether it is a coefficient of the model, not a thing at the bench."""
        return self.path.startswith(MODEL)

    def at(self, z: float) -> Quantity:
        """The value `z` standard deviations up; a flat input stays between its ends."""
        value, sd = self.value.value, self.value.sd
        if self.between is not None or self.value.flat:
            low, high = self.between or (value - math.sqrt(3.0) * sd, value + math.sqrt(3.0) * sd)
            out = math.erf(abs(z) / math.sqrt(2.0))  # as evenly on each side of the value as its ends allow
            drawn = value + out * ((high if z > 0.0 else low) - value)
        elif sd > SKEWED * value and self._positive:
            spread = math.sqrt(math.log1p((sd / value) ** 2))
            drawn = value * math.exp(spread * z)
        else:
            drawn = value + sd * z
        if self._positive:
            drawn = max(drawn, 0.02 * value)
        return Quantity(drawn, sd, self.value.dimension, "", self.value.flat)

    def changes(self, z: float) -> dict[str, Quantity]:
        """What to put where in the design, as `paths.replaced` takes it."""
        drawn = self.at(z)
        if not self.paths:
            return {self.path: drawn}
        ratio = drawn.value / self.value.value
        return {
            path: Quantity(value * ratio, 0.0, self.value.dimension)
            for path, value in zip(self.paths, self.values, strict=True)
        }

    def shown(self, z: float) -> Remark:
        """The value `z` deviations up."""
        value = self.at(z).value
        if self.value.dimension == "factor":
            return remark("factor", value=value)
        return remark("amount", value=Amount(value, self.value.dimension))

    @cached_property
    def _positive(self) -> bool:
        """Whether it is a size, and so cannot come out as nothing or less."""
        signed = any(part in self.path for part in _SIGNED)
        return self.value.value > 0.0 and not signed and self.value.dimension not in ("temperature", "angle")


def priors(design: Design, *, model: bool = True) -> list[Prior]:
    """Every input of `design` that is not known exactly, in the order of the file.

    Args:
        model: also the coefficients of the model.
    """
    full = expanded(design)
    found = [*_told_or_usual(design, full), *_stations(design), *_fullness(full), *_materials(full)]
    return found + (list(_coefficients(design)) if model else [])


def drawn(design: Design, inputs: Sequence[Prior], zs: Sequence[float]) -> dict[str, Quantity]:
    """The changes of one build: every input at its own number of deviations."""
    changes: dict[str, Quantity] = {}
    for one, z in zip(inputs, zs, strict=True):
        changes |= one.changes(z)
    return changes


def mixed(design: Design, inputs: Sequence[Prior], zs: NDArray[np.float64]) -> NDArray[np.float64]:
    """Independent deviates (k, inputs) with the correlations of the design's calibration put in.

    By the symmetric root of the correlations, which leaves every input that goes with no other as it was.
    """
    import numpy as np

    whole = together(design, inputs)
    if np.array_equal(whole, np.eye(len(inputs))):
        return zs
    values, vectors = np.linalg.eigh(whole)
    root = (vectors * np.sqrt(np.clip(values, 0.0, None))) @ vectors.T
    root /= np.linalg.norm(root, axis=1, keepdims=True)  # each stays a standard normal number
    return np.asarray(zs @ root.T)


def together(design: Design, inputs: Sequence[Prior]) -> NDArray[np.float64]:
    """Correlations (inputs, inputs) of the inputs: those of the design's calibration."""
    import numpy as np

    at = {one.path.removeprefix(MODEL): k for k, one in enumerate(inputs) if one.of_the_model}
    whole = np.eye(len(inputs))
    for pair in design.calibration.together:
        if pair.one in at and pair.other in at and pair.one != pair.other:
            whole[at[pair.one], at[pair.other]] = whole[at[pair.other], at[pair.one]] = pair.r
    return whole


# ---- bench inputs -------------------------------------------------------------------------------------


def _told_or_usual(design: Design, full: Design) -> Iterator[Prior]:
    for path, quantity in (leaves(design) | _read(design, full)).items():
        if path.startswith(MODEL) or path.endswith(".fullness"):
            continue
        if quantity.sd > 0.0 and _estimated(design, path):
            yield Prior(path, quantity, False, remark("estimated"))
        elif quantity.sd > 0.0:
            yield Prior(path, quantity, True, remark("as_written"))
        elif ".stations." not in path and ".side." not in path and ".top." not in path:
            sd, why = usual_sd(path, quantity)
            if why is not None and sd > 0.0:
                yield Prior(path, replace(quantity, sd=sd), False, why)


def _estimated(design: Design, path: str) -> bool:
    """Whether a weight is that of a hook or fitting that nobody weighed."""
    top, name, *rest = path.split(".")
    part = getattr(design, top)[name] if top in ("hook", "fitting") else None
    return part is not None and rest == ["weight"] and part.estimated()


def _read(design: Design, full: Design) -> dict[str, Quantity]:
    """What readings at the bench gave, by path: the leaves that a reading filled.

    Not of a soaked body, whose water would be added once more, nor of pieces that the file does not name.
    """
    own = leaves(design)
    out = {}
    for path, quantity in leaves(full).items():
        top, name = (*path.split("."), "")[:2]
        group = getattr(design, top)
        if path in own or (isinstance(group, dict) and name not in group):
            continue
        if top == "body" and design.body[name].soaked is not None:
            continue
        out[path] = quantity
    return out


_SETTINGS = {  # keys of the surroundings, how well they are usually known, and why; judgement
    "water.temperature": (2.0, remark("no_thermometer")),
    "line.diameter": (0.05, remark("line_label")),
    "cast.speed": (0.08, remark("casts_differ")),
    "cast.angle": (math.radians(4.0), remark("casts_differ")),
    "retrieve.tip": (0.05, remark("hand_moves")),
}
_AS_A_SHARE = ("line.diameter", "cast.speed")
LEAST_SIZE, LEAST_SHEET, LEAST_PLACE = 0.1e-3, 0.02e-3, 0.3e-3  # m: calliper; sheet; where a part ends up
CUT_ANGLE = math.radians(1.5)
SHEET = 3e-3  # m: thinner things are measured better than carved ones


def usual_sd(path: str, quantity: Quantity) -> tuple[float, Remark | None]:
    """The deviation of an input that came without one, and why; 0 for what is not in doubt.

    Half a step of the last digit that is written, but no less than a bench is good for. Standing: judgement.
    """
    if path in _SETTINGS:
        sd, why = _SETTINGS[path]
        return (sd * abs(quantity.value) if path in _AS_A_SHARE else sd), why
    top = path.split(".", 1)[0]
    if top in ("water", "line", "cast", "retrieve", "mix", "material", "rattle"):
        return 0.0, None
    step = last_digit(quantity) / math.sqrt(12.0)
    if quantity.dimension == "mass":
        return max(step, 0.005 * quantity.value), remark("scale_digit")
    if quantity.dimension == "volume":
        return max(step, 0.01 * quantity.value), remark("cup_mark")
    if quantity.dimension == "density":
        return (
            (0.0, None)
            if path == "paint.density"
            else (max(step, 0.01 * quantity.value), remark("last_digit"))
        )
    if quantity.dimension == "angle":
        straight = top in ("tie_on", "body") and not quantity.value
        return (0.0, None) if straight else (max(step, CUT_ANGLE), remark("by_eye"))
    if quantity.dimension == "length" and _is_place(path):
        return _place_sd(design_part=top, path=path, step=step)
    if quantity.dimension == "length":
        least = LEAST_SHEET if quantity.value < SHEET else LEAST_SIZE
        return max(step, least), remark("calliper_digit")
    return 0.0, None


def _place_sd(design_part: str, path: str, step: float) -> tuple[float, Remark | None]:
    """Where a part ends up. A body's own nose is where places are told from."""
    if design_part in ("body", "wire") or path.endswith(".arm"):
        return 0.0, None
    if path.startswith("measured."):
        return max(step, LEAST_PLACE), remark("on_edge")
    return max(step, LEAST_PLACE), remark("moved_part")


def _is_place(path: str) -> bool:
    return path.rsplit(".", 1)[-1] in ("back", "up", "left", "balance", "balance_up")


_WRITTEN = re.compile(r"([0-9]+)(?:[.,]([0-9]+))?(?:[eE]([+-]?[0-9]+))?")


def last_digit(quantity: Quantity) -> float:
    """One step of the last digit that is written, SI: 2.03 g is told to a hundredth of a gram.

    Of a fraction as `sim.bench.uncertainty.digit` has it. 0 where nothing is written.

    >>> from sim.units import parse
    >>> last_digit(parse("2.0 g", "mass")), last_digit(parse("3/8 oz", "mass")) > 5e-4
    (0.0001, True)
    """
    text, value = quantity.text, quantity.value
    found = _WRITTEN.search(text)
    if not found or not value:
        return 0.0
    if "/" in text:
        return digit(quantity)
    number = float(found[0].replace(",", "."))
    step = 10.0 ** (int(found[3] or 0) - len(found[2] or ""))
    return float(f"{abs(value) * step / number:.6g}") if number else 0.0


# ---- bodies told by many sections, materials told by name ---------------------------------------------


def _stations(design: Design) -> Iterator[Prior]:
    """All widths of a body told by sections share one error, a template's or a calliper's; heights too."""
    for name, body in design.body.items():
        groups: dict[str, list[tuple[str, Quantity]]] = {}
        for k, station in enumerate(body.stations):
            for key in ("width", "height", "back"):
                groups.setdefault(f"stations.{key}", []).append(
                    (f"stations.{k}.{key}", getattr(station, key))
                )
        for k, point in enumerate(body.side):
            groups.setdefault("side.up", []).append((f"side.{k}.up", point.up))
            groups.setdefault("side.back", []).append((f"side.{k}.back", point.back))
        for k, point in enumerate(body.top):
            groups.setdefault("top.left", []).append((f"top.{k}.left", point.left))
        for group, keys in groups.items():
            keys = [(key, quantity) for key, quantity in keys if quantity.value and not quantity.sd]
            if not keys:
                continue
            largest = max((quantity for _, quantity in keys), key=lambda q: abs(q.value))
            sd = max(last_digit(largest) / math.sqrt(12.0), LEAST_SIZE)
            yield Prior(
                f"body.{name}.{group}",
                replace(largest, value=abs(largest.value), sd=sd, text=""),
                False,
                remark("calliper_sections"),
                tuple(f"body.{name}.{key}" for key, _ in keys),
                tuple(quantity.value for _, quantity in keys),
            )


def _fullness(full: Design) -> Iterator[Prior]:
    """How far bodies that only their sizes tell may differ from their shape."""
    for name, body in full.body.items():
        found = fullness(full, name)
        if found is not None:
            given = body.fullness is not None and body.fullness.sd > 0.0
            yield Prior(f"body.{name}.fullness", found[0], given, found[1])


def _materials(design: Design) -> Iterator[Prior]:
    """Densities that only the name of a material tells."""
    groups: Mapping[str, Mapping[str, Any]] = {
        "body": design.body, "plate": design.plate, "wire": design.wire, "ballast": design.ballast,
        "assembly": design.assembly,
    }  # fmt: skip
    for group, parts in groups.items():
        for name, part in parts.items():
            if part.density is None and _counts(part):
                yield from _listed(f"{group}.{name}.density", part.material)
            if isinstance(part, Body | Assembly) and part.fill_density is None and part.fill_weight is None:
                yield from _listed(f"{group}.{name}.fill_density", part.fill)


def _counts(part: Any) -> bool:
    """Whether the density of its material decides anything: a weighed solid has its volume from its sizes."""
    if isinstance(part, Assembly):
        return part.displaced is None or part.weight is None
    hollow = isinstance(part, Body) and (part.cavity is not None or part.wall is not None)
    return part.weight is None or hollow or not isinstance(part, Body)


def _listed(path: str, material: str | None) -> Iterator[Prior]:
    found = find(material) if material else None
    if found is None or found.high <= found.low or found.density <= 0.0:
        return
    quantity = Quantity(found.density, (found.high - found.low) / math.sqrt(12.0), "density")
    low, high = (Amount(end, "density") for end in (found.low, found.high))
    why = remark("material_range", material=found.name, low=low, high=high)
    yield Prior(path, quantity, False, why, between=(found.low, found.high))


# ---- the model ----------------------------------------------------------------------------------------


def _coefficients(design: Design) -> Iterator[Prior]:
    for name in DOUBTED:
        factor = getattr(design.calibration, name)
        given = name in design.calibration.model_fields_set
        sd = factor.sd if factor.sd > 0.0 else COEFFICIENTS[name].doubt * factor.value
        why = remark("calibrated" if given else "model_doubt")
        yield Prior(f"{MODEL}{name}", replace(factor, sd=sd), given and factor.sd > 0.0, why)
