"""Dotted paths into a design."""

import pytest

from sim.design.model import Design
from sim.design.paths import leaves, replaced
from sim.units import parse

DESIGN = Design.model_validate(
    {
        "name": "test",
        "body": {
            "main": {
                "shape": "stations",
                "density": "0.3 +- 0.02 g/cm3",
                "stations": [
                    {"back": "0 mm", "width": "0 mm", "height": "0 mm"},
                    {"back": "30 mm", "width": "12 mm", "height": "15 mm"},
                ],
            }
        },
    }
)


def test_every_quantity_of_the_file_has_a_path_defaults_included() -> None:
    found = leaves(DESIGN)
    assert found["body.main.density"].sd == pytest.approx(20.0)
    assert found["body.main.stations.1.width"].value == pytest.approx(0.012)
    assert found["retrieve.speeds.0"].dimension == "speed"
    assert found["water.temperature"].value == pytest.approx(18.0)
    assert "body.main.weight" not in found


def test_a_replaced_value_leaves_the_original_alone() -> None:
    other = replaced(DESIGN, {"body.main.stations.1.width": 0.02, "body.main.weight": parse("3 g", "mass")})
    assert leaves(other)["body.main.stations.1.width"].value == 0.02
    assert other.body["main"].weight.value == pytest.approx(3e-3)
    assert leaves(DESIGN)["body.main.stations.1.width"].value == pytest.approx(0.012)
    assert DESIGN.body["main"].weight is None


def test_a_plain_number_keeps_dimension_and_deviation() -> None:
    density = leaves(replaced(DESIGN, {"body.main.density": 310.0}))["body.main.density"]
    assert (density.value, density.dimension) == (310.0, "density")
    assert density.sd == pytest.approx(20.0)


def test_replacing_every_leaf_by_itself_changes_nothing() -> None:
    assert replaced(DESIGN, leaves(DESIGN)) == DESIGN


@pytest.mark.parametrize(
    ("path", "step"),
    [("body.mian.weight", "mian"), ("body.main.wieght", "wieght"), ("body.main.stations.7.width", "7")],
)
def test_an_unknown_path_names_its_first_unknown_step(path: str, step: str) -> None:
    with pytest.raises(KeyError, match=f"the design has no '{path}': there is no '{step}' in it"):
        replaced(DESIGN, {path: 1.0})
