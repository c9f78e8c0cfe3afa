"""What makers know of pulled lures (common practice, no source), tried on demos and on made-up shapes.

Nothing in the model is special-cased or tuned for these; they are consequences of the forces, and where one does not
come the validation page says so. The shapes are inventions.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from sim.design.edit import edited
from sim.design.load import read
from sim.lure import build
from sim.trials import cast, retrieve
from sim.trials.run_metrics import RunMetrics

SEED = 0  # nothing is drawn
SCENARIOS = Path(__file__).parents[2] / "scenarios"
STRAIGHT = 0.005  # m to the side that still counts as straight


class Shape(NamedTuple):
    """A made-up body: mm, g/cm3, g of lead, width of its lip in mm."""

    length: float
    width: float
    height: float
    density: float
    lead: float
    lip: float


SHAPES = {
    "slim": Shape(85, 14, 18, 0.55, 3.0, 14),
    "deep": Shape(65, 13, 24, 0.50, 3.5, 15),
    "fat": Shape(52, 20, 24, 0.45, 3.5, 17),
    "round": Shape(70, 20, 20, 0.50, 4.0, 18),
}

LIGHT = 0.35  # g/cm3


def hung(length: float, lead: tuple[float, float, float], belly: tuple[float, float]) -> str:
    """Lead (g, then mm behind the nose and above the axis) and two hooks of 1.1 g, at the belly and at the tail."""
    return f"""[ballast.belly]
at = {{ back = "{lead[1]:.1f} mm", up = "{lead[2]:.1f} mm" }}
weight = "{lead[0]} g"
material = "lead"
[hook.belly]
at = {{ back = "{belly[0]:.1f} mm", up = "{belly[1]:.1f} mm" }}
weight = "1.1 g"
size = "15 mm"
[hook.tail]
at = {{ back = "{length} mm" }}
weight = "1.1 g"
size = "15 mm"
"""


def lipped(
    name: str, angle: float, long: float = 0.95, wide: float = 1.0, low: float = 0.35, light: bool = False
) -> str:
    """A design with a lip, tied at its nose: lip's angle, its length over its width, its width and the depth of the
    ballast over what is usual for the shape and its height; `light` as a lure is built that is to stay on top."""
    s = SHAPES[name]
    if light:
        s = s._replace(density=LIGHT, lead=0.5 * s.lead)
    lip = s.lip * wide
    return f"""name = "{name}"
[water]
kind = "fresh"
temperature = "18 C"
[body.main]
shape = "ellipsoid"
length = "{s.length} mm"
width = "{s.width} mm"
height = "{s.height} mm"
density = "{s.density} g/cm3"
[plate.lip]
role = "lip"
root = {{ back = "3 mm", up = "{-0.2 * s.height:.1f} mm" }}
length = "{long * lip:.1f} mm"
width = "{lip:.1f} mm"
thickness = "1.3 mm"
angle = "{angle} deg"
material = "polycarbonate"
{hung(s.length, (s.lead, 0.4 * s.length, -low * s.height), (0.36 * s.length, -0.48 * s.height))}[tie_on.nose]
at = {{ back = "0 mm" }}
"""


def flat(
    length: float,
    width: float,
    height: float,
    density: float,
    lead: float,
    eye: float = 0.22,
    ahead: float = 0.35,
) -> str:
    """A flat-sided body without a lip, tied on its back; eye and ballast behind its nose over its length."""
    rows = ((0.0, 0.4, 0.3), (0.25, 1.0, 0.9), (0.5, 1.0, 1.0), (0.8, 0.8, 0.6), (1.0, 0.4, 0.2))
    stations = ",\n".join(
        f'  {{ back = "{at * length} mm", width = "{b * width} mm", height = "{c * height} mm" }}'
        for at, b, c in rows
    )
    return f"""name = "flat"
[body.main]
shape = "stations"
exponent = 6
stations = [
{stations},
]
density = "{density} g/cm3"
{hung(length, (lead, ahead * length, -0.33 * height), (0.3 * length, -0.45 * height))}[tie_on.back]
at = {{ back = "{eye * length:.1f} mm", up = "{0.46 * height:.1f} mm" }}
"""


@cache
def demo(name: str) -> str:
    return (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")


@cache
def pulled(text: str, tie_on: str, speed: float) -> tuple[str, RunMetrics]:
    """The headline, and what the second half of the run measures."""
    design = read(text, "practice")
    lure = build(design, with_hulls=False)
    run = retrieve.run(design, lure, tie_on, speed)
    found = retrieve.describe(run, lure, tie_on, speed)
    end = float(run.t[-1])
    return found.behaviour.value, retrieve.figures(run, lure, np.arange(0.5 * end, end, 0.01), speed)


def upright(f: RunMetrics) -> bool:
    return f.upside_down < 0.02 and abs(f.roll) < 45.0


def bent(text: str, tie_on: str, speed: float) -> bool:
    """With its eye bent 10 degrees to its own left, which is right of the way it is pulled along the world's x."""
    run = pulled(
        edited(text, {f"tie_on.{tie_on}.bend": "10 deg", f"tie_on.{tie_on}.arm": "5 mm"}), tie_on, speed
    )[1]
    return run.offset < -STRAIGHT


def wakes(text: str, tie_on: str, speed: float) -> bool:
    word, f = pulled(text, tie_on, speed)
    return word in ("wakes", "hops") and upright(f)


def wobbles(text: str, tie_on: str, speed: float) -> bool:
    f = pulled(text, tie_on, speed)[1]
    return 10.0 <= max(f.roll_amplitude, f.yaw_amplitude) <= 40.0 and 3.0 <= (f.wobble or 0.0) <= 9.0


def vibrates(text: str, tie_on: str, speed: float) -> bool:
    f = pulled(text, tie_on, speed)[1]
    return upright(f) and max(f.roll_amplitude, f.yaw_amplitude) >= 1.0 and 5.0 <= (f.wobble or 0.0) <= 15.0


def wider_lip(name: str, angle: float) -> bool:
    """A larger lip wobbles slower and wider."""
    small, large = (pulled(lipped(name, angle, wide=wide), "nose", 0.9)[1] for wide in (0.8, 1.3))
    swings = [max(f.roll_amplitude, f.yaw_amplitude) for f in (small, large)]
    return swings[1] > swings[0] and (large.wobble or 0.0) < (small.wobble or 0.0)


def lower_ballast(name: str, angle: float) -> bool:
    """Ballast lower in the body means less roll."""
    high, low = (pulled(lipped(name, angle, low=low), "nose", 0.9)[1] for low in (0.15, 0.40))
    return low.roll_amplitude < high.roll_amplitude


def deepens(text: str, tie_on: str) -> bool:
    """Deeper with speed, and by less than a tenth from 1.0 to 1.3 m/s."""
    depth = [pulled(text, tie_on, speed)[1].depth for speed in (0.4, 0.6, 0.8, 1.0, 1.3)]
    return all(a < b for a, b in pairwise(depth[:4])) and depth[4] < 1.1 * depth[3]


def flies(text: str) -> bool:
    """With ballast to make it 14 g, thrown at 28 m/s, 30 to 45 m."""
    lure = build(read(text, "practice"), with_hulls=False)
    more = 14.0 - 1e3 * lure.mass
    heavier = edited(
        text, {"ballast.more.at.back": f"{5e2 * lure.length:.1f} mm", "ballast.more.weight": f"{more} g"}
    )
    design = read(edited(heavier, {"cast.speed": "28 m/s"}), "practice")
    return 30.0 <= (cast.cast(design, build(design)).range_m or 0.0) <= 45.0


LIPS = (("slim", 40), ("deep", 45), ("fat", 50), ("round", 40))
RUNNERS = (("thimble_oar", "nose"), ("cellar_door", "lip"), ("noon_and_midnight", "nose"))
FLAT = ((65, 9, 26, 1.1, 4.0), (55, 10, 24, 1.05, 5.0), (70, 8, 22, 1.2, 3.5), (60, 12, 28, 0.9, 7.0))
DIVING = (0.7, 0.95, 1.2)
QUESTIONS = (
    ("an eye bent to a side makes it run to that side", bent, (
        *((demo(n), e, v) for n, e, v in (
            ("thimble_oar", "nose", 0.9), ("thimble_oar", "lip", 0.5), ("cellar_door", "lip", 0.9),
            ("cellar_door", "nose", 0.9), ("noon_and_midnight", "nose", 0.5), ("noon_and_midnight", "nose", 0.9),
            ("porch_light", "lip_low", 0.4), ("porch_light", "nose", 0.4), ("last_skittle", "neck", 0.8),
            ("gravel_bell", "front", 1.0),
        )),
        *((lipped(n, a), "nose", 0.8) for n, a in (("slim", 45), ("deep", 60), ("fat", 60), ("round", 45))),
    )),
    ("a lip of 70 to 90 degrees wakes upright at 0.4 to 1.0 m/s", wakes, (
        *((lipped(n, a, 0.5, light=True), "nose", v) for n in SHAPES for a in (72, 85) for v in (0.4, 0.7, 1.0)),
        *((demo("porch_light"), "nose", v) for v in (0.4, 0.7, 1.0)),
    )),
    ("a diver at 0.7 to 1.2 m/s wobbles by 10 to 40 degrees in roll or yaw, 3 to 9 times a second", wobbles, (
        *((lipped(n, a), "nose", v) for n, a in LIPS for v in DIVING),
        *((demo(n), e, v) for n, e in RUNNERS for v in DIVING),
    )),
    ("a larger lip wobbles slower and wider", wider_lip, LIPS),
    ("ballast lower in the body means less roll", lower_ballast, LIPS),
    ("a diver goes down gradually with speed and hardly deeper beyond 1 m/s", deepens, (
        *((lipped(n, a), "nose") for n, a in LIPS), *((demo(n), e) for n, e in RUNNERS),
    )),
    ("a lipless flat-sided body tied on its back runs upright and vibrates 5 to 15 times a second", vibrates, tuple(
        (flat(*size, *hung_at), "back", v) for hung_at in ((), (0.38, 0.2)) for size in FLAT for v in (0.5, 1.0, 1.5)
    )),
    ("14 g thrown at 28 m/s flies 30 to 45 m", flies, tuple(
        (lipped(n, a),) for n, a in LIPS
    )),
)  # fmt: skip
CASES = tuple((what, ask, words) for what, ask, every in QUESTIONS for words in every)
COUNT = len(CASES)


def case(k: int) -> dict[str, Any]:
    """Whether case k comes out as makers know it."""
    what, ask, words = CASES[k]
    return {"practice": what, "comes": bool(ask(*words))}


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """How many of each."""
    return {
        what: {
            "of": len(every),
            "come": sum(row["comes"] for row in rows if row["practice"] == what),
        }
        for what, _, every in QUESTIONS
    }


def section(found: dict[str, Any]) -> str:
    """Its part of the validation page."""
    rows = "\n".join(f"| {what} | {n['come']} of {n['of']} |" for what, n in found["summary"].items())
    return f"""\
### What makers know

Common practice, no source: the demos and four made-up shapes of body are pulled as they are, nothing is special-cased.
Where few come a force is missing or wrong. Yaw is damped too much and hooks do not swing, so that wobbles are narrow
and quick ([what was tried](notes/wobble.md)). The shapes with a steep lip are built as such lures are, light, with half
the ballast and a short lip; at 1.0 m/s most of them are pulled nose down and under, or heel. Heavier ones dive at any
speed. A flat-sided body without a lip comes off its course and rolls when its eye is a fifth behind the nose,
as all twelve were at first. With the eye further back and the weight ahead (twelve more, added after a look at
these results) it swings upright at 1.5 m/s, leans by some 40 degrees at 0.5 and rolls at 1.0. Let go in our own
tank a body of 70 x 9 x 26 mm with such eyes swings upright at 1 m/s, by 50 to 58 degrees of roll five times a
second, and goes off to the side at 0.5.

| what makers know | comes |
|---|---|
{rows}"""
