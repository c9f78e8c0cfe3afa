"""What a maker would tell after an outing with one lure: everything seen, timed and measured, with its noise."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import Any

from sim.design.model import Design
from sim.studies.statements import SPOILS
from sim.trials.request import Pull, key, whole

FAR = 2.0  # m that it is timed over, sinking or rising
SLOW = 0.01  # m/s: slower than this nobody waits for it

# How sharp the readings are: a least deviation and a share of the value. Judgement.
SPARE = (0.1, 0.03)  # g: split shot hung on until it goes under, or weighed hanging in the water
TILT, FALL = 2.0, 5.0  # deg: how it lies, how it falls
WATCH = (0.2, 0.03)  # s
CAST = (0.5, 0.03)  # m: the mean of a few casts, paced out
DEPTH = (0.05, 0.05)  # m: marks on the line, or where it touches bottom
SCALE = 0.1  # g
BEATS = 0.3  # Hz, counted on a film

_VERDICTS = {"floats": "floated", "sinks": "sank", "suspends": "suspended"}
_PULLED = {
    "drags": "dragged", "wakes": "waked", "runs just under": "ran just under", "dives": "dived", "hops": "hopped",
    "skips": "skipped", "wobbles": "wobbled", "rocks": "rocked", "rolls over": "rolled over", "spins": "spun",
    "spirals": "spiralled", "tumbles": "tumbled", "drags on the bottom": "dragged on the bottom",
}  # fmt: skip
_WHERE = ("wakes", "dives", "runs just under")
_SPOILT = tuple(word.value for word in SPOILS)


def told(
    design: Design,
    row: Mapping[str, Any],
    rng: random.Random | None = None,
    pulls: Sequence[Pull] | None = None,
) -> list[str]:
    """Statements of everything, from the figures of the lure that swam.

    Args:
        rng: draws the errors of reading; left out, there are none.
        pulls: that were pulled; left out, every one of the design.
    """

    def read(value: float, sd: float) -> float:
        return value + (rng.gauss(0.0, sd) if rng else 0.0)

    out = [_VERDICTS[row["budget.verdict"]], *_still(row, read), *_dropped(row, read)]
    sd = _sharp(CAST, row["cast.range_m"])
    out.append(f"flies {read(row['cast.range_m'], sd):.2f} +- {sd:.2f} m")
    if row["cast.lands"] in ("nose first", "tail first", "side on"):
        out.append(f"landed {row['cast.lands']}")
    for pull in whole(design).pulls if pulls is None else pulls:
        out += _pulled(row, pull, read)
    return out


def weighed(row: Mapping[str, Any], rng: random.Random) -> str:
    """What a kitchen scale says of the whole lure."""
    return f"weighs {rng.gauss(row['budget.mass_g'], SCALE):.2f} +- {SCALE:g} g"


def _sharp(kind: tuple[float, float], value: float) -> float:
    return max(kind[0], kind[1] * abs(value))


def _still(row: Mapping[str, Any], read: Any) -> list[str]:
    spare = row["budget.margin_g"]
    sd = _sharp(SPARE, spare)
    seen = read(spare, sd)
    if row["budget.verdict"] == "sinks":
        return [f"sank by {max(-seen, 0.01):.2f} +- {sd:.2f} g"]
    if row["budget.verdict"] != "floats":
        return []
    out = [f"floats with {max(seen, 0.01):.2f} +- {sd:.2f} g to spare"]
    if row.get("float.pitch_deg") is not None:
        out.append(f"sits nose {_up(read(row['float.pitch_deg'], TILT))} +- {TILT:g} deg")
        out.append(f"leans {abs(read(row['float.roll_deg'], TILT)):.2f} +- {TILT:g} deg")
    return out


def _up(angle: float) -> str:
    return f"{'up' if angle >= 0.0 else 'down'} {abs(angle):.2f}"


def _dropped(row: Mapping[str, Any], read: Any) -> list[str]:
    rate, motion = row["drop.sink_rate_m_s"], row["drop.motion"]
    out = ["hangs on the drop"] if motion == "hangs" else []
    if abs(rate) < SLOW:
        return out
    time = FAR / abs(rate)
    sd = _sharp(WATCH, time)
    out.append(
        f"{'sinks' if rate > 0.0 else 'rises'} {FAR:g} m in {max(read(time, sd), 0.1):.2f} +- {sd:.2f} s"
    )
    if motion == "straight":
        falls = "sank" if rate > 0.0 else "rose"
        return [
            *out,
            "falls straight",
            f"{falls} nose {_up(read(row['drop.pitch_deg'], FALL))} +- {FALL:g} deg",
        ]
    return [*out, f"{motion} on the drop"]


def _pulled(row: Mapping[str, Any], pull: Pull, read: Any) -> list[str]:
    where = f" at {pull.speed:.6g} m/s from {pull.tie_on}"
    head, also = row[key("retrieve.behaviour", pull)], row[key("retrieve.also", pull)].split("; ")
    words = [head] if head in _SPOILT else [head, *(word for word in also if word in _WHERE)]
    out = [f"{_PULLED[word]}{where}" for word in words if word in _PULLED]
    offset, depth, beats = (
        row[key(f"retrieve.{name}", pull)] for name in ("offset_m", "depth_m", "wobble_hz")
    )
    if head == "tracks off to a side":
        out.append(f"pulled to the {'left' if offset > 0.0 else 'right'}{where}")
    if depth is not None and depth > 0.1:
        sd = _sharp(DEPTH, depth)
        out.append(f"ran {max(read(depth, sd), 0.01):.2f} +- {sd:.2f} m deep{where}")
    if beats is not None and "wobbles" in (head, *also):
        out.append(f"wobbles {max(read(beats, BEATS), 0.1):.2f} +- {BEATS:g} Hz{where}")
    return out
