"""The list of materials."""

import subprocess
import sys

import pytest

from sim.design.materials import MATERIALS, find

STATUSES = {"published", "memory", "user should measure"}


def test_every_material_lies_in_its_own_range_and_names_its_source() -> None:
    for material in MATERIALS.values():
        assert material.low <= material.density <= material.high
        assert material.source
        assert material.status in STATUSES


@pytest.mark.parametrize(
    ("name", "density"),
    [
        ("lead", 11340),  # ASM Metals Handbook 1961; Marks 1967
        ("tungsten", 19300),  # Emsley 1989
        ("pvc", 1390),  # Engineers Edge
        ("nylon", 1140),  # Engineers Edge
        ("tin", 7310),  # Emsley 1989
    ],
)
def test_published_densities_are_kept(name: str, density: float) -> None:
    assert MATERIALS[name].density == density
    assert MATERIALS[name].status == "published"


def test_names_are_found_however_they_are_written() -> None:
    assert find("Western_Redcedar") is MATERIALS["western redcedar"]
    assert find("aluminum") is MATERIALS["aluminium"]
    assert find("unobtainium") is None


def test_reading_the_list_needs_no_array_library() -> None:
    code = "import sys, sim.design.materials, sim.design.paths; print('numpy' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"
