"""Added mass by the boundary-element library capytaine: two meshes, extrapolated to endless refinement."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from sim.design.parts import Body
from sim.lure.bodies import build_body
from sim.lure.hull import hull
from tests.hulls import lattice

COARSE, FINE = 16, 24  # rings and points of a ring
PLATE_PANELS, PLATE_THICKNESS = 10, 0.04  # of the coarse mesh: panels on the short side; thickness over it


@cache
def _solver() -> Any:
    import capytaine

    capytaine.set_logging("ERROR")
    # in unbounded water the tabulated wave part of the Green function is never looked up: make it tiny
    green = capytaine.Delhommeau(
        tabulation_nr=2, tabulation_nz=2, tabulation_nb_integration_points=11, tabulation_cache_dir=None
    )
    return capytaine.BEMSolver(green_function=green)


def unbounded(vertices: np.ndarray, panels: np.ndarray, centre: np.ndarray) -> np.ndarray:
    """Added-mass matrix (6, 6) over the density, about `centre`, of a closed mesh far from any surface."""
    import capytaine

    body = capytaine.FloatingBody(
        mesh=capytaine.Mesh(vertices=vertices, faces=panels),
        dofs=capytaine.rigid_body_dofs(rotation_center=tuple(centre)),
    )
    problems = [
        capytaine.RadiationProblem(
            body=body, radiating_dof=way, free_surface=np.inf, water_depth=np.inf, rho=1.0
        )
        for way in body.dofs
    ]
    solved = _solver().solve_all(problems, keep_details=False, progress_bar=False)
    return np.array([[one.added_masses[way] for way in body.dofs] for one in solved])


def of_body(spec: Body, volume: float, centre: np.ndarray) -> np.ndarray:
    """Added-mass matrix (6, 6) over the density of one body; first order in panel size, so extrapolated."""
    body = build_body("judged", spec, [])[0]
    found, sizes = [], []
    for rings in (COARSE, FINE):
        mesh = hull(body.profile, body.frame, volume, rings, rings)
        panels = np.column_stack([mesh.faces, mesh.faces[:, 0]])
        found.append(unbounded(mesh.vertices, panels, centre))
        sizes.append(len(panels) ** -0.5)
    return np.asarray(found[1] + (found[1] - found[0]) * sizes[1] / (sizes[0] - sizes[1]))


@cache
def of_plate(ratio: float) -> np.ndarray:
    """Added mass (6,) over the density of a thin rectangle 1 wide and `ratio` long (along x), about its axes.

    Panel size and thickness are halved together, and the pair extrapolated to none of either.
    """
    found = []
    for k in (1, 2):
        across = PLATE_PANELS * k
        along = round(PLATE_PANELS * ratio**0.5) * k
        mesh = lattice(
            np.ones((along, across, 1), dtype=int).tolist(),
            np.linspace(-ratio / 2, ratio / 2, along + 1).tolist(),
            np.linspace(-0.5, 0.5, across + 1).tolist(),
            (-PLATE_THICKNESS / k / 2, PLATE_THICKNESS / k / 2),
        )
        pairs = mesh.faces.reshape(-1, 2, 3)  # two triangles to a cell face
        panels = np.column_stack([pairs[:, 0, :], pairs[:, 1, 2]])
        found.append(np.diag(unbounded(mesh.vertices, panels, np.zeros(3))))
    return np.asarray(2.0 * found[1] - found[0])
