"""Half-immersed bodies that bob and rock: periods by the simulator, and with carried water from capytaine."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np

from sim.lure.bodies import build_body
from sim.lure.hull import hull
from sim.lure.lure import Lure
from sim.motion.kinematics import quaternion
from sim.motion.problem import Scene
from tests.checks import bench
from tests.lure.makers import stations
from tests.motion import rigs

BODIES = {
    "oval": "an oval rod 100 x 30 x 20 mm, half under",
    "block": "a block 100 x 40 x 20 mm, half under",
}
SIZES = {"oval": (30.0, 20.0, 2.0), "block": (40.0, 20.0, 50.0)}  # width, height (mm), exponent
LENGTH = 0.1
NO_DRAG = dict.fromkeys(
    ("cross_drag", "axial_drag", "tail_relief", "cross_relief", "roll_drag", "plate_drag", "slam"), 0.0
)
WATER, GRAVITY = 1000.0, 9.80665


def _lure(name: str) -> Lure:
    width, height, exponent = SIZES[name]
    return bench.turned(
        (0.0, width, height), (1e3 * LENGTH, width, height), exponent=exponent, density=0.5 * WATER
    )


@cache
def our_period(name: str, way: str) -> float:
    """Period (s) of small free swings in still water, drag left out."""
    lure = _lure(name)
    scene = Scene(bench.PLAIN_WATER, bench.AIR, gravity=GRAVITY, coefficients=NO_DRAG)
    nudged: dict[str, Any] = {"position": (0.0, 0.0, 2e-4)}
    if way == "roll":
        nudged = {"quaternion": quaternion(roll=0.01)}
    run = rigs.fly(lure.elements, scene, 2.0, **nudged)
    column = 9 if way == "heave" else 10
    return bench.period(run, lambda y: y[:, column], 2.0)


@cache
def judged_period(name: str, way: str) -> float:
    """The same from the stiffness of the waterplane and the library's frequency-dependent added mass."""
    lure = _lure(name)
    width, height = SIZES[name][0] / 1e3, SIZES[name][1] / 1e3
    mass, roll_inertia = lure.mass, float(_about_centre(lure)[0, 0])
    area, second = LENGTH * width, LENGTH * width**3 / 12.0
    under = (
        4.0 / (3.0 * math.pi) * height / 2.0 if name == "oval" else height / 4.0
    )  # of buoyancy below the middle
    stiffness = {
        "heave": WATER * GRAVITY * area,
        "roll": mass * GRAVITY * (second / (mass / WATER) - under),
    }
    pulse = 25.0
    for _ in range(4):  # the carried water depends on the rate it is shaken at, weakly
        added = _added_mass(name, pulse)
        if way == "heave":
            moved = mass + added["Heave", "Heave"]
        else:  # it is free to sway as it rolls
            both = added["Sway", "Roll"]
            moved = roll_inertia + added["Roll", "Roll"] - both**2 / (mass + added["Sway", "Sway"])
        pulse = math.sqrt(stiffness[way] / moved)
    return 2.0 * math.pi / pulse


def _about_centre(lure: Lure) -> np.ndarray:
    return bench.shifted(lure.elements.inertia, lure.centre)[3:, 3:]


@cache
def _half_mesh(name: str) -> Any:
    import capytaine

    width, height, exponent = SIZES[name]
    spec = stations((0, width, height), (1e3 * LENGTH, width, height), exponent=exponent)
    body = build_body("judged", spec, [])[0]
    shape = hull(body.profile, body.frame, _lure(name).volume, 12, 24)
    panels = np.column_stack([shape.faces, shape.faces[:, 0]])
    mesh = capytaine.Mesh(vertices=shape.vertices + np.array([LENGTH / 2, 0.0, 0.0]), faces=panels)
    return capytaine.FloatingBody(
        mesh=mesh, dofs=capytaine.rigid_body_dofs(only=("Heave", "Sway", "Roll"), rotation_center=(0, 0, 0))
    ).immersed_part()


def _added_mass(name: str, pulse: float) -> dict[tuple[str, str], float]:
    import capytaine

    capytaine.set_logging("ERROR")
    body = _half_mesh(name)
    solver = capytaine.BEMSolver(green_function=capytaine.HAMS_GF())
    problems = [
        capytaine.RadiationProblem(body=body, radiating_dof=way, omega=pulse, rho=WATER, g=GRAVITY)
        for way in body.dofs
    ]
    solved = solver.solve_all(problems, keep_details=False, progress_bar=False)
    return {(r.radiating_dof, way): float(r.added_masses[way]) for r in solved for way in body.dofs}
