"""Where the laminar flow leaves a body, against Thwaites's method on the closed-form flow past spheroids."""

import math

import numpy as np
import pytest

from sim.lure.bodies import build_body
from sim.lure.separation import separation
from tests.lure.makers import design, stations


def profile(spec):
    made = design(body={"main": spec})
    return build_body("main", made.body["main"], [])[0].profile


def spheroid(fineness):
    size = {"length": f"{20.0 * fineness} mm", "width": "20 mm", "height": "20 mm"}
    return profile({**size, "density": "1 g/cm3"})


def closed_form(fineness):
    """Thwaites's integral in the eccentric angle, speed (1 + k) times the cosine of the outline's slope."""
    angle = np.linspace(1e-4, math.pi - 1e-4, 40001)
    arc = np.hypot(fineness * np.sin(angle), np.cos(angle))
    speed, radius = fineness * np.sin(angle) / arc, np.sin(angle)
    inner = radius**2 * speed**5 * arc
    grown = np.concatenate([[0.0], np.cumsum(0.5 * (inner[1:] + inner[:-1]) * np.diff(angle))])
    held = 0.45 * grown / (radius**2 * speed**6) * np.gradient(speed, angle) / arc
    return 0.5 * (1.0 - math.cos(angle[np.flatnonzero((held < -0.09) & (angle > 0.5))[0]]))


@pytest.mark.parametrize("fineness", [1.0, 2.0, 3.5, 4.0, 6.0, 10.0])
def test_flow_leaves_a_spheroid_where_the_closed_form_says(fineness):
    assert separation(spheroid(fineness)) / (0.02 * fineness) == pytest.approx(
        closed_form(fineness), abs=0.006
    )


def test_it_leaves_a_sphere_at_a_hundred_and_four_degrees():
    place = separation(spheroid(1.0)) / 0.02
    assert math.degrees(math.acos(1.0 - 2.0 * place)) == pytest.approx(103.6, abs=0.6)


def test_slender_bodies_keep_it_longer():
    places = [separation(spheroid(f)) / (0.02 * f) for f in (2.0, 3.0, 5.0, 8.0)]
    assert places == sorted(places)


def test_a_straight_rod_keeps_it_to_its_end():
    rod = profile(stations((0.0, 20.0, 20.0), (80.0, 20.0, 20.0)))
    assert separation(rod) == pytest.approx(0.08, rel=1e-12)


def test_a_body_turned_round_is_left_at_the_same_place_from_its_leading_end():
    body = profile(stations((0.0, 0.0, 0.0), (20.0, 20.0, 20.0), (80.0, 4.0, 4.0)))
    turned = profile(stations((0.0, 4.0, 4.0), (60.0, 20.0, 20.0), (80.0, 0.0, 0.0)))
    assert separation(turned, tail_first=True) == pytest.approx(separation(body), rel=1e-6)


def test_evening_out_the_facets_of_a_mesh_hardly_moves_it():
    body = spheroid(4.0)
    assert separation(body, even=0.1) == pytest.approx(separation(body), abs=0.02 * body.length)
