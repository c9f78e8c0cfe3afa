"""A lure is built again only if a part of it is another."""

import numpy as np
import pytest

from sim.design.paths import replaced
from sim.lure import build, kept
from sim.trials.request import Pull, Request
from sim.units import parse
from tests import demos


class Untouchable:
    """Stands for what must not be looked at."""

    def __getattr__(self, name):
        raise AssertionError(f"{name} was asked for")


@pytest.fixture
def counted(monkeypatch):
    """How often a lure was built, with nothing kept from before."""
    kept._kept.clear()
    calls = []

    def counting(design, **more):
        calls.append(design)
        return build(design, **more)

    monkeypatch.setattr(kept, "build", counting)
    yield calls
    kept._kept.clear()


@pytest.mark.parametrize("name", demos.NAMES)
def test_a_lure_is_made_of_its_parts_and_nothing_else(name):
    design = demos.design(name)
    hidden = {group: Untouchable() for group in kept.NO_PART if group != "tie_on"}
    bare = build(design.model_copy(update={**hidden, "tie_on": {}}))
    whole = demos.lure(name)
    for one, other in zip(bare.elements, whole.elements, strict=True):
        assert np.array_equal(one, other)
    assert (bare.mass, bare.volume, bare.length, bare.warnings) == (
        whole.mass, whole.volume, whole.length, whole.warnings,
    )  # fmt: skip


def test_speeds_eyes_and_coefficients_build_nothing_again_and_parts_do(counted):
    design = demos.design("cellar_door")
    request = Request(("drop",), (Pull("lip", 0.5),))
    request(design)
    moved = replaced(
        design, {"tie_on.lip.at.back": parse("9 mm", "length"), "retrieve.duration": parse("2 s", "time")}
    )
    for other in (moved, replaced(design, {"calibration.shedding": parse("0.9 x", "factor")})):
        assert request(other) == _afresh(request, other)
    assert len(counted) == 1
    heavier = replaced(design, {"hook.belly.weight": parse("2.5 g", "mass")})
    assert request(heavier) == _afresh(request, heavier)
    assert len(counted) == 2
    assert request(design) == _afresh(request, design)
    assert len(counted) == 2


def _afresh(request, design):
    """What a process that has built nothing yet answers."""
    before, put = list(kept._kept), kept.build
    kept._kept.clear()
    kept.build = build
    try:
        return request(design)
    finally:
        kept.build = put
        kept._kept.clear()
        kept._kept.extend(before)
