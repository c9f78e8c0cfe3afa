"""Terminal speeds of spheres in water and in air against the library `fluids` and published drag curves."""

import math

import fluids
import numpy as np
import pytest

from sim.build import build
from sim.design.load import read
from sim.media import Medium
from sim.motion.problem import Scene
from sim.motion.solve import integrate, start_state

WATER, AIR = Medium(998.2067, 1.0016e-3), Medium(1.225, 1.7894e-5)

CASES = [
    # name, kg/m3, mm, in air, m/s by fluids 1.3.1 (Barati and others 2014), tolerance
    ("lead in water", 11340.0, 5.0, False, 1.3092, 0.03),
    ("steel in water", 7850.0, 3.0, False, 0.8168, 0.04),
    ("nylon in water", 1140.0, 10.0, False, 0.2127, 0.04),
    ("balsa rising, held level", 160.0, 20.0, False, 0.7183, 0.05),
    ("lead in air", 11340.0, 5.0, True, 37.885, 0.04),
    ("steel in air", 7850.0, 10.0, True, 43.197, 0.07),
    ("water-heavy in air", 1000.0, 20.0, True, 21.787, 0.07),
]


@pytest.mark.parametrize(("name", "density", "diameter", "in_air", "published", "tolerance"), CASES)
def test_a_sphere_reaches_the_published_terminal_speed(name, density, diameter, in_air, published, tolerance):
    size = f'"{diameter} mm"'
    design = read(
        f'name = "ball"\n[body.ball]\nlength = {size}\nwidth = {size}\nheight = {size}\n'
        f'density = "{density} kg/m3"\n[tie_on.eye]\nat = {{ back = "0 mm" }}\n',
        "ball.toml",
    )
    lure = build(design)
    start = start_state(lure.elements, (0.0, 0.0, 5000.0 if in_air else -500.0), (1, 0, 0, 0))
    run = integrate(lure.elements, Scene(WATER, AIR), start, 30.0 if in_air else 5.0)
    speed = abs(float(run.f[-1, 2]))
    assert speed == pytest.approx(published, rel=tolerance)
    medium = AIR if in_air else WATER
    reference = fluids.v_terminal(diameter / 1e3, density, medium.density, medium.viscosity)
    if density > medium.density:
        assert speed == pytest.approx(reference, rel=tolerance)


def test_with_the_water_it_carries_a_sphere_speeds_up_more_slowly_than_without():
    # fluids.integrate_drag_sphere leaves added mass out: 0.776063 m/s after 0.1 s for 5 mm of lead
    design = read(
        'name = "ball"\n[body.ball]\nlength = "5 mm"\nwidth = "5 mm"\nheight = "5 mm"\n'
        'density = "11340 kg/m3"\n[tie_on.eye]\nat = { back = "0 mm" }\n',
        "ball.toml",
    )
    lure = build(design)
    start = start_state(lure.elements, (0.0, 0.0, -50.0), (1, 0, 0, 0))
    speeds = {}
    for carried in (0.0, 1.0):
        scene = Scene(WATER, AIR, gains={"added_mass": carried})
        run = integrate(lure.elements, scene, start, 0.1)
        speeds[carried] = abs(float(run.f[-1, 2]))
    assert speeds[0.0] == pytest.approx(0.776063, rel=0.02)
    assert speeds[1.0] < speeds[0.0]
    early = integrate(lure.elements, Scene(WATER, AIR), start, 1e-3)
    volume = math.pi / 6 * 0.005**3
    mass = 11340.0 * volume
    first = (mass - WATER.density * volume) * 9.80665 / (mass + 0.5 * WATER.density * volume)
    assert abs(np.mean(early.f[:3, 9])) == pytest.approx(first, rel=1e-3)
