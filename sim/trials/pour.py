"""A cavity filled in part, the lure tilted while the pour sets: where the fill lies, and what it does."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from pydantic import Field, ValidationError

from sim.bench.uncertainty import ReadingError
from sim.design.expand import expanded
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Ballast, Place
from sim.lure import moments
from sim.lure.bodies import BuiltBody
from sim.lure.moments import Array
from sim.lure.sharing import shared
from sim.lure.weigh import weigh
from sim.trials.records import Result
from sim.trials.scene import medium
from sim.units import Quantity, parse, show

ACROSS = 40  # points across a section each way


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
    as_ballast: str = Field(description="lines for the design file that put the pour there")


class Pool(NamedTuple):
    """The lower part of a cavity."""

    volume: float  # m3
    centre: Array  # (3,), lure axes, m


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
            f"{show(volume, 'volume')} does not go into a cavity of {show(cavity, 'volume')}; pour less, or "
            f"check "
            "the density of the fill"
        )
    mass = volume * density
    try:
        extra = Ballast(
            at=Place(),
            weight=Quantity(mass, 0.0, "mass"),
            density=Quantity(density, 0.0, "density"),
            place="cavity",
            body=body,
        )
    except ValidationError as problem:
        raise ReadingError(
            f"a pour of {1e3 * mass:.2g} g is no weight that a part can have; check how much is poured, and "
            "the density of the fill"
        ) from problem
    down = -1.0 if belly_up else 1.0
    up = np.array([math.sin(raised), 0.0, down * math.cos(raised)])
    lies = pool(built, volume, up)
    place = Place(back=_mm(-lies.centre[0]), up=_mm(lies.centre[2]), left=_mm(lies.centre[1]))
    filled = weigh(
        bare.model_copy(update={"ballast": {**bare.ballast, "pour": extra.model_copy(update={"at": place})}})
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
        as_ballast=(
            f'[ballast.pour]\nat = {{ back = "{-1e3 * lies.centre[0]:.1f} mm", '
            f'up = "{1e3 * lies.centre[2]:.1f} mm" }}\n'
            f'weight = "{mass * 1e3:.2f} g"\ndensity = "{density / 1e3:.3g} g/cm3"\n'
            f'place = "cavity"\nbody = "{body}"'
        ),
    )


def pool(body: BuiltBody, volume: float, up: Array) -> Pool:
    """The lower part of a body's cavity that a volume of liquid takes (m3), `up` (3,) being straight up.

    The cavity is its sections: those inside the wall, or the outside scaled about its centre. Each is cut
    into small cells, which fill up in the order of their height; the last one in part.
    Standing: closed form but for the cells; a sphere and a box to 0.1 % of their size.
    """
    assert body.inner is not None
    spec, profile, frame = body.spec, body.profile, body.frame
    cut = profile.inward(spec.wall.value) if spec.wall is not None else None
    if cut is None:
        turn = np.linspace(0.0, math.pi, 161)
        middle = 0.5 * (turn[1:] + turn[:-1])
        s = profile.start + 0.5 * profile.length * (1.0 - np.cos(middle))
        cut = profile.at(s, 0.5 * profile.length * np.sin(middle) * np.diff(turn))
    u = (np.arange(ACROSS) + 0.5) / ACROSS * 2.0 - 1.0
    y, z = (w.ravel() for w in np.meshgrid(u, u))
    power = cut.n[:, None]
    within = np.abs(y) ** power + np.abs(z) ** power <= 1.0
    weight = (cut.weight * cut.b * cut.c)[:, None] * within
    local = np.stack(
        [
            np.broadcast_to(-cut.s[:, None], within.shape),
            cut.b[:, None] * y,
            cut.z0[:, None] + cut.c[:, None] * z,
        ],
        axis=-1,
    )[within]
    weight = weight[within]
    points = frame.nose + local @ np.stack([frame.along, frame.left, frame.up])
    # onto the cavity's own volume and centre
    drawn = weight.sum()
    whole = float(body.inner[0])
    own = (weight @ points) / drawn
    points = moments.centre(body.inner) + (points - own) * (whole / (4.0 * drawn / ACROSS**2)) ** (1.0 / 3.0)
    weight = weight * (whole / drawn)
    order = np.argsort(points @ up, kind="stable")
    filled = np.cumsum(weight[order])
    k = min(int(np.searchsorted(filled, volume)), len(order) - 1)
    part = weight[order][: k + 1].copy()
    part[-1] -= max(filled[k] - volume, 0.0)
    return Pool(volume, (part @ points[order][: k + 1]) / part.sum())


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


def _mm(value: float) -> Quantity:
    return parse(f"{value * 1e3:.9f} mm", "length")
