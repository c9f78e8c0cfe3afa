"""The cheap build gives what the whole one gives, to the last bit."""

from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load
from sim.lure import build
from sim.lure.static_lure import static_lure

ROOT = Path(__file__).parents[2]
FILES = sorted([*ROOT.glob("scenarios/*.toml"), *ROOT.glob("docs/how-to/bodies/*.toml")])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_it_is_the_whole_build_without_its_tables(path):
    design = load(path)
    quick, whole = static_lure(design), build(design)
    assert (quick.mass, quick.volume) == (whole.mass, whole.volume)
    assert quick.warnings == whole.warnings
    for name in ("centre", "centre_volume", "small"):
        assert np.array_equal(getattr(quick, name), getattr(whole, name)), name
    assert len(quick.hulls) == len(whole.hulls)
    for one, other in zip(quick.hulls, whole.hulls, strict=True):
        assert np.array_equal(one.vertices, other.vertices)
        assert np.array_equal(one.faces, other.faces)


def test_without_hulls_it_weighs_the_same():
    design = load(ROOT / "scenarios/thimble_oar.toml")
    quick, whole = static_lure(design, with_hulls=False), build(design)
    assert (quick.mass, quick.volume, quick.hulls) == (whole.mass, whole.volume, ())
    assert np.array_equal(quick.centre, whole.centre)
