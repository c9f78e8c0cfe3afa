"""A cavity filled in part, the lure tilted while the pour sets: where the fill lies, and what it does."""

from __future__ import annotations

import math

from pydantic import Field

from sim.bench.uncertainty import ReadingError
from sim.design.expand import expanded
from sim.design.materials import find
from sim.design.model import Design
from sim.design.quantities import LARGEST, SMALLEST
from sim.lure.pool import pool, upward
from sim.lure.sharing import shared
from sim.lure.weigh import weigh
from sim.remark import Amount
from sim.trials.records import Result
from sim.trials.scene import medium
from sim.units import Quantity


class PourResult(Result):
    """Where a pour lies and where the lure then balances."""

    body: str = Field(description="whose cavity was filled")
    cavity_ml: float = Field(description="all that it holds")
    fill_ml: float = Field(description="poured in")
    fill_share: float = Field(description="of the cavity")
    fill_g: float = Field(description="weight of the pour")
    fill_density_kg_m3: float = Field(description="of the pour as it sets")
    raised_deg: float = Field(description="nose above level while it sets")
    fill_back_mm: float = Field(description="centre of the pour behind the nose")
    fill_up_mm: float = Field(description="centre of the pour above the axis")
    balance_back_mm: float = Field(description="balance point of the whole lure with it, behind the nose")
    balance_up_mm: float = Field(description="balance point of the whole lure with it, above the axis")
    empty_balance_back_mm: float = Field(description="balance point without the pour")
    empty_balance_up_mm: float = Field(description="balance point without the pour")
    margin_g: float = Field(description="spare lift with the pour")
    as_fill: str = Field(description="lines for the body in the design file that put the pour there")


def pour(
    design: Design,
    body: str,
    raised: float,
    weight: float | None = None,
    share: float | None = None,
    belly_up: bool = False,
) -> PourResult:
    """Pour into the cavity of a body.

    Args:
        raised: nose above level while it sets (rad); negative is nose down.
        weight: of the pour (kg). share: of the cavity instead. belly_up: the lure lies on its back.

    Raises:
        ReadingError: no cavity, no density of the fill, or more than the cavity holds.
    """
    design = shared(expanded(design))
    if body not in design.body:
        raise ReadingError(f"there is no body {body!r}; the bodies are {', '.join(design.body) or 'none'}")
    spec = design.body[body]
    bare = design.model_copy(update={"body": {**design.body, body: spec.model_copy(
        update={"fill": None, "fill_weight": None, "fill_density": None})}})  # fmt: skip
    empty = weigh(bare)
    built = next(b for b in empty.bodies if b.key == body)
    if built.inner is None:
        raise ReadingError(f'body.{body} is solid; write its cavity = "12 mL" or its wall = "1.5 mm"')
    cavity = float(built.inner[0])
    density = _density(design, body)
    volume = weight / density if weight is not None else (share if share is not None else 1.0) * cavity
    if not 0.0 < volume <= cavity * (1.0 + 1e-9):
        raise ReadingError(
            "{poured} does not go into a cavity of {cavity}; pour less, or check the density of the fill",
            poured=Amount(volume, "volume"),
            cavity=Amount(cavity, "volume"),
        )
    mass = volume * density
    if not SMALLEST["mass"] <= mass <= LARGEST["mass"]:
        raise ReadingError(
            "a pour of {poured:2g} is no weight that a part can have; check how much is poured, and the density of the "
            "fill",
            poured=Amount(mass, "mass"),
        )
    set_at = math.pi - raised if belly_up else raised
    lies = pool(built, volume, upward(set_at))
    poured = {
        "fill_weight": Quantity(mass, 0.0, "mass"),
        "fill_density": Quantity(density, 0.0, "density"),
        "fill_set": Quantity(set_at, 0.0, "angle"),
    }
    filled = weigh(
        bare.model_copy(update={"body": {**bare.body, body: bare.body[body].model_copy(update=poured)}})
    )
    return PourResult(
        body=body,
        cavity_ml=cavity * 1e6,
        fill_ml=volume * 1e6,
        fill_share=volume / cavity,
        fill_g=mass * 1e3,
        fill_density_kg_m3=density,
        raised_deg=math.degrees(raised),
        fill_back_mm=-1e3 * float(lies.centre[0]),
        fill_up_mm=1e3 * float(lies.centre[2]),
        balance_back_mm=-1e3 * float(filled.centre[0]),
        balance_up_mm=1e3 * float(filled.centre[2]),
        empty_balance_back_mm=-1e3 * float(empty.centre[0]),
        empty_balance_up_mm=1e3 * float(empty.centre[2]),
        margin_g=(medium(design).density * filled.volume - filled.mass) * 1e3,
        as_fill=(
            f'fill_weight = "{mass * 1e3:.2f} g"\nfill_density = "{density / 1e3:.3g} g/mL"\n'
            f'fill_set = "{math.degrees(set_at):.0f} deg"'
        ),
    )


def _density(design: Design, body: str) -> float:
    spec = design.body[body]
    if spec.fill_density is not None:
        return spec.fill_density.value
    found = find(spec.fill) if spec.fill else None
    if found is None or found.density <= 0.0:
        raise ReadingError(
            f'body.{body} does not say what is poured in; write fill_density = "0.6 g/mL", or name a '
            f"material or "
            "a [mix.NAME] as its fill"
        )
    return found.density
