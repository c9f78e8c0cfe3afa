"""How deep the deep runner goes, against a steady pull worked out by hand.

It is held on a line of fixed length in an even current, which is a steady pull through still water seen from the bank:
so the whole line meets the same stream, as the closed form of the line has it. Its bow takes a minute to settle.

The estimate shares nothing with the simulation but the sizes of the lure, the drag areas of its hooks, the pitch at
which it runs and its level distance, so it tries the forces and the line, not the balance of moments:

- lip: C q S square to the plate at a slope b to the flow, C = K sin b cos b + 1.17 sin^2 b: K the slope of linear
  theory, from a vortex lattice of its own aspect ratio, and 1.17 the drag of a square plate broadside (Matthews 2002,
  p. 95, published). What edge vortices add to that, and a stall takes away, is left out
- body: across the flow 0.70 q on its outline seen from above (cylinder of l/d 2 to 5 across the flow, Matthews
  2002, p. 95, published: 0.68 to 0.74) times the square of the sine of the pitch; along it friction 1.33 / sqrt(Re)
  (Blasius, closed form) on its whole skin, half as much again for its fullness
- hooks: their drag areas, times q
- weight less buoyancy
- line: equations of a line with normal drag only (Pode 1951, DTMB Report 687) and its weight, a parabola above the
  water; its drag coefficient from the curve fitted to Panton's data (published), at the slope of each piece
"""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from sim.design.load import read
from sim.design.paths import replaced
from sim.elements import H_ACROSS, H_CDA, H_MASS, H_ROW, P_AREA, P_WIDTH, VOLUME
from sim.forces.account import LINE
from sim.lure import build
from sim.motion import kinematics as reading
from sim.motion.breakdown import breakdown
from sim.trials import retrieve
from tests.checks import lattice

DEEP = Path(__file__).parents[2] / "scenarios" / "cellar_door.toml"
HELD = '\n[retrieve.programme.held]\nrepeat = 3\nsteps = [{ do = "pause", time = "40 s" }]\n'
G, RHO, NU, TIP = 9.80665, 998.6, 1.053e-6, 0.8  # fresh water of 18 C; the file's rod tip
LONG, WIDE, HIGH = 0.068, 0.018, 0.024  # the body as the file has it
LIP_ANGLE = math.radians(20.0)
REYNOLDS = [10, 50, 100, 200, 500, 1e3, 2e3]
PANTON = [3.015, 1.571, 1.319, 1.174, 1.078, 1.047, 1.039]


@cache
def held(speed, diameter):
    """The lure, the mean place of its tie-on point once settled (x, depth), its pitch, its pull (back, up) and stir."""
    text = DEEP.read_text(encoding="utf-8") + HELD
    design = replaced(
        read(text, "deep.toml"), {"line.diameter": diameter, "water.depth": 12.0, "water.current": speed}
    )
    lure = build(design, with_hulls=False)
    run = retrieve.follow(design, lure, "lip", "held").run
    times = np.linspace(110.0, 120.0, 1000)
    y = run.at(times)
    r = reading.axes(y)
    places = reading.points(y, r, lure.tie_ons["lip"])
    pull = np.einsum("kij,kj->ki", r, breakdown(times, y, run.flat)[:, LINE, :3]).mean(axis=0)
    mean = places.mean(axis=0)
    drift = abs(places[:500, 2].mean() - places[500:, 2].mean())
    return lure, (float(mean[0]), float(-mean[2])), float(reading.pitch(r).mean()), (-pull[0], pull[2]), drift


def line_depth(x, drag, down, speed, diameter):
    """Depth (m) at which a line with this pull at the lure reaches a level distance x from the rod tip."""
    pull, area = math.hypot(drag, down), 0.25 * math.pi * diameter**2
    wet, dry = area * (1140.0 - RHO) * G, area * 1140.0 * G  # nylon, N/m

    def slope(along, state):
        across = speed * math.sin(state[2])
        cd = math.exp(np.interp(math.log(across * diameter / NU), np.log(REYNOLDS), np.log(PANTON)))
        load = wet * math.cos(state[2]) - 0.5 * RHO * cd * diameter * across**2
        return [math.cos(state[2]), math.sin(state[2]), load / pull]

    start = [0.0, 0.0, math.atan2(down, drag)]
    far, deep, angle = solve_ivp(slope, (0.0, 30.0), start, max_step=0.05).y
    rise = np.tan(angle)  # a hanging line from the surface to the rod tip
    return float(np.interp(x, far + (np.sqrt(rise**2 + 2.0 * dry * TIP / pull) - rise) * pull / dry, deep))


def hook_by_hand(lure, row, q):
    """Drag (N) of a hook as a rod on a hinge: it turns until weight and drag across it balance."""
    weight = G * (row[H_MASS] - RHO * lure.elements.common[int(row[H_ROW]), VOLUME])

    def short(b):
        return weight * math.cos(b) - q * row[H_ACROSS] * math.sin(b) ** 2

    b = brentq(short, 0.0, 0.5 * math.pi) if row[H_ACROSS] > 0.0 else 0.0
    return q * float(row[H_CDA] + row[H_ACROSS] * math.sin(b) ** 3)


def pull_by_hand(lure, pitch, speed):
    """Drag and net push downward (N) of the lure, from the formulas above."""
    q = 0.5 * RHO * speed * speed
    nose_down = -pitch
    slope = LIP_ANGLE + nose_down  # of the plate below level
    area = float(lure.elements.plates[0, P_AREA])
    kp = lattice.plate(float(lure.elements.plates[0, P_WIDTH]) ** 2 / area)[0]
    lip = (kp * math.sin(slope) * math.cos(slope) + 1.17 * math.sin(slope) ** 2) * q * area
    across = 0.70 * q * math.pi / 4.0 * LONG * WIDE * math.sin(nose_down) ** 2
    across += 0.68 * 0.68 * math.pi / 4.0 * WIDE**2 * 2.0 * q * math.sin(nose_down) * math.cos(nose_down)
    slim = LONG / math.sqrt(WIDE * HIGH)
    skin = 1.33 / math.sqrt(speed * LONG / NU) * (3.0 * slim + 3.0 / math.sqrt(slim))
    along = (skin + 0.33 / slim) * q * math.pi / 4.0 * WIDE * HIGH
    hooks = sum(hook_by_hand(lure, row, q) for row in lure.elements.blobs)
    drag = lip * math.sin(slope) + across * math.sin(nose_down) + along * math.cos(nose_down) + hooks
    down = lip * math.cos(slope) + across * math.cos(nose_down) + G * (lure.mass - RHO * lure.volume)
    return drag, down


DIAMETERS = pytest.mark.parametrize("diameter", [0.15e-3, 0.30e-3, 0.50e-3])


@DIAMETERS
@pytest.mark.parametrize("speed", [0.6, 0.9, 1.3])
def test_the_deep_runner_goes_as_deep_as_a_steady_pull_by_hand(speed, diameter):
    lure, (x, depth), pitch, _, drift = held(speed, diameter)
    assert drift < 0.01 * depth  # it has settled
    drag, down = pull_by_hand(lure, pitch, speed)
    assert depth == pytest.approx(line_depth(x, drag, down, speed, diameter), rel=0.10)


@DIAMETERS
@pytest.mark.parametrize("speed", [0.6, 0.9, 1.3])
def test_with_its_own_pull_the_closed_form_of_the_line_gives_its_depth(speed, diameter):
    _, (x, depth), _, (drag, down), _ = held(speed, diameter)
    assert depth == pytest.approx(
        line_depth(x, drag, down, speed, diameter), rel=0.08
    )  # drag curves differ by more


@pytest.mark.parametrize("speed", [0.6, 0.9, 1.3])
def test_thinner_line_lets_it_go_deeper(speed):
    depths = [held(speed, diameter)[1][1] for diameter in (0.15e-3, 0.30e-3, 0.50e-3)]
    assert depths[0] > 1.1 * depths[1] > 1.1 * 1.1 * depths[2]


def test_the_line_alone_bends_as_the_tables_say():
    # T = 1 N, R = 0.1796 N/m, 80 degrees at the lure: after 10 m, x = 6.65882, z = 6.99201 m (exact)
    a, phi0 = 1.0 / 0.1796, math.radians(80.0)
    phi1 = 2.0 * math.atan(math.tan(phi0 / 2.0) * math.exp(-6.99201 / a))
    assert math.degrees(phi1) == pytest.approx(26.8857, abs=1e-3)
    assert a * (1.0 / math.sin(phi1) - 1.0 / math.sin(phi0)) == pytest.approx(6.65882, abs=1e-4)
