"""Does it float, and by how many grams: the weight and volume budget with its uncertainty."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from sim.bench.found import DENSEST_WALL, LIGHTEST_WALL
from sim.design.assembly import Assembly, home_of
from sim.design.doubts import warnings
from sim.design.expand import expanded, with_rattles
from sim.design.fullness import outside_by
from sim.design.materials import Material, find
from sim.design.model import Design
from sim.hydrostatics.verdict import Verdict, verdict
from sim.lure.bodies import DENSEST
from sim.lure.weigh import Weighed, weigh
from sim.metrics import Confidence
from sim.numerics import root
from sim.trials.margin import (
    chance_floats,
    deviation,
    margin_effects,
    settled_by,
)
from sim.trials.records import Conflict, TurningValue
from sim.trials.results import BudgetResult, PartRow, standing
from sim.trials.reweighing import Reweighing
from sim.trials.scene import medium, salinity
from sim.units import Quantity

if TYPE_CHECKING:
    from sim.lure.lure import Lure
    from sim.lure.static_lure import StaticLure
    from sim.motion.solve import Settings
    from sim.trials.request import Pull


def budget(design: Design, sure: bool = True) -> BudgetResult:
    """Weigh a design part by part and hold it against its water.

    The margin's deviation adds the effects of all inputs (`sim.trials.margin`), taken as independent and each moved
    by one deviation up and down. The verdict's rule is `sim.hydrostatics.verdict`; there is none where readings
    exclude each other.

    Args:
        sure: also how sure it is, what would turn the verdict and what would settle it, which is most of the work.

    Raises:
        BuildError: a design that cannot be built.
    """
    design = expanded(design)
    whole = weigh(design)
    density = medium(design).density
    margin = density * whole.volume - whole.mass
    again = Reweighing(design, whole)
    effects = margin_effects(again) if sure else []
    impossible = conflicts(whole, design)
    chance = None if impossible else chance_floats(again, effects)
    at, up = -1e3 * whole.centre, -1e3 * whole.centre_volume
    answer = Verdict.UNKNOWN if impossible else verdict(whole.mass, whole.volume, density)
    return BudgetResult(
        mass_g=whole.mass * 1e3,
        displaced_ml=whole.volume * 1e6,
        water_density_kg_m3=density,
        margin_g=margin * 1e3,
        margin_sd_g=deviation(effects) * 1e3,
        verdict=answer,
        chance_floats=chance,
        gravity_back_mm=_plain(at[0]),
        gravity_up_mm=_plain(-at[2]),
        gravity_left_mm=_plain(-at[1]),
        buoyancy_back_mm=_plain(up[0]),
        buoyancy_up_mm=_plain(-up[2]),
        buoyancy_left_mm=_plain(-up[1]),
        inertia_g_cm2=[float(x) * 1e7 for x in np.diag(whole.inertia)],
        parts=[
            PartRow(
                name=p.name,
                kind=p.kind,
                mass_g=p.mass * 1e3,
                displaced_ml=p.volume * 1e6,
                back_mm=_plain(-1e3 * p.centre[0]),
                up_mm=_plain(1e3 * p.centre[2]),
                left_mm=_plain(1e3 * p.centre[1]),
                source=p.source,
                note=list(p.notes),
            )
            for p in whole.parts
        ],
        conflicts=impossible,
        turning_values=turning_values(again, whole) if sure and not impossible else [],
        settled_by=settled_by(again, chance, effects) if sure else None,
        rattle_back_mm=rattle_back_mm(design),
        warnings=[*warnings(design), *whole.warnings],
        confidence=_standing(design, whole),
    )


def conflicts(whole: Weighed, design: Design) -> list[Conflict]:
    """Bodies whose weight and volumes leave nothing that they could be made of."""
    found: list[Conflict] = []
    for body in whole.bodies:
        spec, room = body.spec, float(body.own[0])
        if body.twin or spec.weight is None or room <= 0.0:
            continue
        density, hollow = spec.weight.value / room, body.inner is not None
        heaviest = max(DENSEST_WALL if hollow else DENSEST, body.stuff.density if body.stuff else 0.0)
        if LIGHTEST_WALL <= density <= heaviest:
            continue
        by = outside_by(spec)
        together = home_of(design.assembly, body.key)
        shares = together is not None and design.body[body.key].weight is None
        part = f"assembly.{together}" if shares else body.key
        if part in (one.body for one in found):
            continue
        keys = ["weight", *(key for key in ("cavity", "wall") if getattr(spec, key) is not None)]
        keys.append("displaced" if by == "displaced" else "sizes")
        settles = "displaced" if by == "sizes" else "cavity" if hollow else "weight"
        found.append(
            Conflict(
                body=part,
                keys=keys,
                hollow=hollow,
                density_kg_m3=density,
                too_dense=density > heaviest,
                settled_by=f"{part if shares else f'body.{part}'}.{settles}",
            )
        )
    return found


def _standing(design: Design, whole: Weighed) -> dict[str, Confidence]:
    """How sure each figure is: exact is only what was measured."""
    out = standing("budget")
    readings = design.measured
    bodies = [body.spec for body in whole.bodies]
    weighed = readings.weight is not None or (bool(bodies) and all(one.weight is not None for one in bodies))
    by_dunks = bool(bodies) and all(outside_by(one) == "displaced" for one in bodies)
    dunked = readings.displaced is not None or by_dunks
    measured = {"mass_g": weighed, "displaced_ml": dunked, "margin_g": weighed and dunked}
    return {
        key: Confidence.CHECKED if own is Confidence.EXACT and not measured.get(key, True) else own
        for key, own in out.items()
    }


def answer(design: Design, lure: Lure | None, pull: Pull | None) -> BudgetResult:
    """As `sim.trials.registry` calls it."""
    return budget(design)


def observe(
    design: Design, lure: Lure | StaticLure, pull: Pull | None, settings: Settings | None
) -> dict[str, Any]:
    """The few values of the budget that need no part-by-part account, which takes three times as long."""
    density = medium(design).density
    return {
        "mass_g": 1e3 * lure.mass,
        "displaced_ml": 1e6 * lure.volume,
        "margin_g": 1e3 * (density * lure.volume - lure.mass),
        "verdict": verdict(lure.mass, lure.volume, density),
    }


def _plain(value: float) -> float:
    """A float without the sign of a negative zero."""
    return float(value) + 0.0


def rattle_back_mm(design: Design) -> list[float] | None:
    """Balance point behind the nose with all loose balls at the front and all at the rear, mm."""
    if not design.rattle:
        return None
    return [_plain(-1e3 * weigh(with_rattles(design, end)).centre[0]) for end in (0.0, 1.0)]


class PlausibleRange(NamedTuple):
    """One input that may turn the verdict, and the range (SI) that it may plausibly have."""

    path: str
    dimension: str
    value: float  # as the design has it
    low: float
    high: float
    wall: bool = False
    material: str | None = None


def turning_values(again: Reweighing, whole: Weighed) -> list[TurningValue]:
    """Values of single inputs at which the margin is zero, where they lie within a plausible range."""
    out: list[TurningValue] = []
    for ask in _questions(again.design, whole):

        def margin(value: float, ask: PlausibleRange = ask) -> float:
            return again.with_changes({ask.path: Quantity(value, 0.0, ask.dimension, "")})

        # each side on its own, the nearer value first: the margin may turn twice over a long range
        here = margin(ask.value)
        for end in (ask.low, ask.high):
            there = again.with_value(ask.path, end, ask.dimension)
            if there is not None and there * here < 0.0:
                value = root(margin, ask.value, end, 1e-6 * abs(ask.high))
                out.append(
                    TurningValue(
                        path=ask.path,
                        value_si=value,
                        dimension=ask.dimension,
                        wall=ask.wall,
                        material=ask.material,
                    )
                )
    return out


def _questions(design: Design, whole: Weighed) -> Iterator[PlausibleRange]:
    for name, together in design.assembly.items():
        yield from _of_an_assembly(name, together, whole)
    for name, body in design.body.items():
        hollow = body.wall is not None or body.cavity is not None
        built = next(b for b in whole.bodies if b.key == name)
        counts = body.weight is None or (body.cavity is not None and body.displaced is None)
        own = body.density is not None or body.material is not None
        if built.stuff is not None and counts and own:
            low, high = _range(built.stuff.density, built.stuff.material, body.density)
            path = f"body.{name}.density"
            yield PlausibleRange(path, "density", built.stuff.density, low, high, hollow, body.material)
        if hollow and body.fill_weight is None and (body.fill or body.fill_density):
            made = find(body.fill) if body.fill else None
            value = body.fill_density.value if body.fill_density else made.density if made else 0.0
            low, high = _range(value, made, body.fill_density)
            yield PlausibleRange(f"body.{name}.fill_density", "density", value, low, high)
    for name, weight in design.ballast.items():
        assert weight.weight is not None  # readings have been turned into values
        value = weight.weight.value
        yield PlausibleRange(f"ballast.{name}.weight", "mass", value, 0.0, 3.0 * value)
    total = design.measured.weight
    if total is not None:
        yield PlausibleRange("measured.weight", "mass", total.value, 0.8 * total.value, 1.2 * total.value)
    yield PlausibleRange("water.salinity", "salinity", salinity(design), 0.0, 40.0)
    yield PlausibleRange("water.temperature", "temperature", design.water.temperature.value, 1.0, 35.0)


def _of_an_assembly(name: str, one: Assembly, whole: Weighed) -> Iterator[PlausibleRange]:
    built = next(body for body in whole.bodies if body.key == one.bodies[0])
    made, path = find(one.fill) if one.fill else None, f"assembly.{name}"
    if built.stuff is not None and (one.density or one.material) and one.displaced is None:
        low, high = _range(built.stuff.density, built.stuff.material, one.density)
        wall = one.cavity is not None
        yield PlausibleRange(f"{path}.density", "density", built.stuff.density, low, high, wall, one.material)
    if one.fill_weight is not None:
        value = one.fill_weight.value
        yield PlausibleRange(f"{path}.fill_weight", "mass", value, 0.0, 3.0 * value)
    elif one.fill or one.fill_density:
        value = one.fill_density.value if one.fill_density else made.density if made else 0.0
        yield PlausibleRange(f"{path}.fill_density", "density", value, *_range(value, made, one.fill_density))


def _range(value: float, material: Material | None, given: Quantity | None) -> tuple[float, float]:
    """Plausible: the named material's range where none is given; three deviations if given; else half to double."""
    if given is not None and given.sd > 0.0:
        return max(value - 3.0 * given.sd, 0.1 * value), value + 3.0 * given.sd
    if given is None and material is not None:
        return min(material.low, value), max(material.high, value)
    return 0.5 * value, 2.0 * value
