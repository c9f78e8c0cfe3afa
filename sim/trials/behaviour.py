"""Names for what a pulled lure does: rules over the figures of a window, in one place."""

from __future__ import annotations

from dataclasses import dataclass

from sim.trials.results import Behaviour, Ended

AWASH = 0.98  # wetted share below which something shows above the water
SHALLOW = 0.15  # m: deeper than this it dives
ON_ITS_SIDE = 45.0  # degrees of mean roll
SEEN = 3.0  # degrees of swing that the eye sees as action


@dataclass(frozen=True)
class Figures:
    """What a window of a retrieve measures: m, s, degrees, N; shares of time or volume 0 to 1."""

    depth: float  # of the lure's middle
    heave: float  # amplitude of the depth
    height: float  # of the body
    wet: float  # mean wetted share of its volume
    dry_time: float  # share of the time out of the water
    pitch: float
    roll: float
    upside_down: float  # share of the time with its back below its belly
    pitch_amplitude: float
    roll_amplitude: float
    yaw_amplitude: float
    wobble: float | None  # Hz
    turns: float  # about the line, in the window
    turns_per_m: float
    over: float  # end over end, in the window
    offset: float  # sideways
    distance: float  # to the rod tip
    tension: float
    tension_max: float


def headline(f: Figures, ended: Ended) -> tuple[Behaviour, list[Behaviour]]:
    """The first behaviour that holds, by how much it spoils or marks the retrieve, and the others."""
    holds = [
        (Behaviour.SPINS, f.turns >= 1.0 and f.turns_per_m > 0.2),
        (Behaviour.TUMBLES, f.over >= 1.0),
        (Behaviour.ROLLS_OVER, f.upside_down > 0.2 or abs(f.roll) > ON_ITS_SIDE),
        (Behaviour.SKIPS, f.dry_time > 0.1),
        (Behaviour.BOTTOM, ended is Ended.BOTTOM),
        (Behaviour.OFF_SIDE, abs(f.offset) > 0.15 * f.distance),
        (Behaviour.HOPS, f.wet < AWASH and f.heave > 0.5 * f.height),
        (Behaviour.WAKES, f.wet < AWASH),
        (Behaviour.DIVES, f.wet >= AWASH and f.depth >= SHALLOW),
        (Behaviour.RUNS, f.wet >= AWASH and f.depth < SHALLOW),
        (Behaviour.WOBBLES, f.yaw_amplitude > SEEN),
        (Behaviour.ROCKS, f.roll_amplitude > SEEN),
        (Behaviour.DRAGS, max(f.yaw_amplitude, f.roll_amplitude) <= SEEN and f.heave < 0.5 * f.height),
    ]
    held = [name for name, true in holds if true]
    return held[0], held[1:]


def sentence(first: Behaviour, also: list[Behaviour], f: Figures) -> str:
    """One plain sentence for a retrieve."""
    words = [first.value.capitalize()]
    if first is Behaviour.DIVES:
        words.append(f"to {f.depth:.2f} m")
    if first is Behaviour.SPINS:
        words.append(f"{f.turns_per_m:.1f} turns for each metre: the line will twist")
    if Behaviour.WOBBLES in also and f.wobble:
        words.append(f"and wobbles {f.yaw_amplitude:.0f} degrees either way, {f.wobble:.1f} times a second")
    elif Behaviour.ROCKS in also and f.wobble:
        words.append(f"and rocks {f.roll_amplitude:.0f} degrees either way, {f.wobble:.1f} times a second")
    elif Behaviour.DRAGS in also:
        words.append("without action")
    if Behaviour.OFF_SIDE in also or first is Behaviour.OFF_SIDE:
        words.append(f"({abs(f.offset):.1f} m to the {'left' if f.offset > 0 else 'right'})")
    return " ".join(words) + "."
