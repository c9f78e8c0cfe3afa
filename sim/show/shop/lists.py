"""What stands on the shop sheet in words: places, ballast to cut, holes to drill, the mix to weigh."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.hardware import DRILL_PLAY, drill_for
from sim.bench.mix import Portion, amounts, needed
from sim.bench.uncertainty import ReadingError
from sim.design.materials import LEAD
from sim.design.model import Design
from sim.design.own import folded, recipe_of
from sim.design.parts import Ballast, Place, Plate
from sim.elements import Hull
from sim.lure.lure import Lure
from sim.lure.sharing import shared
from sim.show.units import Units

Array = NDArray[np.float64]

RODS = (1.5e-3, 2e-3, 2.5e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3)  # m: rod and wire as it is sold
ROD_SHAPE = 2.5  # length over diameter of a handy piece; judgement
SHOT = {
    "9": 0.08, "8": 0.09, "7": 0.10, "6": 0.11, "5": 0.12, "4": 0.13, "3": 0.14, "2": 0.15, "BB": 0.18,
    "4 buck": 0.24, "2 buck": 0.27, "1 buck": 0.30, "0 buck": 0.32, "00 buck": 0.33, "000 buck": 0.36,
}  # fmt: skip
"""Diameters of lead shot by its American number, inches: (17 - number) / 100 for the small ones. Common practice,
no source."""
MOST_SHOT, NEAR_SHOT = 4, 0.05  # pieces in one hole, and how far from the weight they may be


class Mark(NamedTuple):
    """One place on the drawing."""

    letter: str
    what: str  # "ballast keel"
    kind: str  # ballast, hook, fitting, tie-on, slot, rattle
    at: Array  # (3,) lure axes, m
    radius: float  # m: of a ball or rod of that ballast; 0 where only the place counts
    twin: bool  # there is another on the other side
    run: Array | None = None  # (3,) of a rod, from end to end, m


class Piece(NamedTuple):
    """One ballast weight as the sheet tells it; several in a row are one (a through wire)."""

    name: str
    spec: Ballast
    last: Ballast | None  # the row's other end
    weights: int = 1  # in the row

    def thread(self) -> tuple[float, float]:
        """Diameter and length (m) of the wire that the row stands for, from its weight and its places."""
        assert self.last is not None
        between = float(np.linalg.norm(point(self.last.at) - point(self.spec.at)))
        length = between * self.weights / (self.weights - 1)
        weight = self.weights * (self.spec.weight.value if self.spec.weight is not None else 0.0)
        return math.sqrt(4.0 * weight / (math.pi * self.spec.metal_density() * length)), length


def pieces(design: Design) -> list[Piece]:
    """The ballast, with the rows of pieces that stand for a through wire drawn together."""
    found: list[Piece] = []
    rows: dict[str, list[Ballast]] = {}
    for name, spec in design.ballast.items():
        match = re.fullmatch(r"(.+)_(\d+)", name)
        if match and f"{match[1]}_1" in design.ballast and f"{match[1]}_2" in design.ballast:
            rows.setdefault(match[1], []).append(spec)
        else:
            found.append(Piece(name, spec, None))
    return found + [Piece(name, row[0], row[-1], len(row)) for name, row in rows.items()]


def marks(design: Design) -> list[Mark]:
    """Every place that is marked on the drawing, lettered."""
    places: list[tuple[str, str, Place, float, bool]] = []
    runs: dict[int, Array] = {}
    for k, piece in enumerate(pieces(design)):
        radius = _ball(piece.spec) / 2 if piece.last is None else 0.0
        rod_sizes = piece.spec.rod() if piece.last is None else None
        if rod_sizes is not None:
            radius, runs[k] = 0.5 * rod_sizes[0], rod_sizes[1] * np.array(piece.spec.way())
        word = "ballast" if piece.last is None else "through wire"
        places.append((f"{word} {piece.name}", "ballast", piece.spec.at, radius, piece.spec.mirrored))
    for name, rattle in design.rattle.items():
        places.append((f"rattle {name}", "rattle", rattle.front, 0.0, False))
    for kind, group in (("hook", design.hook), ("fitting", design.fitting)):
        places += [(f"{kind} {name}", kind, part.at, 0.0, part.mirrored) for name, part in group.items()]
    places += [(f"tie-on {name}", "tie-on", tie.at, 0.0, False) for name, tie in design.tie_on.items()]
    for name, plate in design.plate.items():
        if design.body:
            which = "" if name == plate.role else f" {name}"
            places.append((f"{plate.role} slot{which}", "slot", plate.root, 0.0, plate.mirrored))
    return [
        Mark(_letter(k), what.replace("_", " "), kind, point(at), radius, twin, runs.get(k))
        for k, (what, kind, at, radius, twin) in enumerate(places)
    ]


def point(place: Place) -> Array:
    """A place in lure axes (3,), m."""
    return np.array([-place.back.value, place.left.value, place.up.value])


def _letter(k: int) -> str:
    return chr(65 + k) if k < 26 else f"{chr(64 + k // 26)}{chr(65 + k % 26)}"


def _ball(spec: Ballast) -> float:
    """Diameter of the weight as one ball, m."""
    weight = spec.weight.value if spec.weight is not None else 0.0
    return float((6.0 * weight / (math.pi * spec.metal_density())) ** (1.0 / 3.0))


def cut_list(design: Design, units: Units) -> Iterator[str]:
    """A line for every weight: what to cut it from."""
    letters = iter(marks(design))
    for piece in pieces(design):
        letter, spec = next(letters).letter, piece.spec
        if spec.weight is None:
            continue
        material = (spec.material or "lead").replace("_", " ")
        pair = ", twice" if spec.mirrored else ""
        if piece.last is not None:
            across, length = (units.text("size", size * 1e3) for size in piece.thread())
            yield f"{letter} {_name(piece.name)}: {material} wire of {across}, {length} long, through the body{pair}"
            continue
        weight = spec.weight.value
        what = f"{letter} {_name(piece.name)}: {units.text('mass', weight * 1e3)} of {material}{pair}"
        yield f"{what}: {', or '.join(_forms(spec, weight, units))}"


def _forms(spec: Ballast, weight: float, units: Units) -> list[str]:
    """Ways to make up a weight, as ready pieces."""

    def size(metres: float) -> str:
        return units.text("size", metres * 1e3)

    metal = spec.metal
    if metal is not None:
        each = metal.weight(spec.metal_density()).value
        if (pieces := round(weight / each)) > 1:
            (form,) = _forms(spec, each, units)
            return [f"{pieces} pieces, each {form}"]
        if metal.kind == "ball" and metal.across:
            return [f"a ball of {size(metal.across.value)}"]
        if metal.kind == "rod" and metal.across and metal.length:
            return [f"a rod of {size(metal.across.value)}, {size(metal.length.value)} long"]
        if metal.kind == "wrap" and metal.wire and metal.across:
            return [f"{metal.turns} turns of {size(metal.wire.value)} wire round {size(metal.across.value)}"]
        if metal.length and metal.width and metal.thickness:
            sizes = (metal.length.value, metal.width.value, metal.thickness.value)
            return [f"a strip of {' x '.join(size(s) for s in sizes)}"]
    if spec.place == "outside":
        return ["hung or wound on"]
    volume = weight / spec.metal_density()
    across, length = rod(volume)
    out = [f"a ball of {size(_ball(spec))}", f"a rod of {size(across)}, {size(length)} long"]
    if abs(spec.metal_density() / LEAD - 1.0) < 0.03 and (found := shot(volume)) is not None:
        number, name, diameter = found
        out.append(
            f"{number} shot no. {name} ({size(diameter)}; {units.text('mass', _shot(diameter) * number * 1e3)})"
        )
    return out


def rod(volume: float) -> tuple[float, float]:
    """Diameter and length (m) of the handiest piece of rod of that volume (m3)."""

    def length(across: float) -> float:
        return volume / (math.pi / 4 * across**2)

    across = min(RODS, key=lambda d: abs(math.log(length(d) / (ROD_SHAPE * d))))
    return across, length(across)


def _shot(diameter: float) -> float:
    return math.pi / 6 * diameter**3 * LEAD


def shot(volume: float) -> tuple[int, str, float] | None:
    """Number, name and diameter (m) of the fewest alike shot that come near a volume of lead (m3)."""
    weight = volume * LEAD
    best = None
    for count, (name, inches) in product(range(1, MOST_SHOT + 1), SHOT.items()):
        off = abs(count * _shot(inches * 0.0254) / weight - 1.0)
        if off <= NEAR_SHOT and (best is None or (count, off) < best[0]):
            best = ((count, off), (count, name, inches * 0.0254))
    return best[1] if best else None


def drill_list(design: Design, lure: Lure, units: Units) -> Iterator[str]:
    """A line for every hole and slot."""
    letters = iter(marks(design))
    for piece in pieces(design):
        letter, spec = next(letters).letter, piece.spec
        if spec.place != "drilled" or spec.weight is None:
            continue
        stated = f"{letter} {_name(piece.name)}: "
        stated += _threaded(piece, units) if piece.last is not None else _holes(design, lure, spec, units)
        yield stated + (" (each side)" if spec.mirrored else "")
    rest = [mark for mark in marks(design) if mark.kind in ("hook", "fitting", "tie-on")]
    if rest and design.body:
        yield f"{', '.join(mark.letter for mark in rest)}: to suit your screw eyes or wire"
    slots = [mark for mark in marks(design) if mark.kind == "slot"]
    for mark, plate in zip(slots, design.plate.values(), strict=False):
        yield f"{mark.letter} {mark.what}: {_slot(plate, units)}"


def _threaded(piece: Piece, units: Units) -> str:
    across, length = piece.thread()
    hole = drill_text(across, drill_for(across), units)
    return f"{hole} for the wire, {units.text('size', length * 1e3)} along it; or saw a slot and close it"


def _holes(design: Design, lure: Lure, spec: Ballast, units: Units) -> str:
    """A hole for the weight as the file tells it; where it tells no form, for the ball, then for the rod."""
    home, at = _home(design, lure, spec), point(spec.at)
    sizes, way = spec.rod(), spec.way()
    if sizes is not None and way[2] == 0.0:
        hole = drill_text(sizes[0], drill_for(sizes[0]), units)
        run = "from side to side" if way[1] else "along the body"
        return f"{hole} {run}, {units.text('size', sizes[1] * 1e3)} long"
    stated = []
    for k, (across, long) in enumerate(_bores(spec)):
        hole = drill_text(across, drill_for(across), units)
        side, depth = _from_outside(home, at, long)
        deep = "" if depth is None else f", {units.text('size', depth * 1e3)} deep"
        where = f", from the {side}" if deep and not k else ""
        stated.append(
            f"{'for the rod ' if k else ''}{hole.removeprefix('drill ') if k else hole}{where}{deep}"
        )
    return "; ".join(stated)


def _bores(spec: Ballast) -> list[tuple[float, float]]:
    """What may go into the hole: diameter, and length along the hole (m); a ball and a rod where no form is told."""
    metal = spec.metal
    if metal is not None and metal.kind == "rod" and metal.across is not None and metal.length is not None:
        return [(metal.across.value, metal.length.value)]
    if metal is not None and metal.kind == "wrap" and metal.wire and metal.across and metal.turns:
        return [(metal.across.value + 2.0 * metal.wire.value, metal.turns * metal.wire.value)]
    if metal is not None and metal.length and metal.width and metal.thickness:
        return [(math.hypot(metal.width.value, metal.thickness.value), metal.length.value)]  # set in on end
    ball = _ball(spec)
    if metal is not None:
        return [(ball, ball)]
    weight = spec.weight.value if spec.weight is not None else 0.0
    return [(ball, ball), rod(weight / spec.metal_density())]


def drill_text(across: float, hole: float | None, units: Units) -> str:
    """The drill for a ball or rod of that diameter (m), in sizes a shop sells."""
    if hole is None:
        return f"bore out to {units.text('size', (across + DRILL_PLAY) * 1e3)}"
    if units.name != "us":
        return f"drill {hole * 1e3:g} mm"
    sixty_fourths = math.ceil((across + DRILL_PLAY) / 0.0254 * 64.0 - 1e-9)
    divisor = math.gcd(sixty_fourths, 64)
    return f"drill {sixty_fourths // divisor}/{64 // divisor} in"


def _home(design: Design, lure: Lure, spec: Ballast) -> Hull | None:
    """The outside of the body that a weight is drilled into; of twins, the one that was told."""
    at = 0
    for k, (name, body) in enumerate(design.body.items()):
        if name == spec.body or (spec.body is None and k == 0):
            return lure.hulls[at]
        at += 2 if body.mirrored else 1
    return None


def _from_outside(hull: Hull | None, centre: Array, long: float) -> tuple[str, float | None]:
    """The nearer side to drill from, up or down, and how deep the hole goes to bed the weight (m)."""
    below, above = (None, None) if hull is None else _surfaces(hull, centre)
    if below is None or above is None:
        return "", None
    return ("belly", below + 0.5 * long) if below <= above else ("back", above + 0.5 * long)


def _surfaces(hull: Hull, centre: Array) -> tuple[float | None, float | None]:
    """How far the outside is straight down and straight up from a point (m)."""
    a, b, c = (
        hull.vertices[hull.faces[:, k]] - centre - [0.0, 1e-9, 0.0] for k in range(3)
    )  # off the middle's edges

    def turn(p: Array, q: Array) -> Array:
        return np.asarray(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1])

    u, v, w = turn(b, c), turn(c, a), turn(a, b)
    hit = (((u >= 0) & (v >= 0) & (w >= 0)) | ((u <= 0) & (v <= 0) & (w <= 0))) & (u + v + w != 0.0)
    z = (u[hit] * a[hit, 2] + v[hit] * b[hit, 2] + w[hit] * c[hit, 2]) / (u + v + w)[hit]
    below, above = -z[z <= 0.0], z[z > 0.0]
    return (float(below.min()) if len(below) else None), (float(above.min()) if len(above) else None)


def _slot(plate: Plate, units: Units) -> str:
    steep = math.degrees(plate.angle.value)
    lean = f", sloping {abs(steep):.0f} deg {'down' if steep >= 0 else 'up'} from the axis" if steep else ""
    across = units.text("size", plate.width.value * 1e3)
    return f"saw {units.text('size', plate.thickness.value * 1e3)} wide, {across} across{lean}"


def mix_rows(design: Design, lure: Lure) -> tuple[str, list[Portion]] | None:
    """The mix that fills the bodies and its amounts on the scale; None where no fill is a mix of the design."""
    volume, name = 0.0, None
    design = shared(design)
    for key, body in design.body.items():
        if body.fill is None:
            continue
        found = next((m for m in design.mix if folded(m) == folded(body.fill)), None)
        if found is None or (name is not None and found != name):
            continue
        name = found
        poured = sum(p.mass for p in lure.parts if p.kind == "fill" and _is_body(p.name, key))
        if body.fill_density is not None:
            volume += poured / body.fill_density.value
    if name is None or volume <= 0.0:
        return None
    mix = design.mix[name]
    density = next(
        b.fill_density.value
        for b in design.body.values()
        if b.fill is not None and folded(b.fill) == folded(name) and b.fill_density is not None
    )
    try:
        grams = 1e3 * needed(volume, density, waste=mix.waste / 100.0)
        return name, amounts(recipe_of(mix), grams, Decimal(str(round(mix.scale.value * 1e3, 6))))
    except ReadingError:
        return None


def _is_body(part: str, key: str) -> bool:
    return part in (f"fill {key}", f"fill {key} (left)", f"fill {key} (right)")


def _name(name: str) -> str:
    return name.replace("_", " ")
