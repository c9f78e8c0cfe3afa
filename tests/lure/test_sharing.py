"""Bodies measured as one: what they share, what they keep, and what cannot be."""

import math
import re
from pathlib import Path

import pytest

from sim.cli import main
from sim.design.load import DesignError, read, warnings
from sim.design.model import Design
from sim.design.priors import priors
from sim.lure.profile import BuildError
from sim.lure.weigh import weigh
from sim.trials.budget import budget
from sim.trials.reweighing import Reweighing
from sim.units import parse
from tests.in_words import in_words

TOY = """name = "toy"
[body.shell]
length = "45 mm"
width = "33 mm"
height = "20 mm"
{shell}
[body.leg]
length = "12 mm"
width = "6 mm"
height = "6 mm"
at = {{ back = "10 mm", up = "-12 mm", left = "12 mm" }}
mirrored = true
[assembly.toy]
bodies = ["shell", "leg"]
hollow = ["shell"]
{assembly}
[tie_on.nose]
"""
ALONE = """name = "toy"
[body.main]
length = "45 mm"
width = "33 mm"
height = "20 mm"
{body}
[tie_on.nose]
"""
READINGS = (
    'weight = "21.0 +- 0.1 g"\ncavity = "14.0 +- 0.2 mL"\ndisplaced = "29.0 +- 0.3 mL"',
    'weight = "21.0 +- 0.1 g"\ncavity = "10.0 +- 0.2 mL"\ndensity = "1.30 +- 0.02 g/cm3"',
    'weight = "21.0 +- 0.1 g"\ncavity = "10.0 +- 0.2 mL"\nmaterial = "pvc"',
    'weight = "21.0 +- 0.1 g"\ncavity = "10.0 +- 0.2 mL"\nmaterial = "pvc"\nfill = "foam"\n'
    'fill_weight = "2.0 +- 0.1 g"',
)


def toy(assembly: str, shell: str = "") -> Design:
    return read(TOY.format(assembly=assembly, shell=shell), "toy.toml")


def refused(assembly: str, shell: str = "") -> str:
    with pytest.raises(DesignError) as error:
        toy(assembly, shell)
    return str(error.value)


@pytest.mark.parametrize("readings", READINGS)
def test_the_whole_weighs_and_displaces_what_one_body_with_the_same_readings_does(readings: str) -> None:
    whole = budget(toy(readings))
    one = budget(read(ALONE.format(body=readings), "one.toml"))
    assert whole.mass_g == pytest.approx(one.mass_g, rel=1e-12)
    assert whole.displaced_ml == pytest.approx(one.displaced_ml, rel=1e-9)
    assert whole.margin_sd_g == pytest.approx(one.margin_sd_g, rel=1e-6)
    assert whole.chance_floats == pytest.approx(one.chance_floats, abs=1e-9)


def test_walls_alike_share_weight_by_their_volumes() -> None:
    made = weigh(toy('weight = "21.0 g"\ndisplaced = "29.0 mL"\ncavity = "14.0 mL"'))
    shell, left, right = (part for part in made.parts if part.kind == "body")
    volumes = [math.pi / 6 * a * b * c for a, b, c in ((45, 33, 20), (12, 6, 6))]
    outside = [29.0 * v / (volumes[0] + 2 * volumes[1]) for v in volumes]
    assert (shell.volume, left.volume) == pytest.approx([1e-6 * v for v in outside], rel=1e-6)
    assert left.mass == pytest.approx(right.mass, rel=1e-12)
    assert shell.mass / left.mass == pytest.approx((outside[0] - 14.0) / outside[1], rel=1e-6)


def test_what_a_body_tells_itself_stands_and_the_others_share_the_rest() -> None:
    made = weigh(toy('weight = "21.0 g"\ncavity = "10.0 mL"\nmaterial = "pvc"', 'weight = "18.0 g"'))
    assert [p.mass for p in made.parts if p.kind == "body"] == pytest.approx([18e-3, 1.5e-3, 1.5e-3])


def test_its_readings_are_inputs_and_its_shares_are_not() -> None:
    paths = {one.path for one in priors(toy(READINGS[2]), model=False)}
    assert {"assembly.toy.weight", "assembly.toy.cavity", "assembly.toy.density"} <= paths
    assert not any(
        path.startswith("body.") and path.endswith(("weight", "cavity", "density")) for path in paths
    )
    assert not any(path.endswith("fullness") for path in paths)


@pytest.mark.parametrize("readings", READINGS)
def test_a_change_is_reckoned_as_a_whole_weighing_would(readings: str) -> None:
    design = toy(readings)
    again = Reweighing(design)
    for change in (
        {"assembly.toy.weight": parse("23 g", "mass")},
        {"body.leg.length": parse("15 mm", "length")},
    ):
        from sim.design.paths import replaced

        after = weigh(replaced(again.design, change))
        expected = again.density * after.volume - after.mass
        assert again.with_changes(change) == pytest.approx(expected, abs=1e-12)


def test_weight_cavity_and_sizes_alone_leave_it_open_and_the_dunk_of_the_whole_settles_it() -> None:
    found = budget(toy('weight = "17.0 g"\ncavity = "10.0 mL"'))
    assert 0.05 < found.chance_floats < 0.95
    assert found.settled_by.path == "assembly.toy.displaced"
    turns = found.settled_by.turns_at_si
    settled = budget(toy(f'weight = "17.0 g"\ncavity = "10.0 mL"\ndisplaced = "{1e6 * turns:.4f} mL"'))
    assert settled.margin_g == pytest.approx(0.0, abs=1e-3)


def test_readings_that_leave_a_wall_denser_than_lead_are_told_with_their_keys() -> None:
    found = budget(toy('weight = "21.0 g"\ncavity = "15.0 mL"'))
    assert str(found.verdict) == "cannot be told"
    (conflict,) = found.conflicts
    assert conflict.body == "assembly.toy"
    assert conflict.settled_by == "assembly.toy.displaced"


def test_a_cavity_larger_than_the_outside_is_refused_with_a_way_out() -> None:
    with pytest.raises(BuildError, match=r"assembly\.toy\.cavity = '20 mL' .*displaced.*measure thing"):
        weigh(toy('weight = "21.0 g"\ncavity = "20 mL"'))


@pytest.mark.parametrize(
    ("assembly", "shell", "says"),
    [
        ('weight = "21 g"\nbodys = ["shell"]', "", r'no key "bodys" in an assembly; did you mean "bodies"'),
        ('weight = "18 g"\nmaterial = "pvc"', 'weight = "19 g"', r'assembly\.toy\.weight = "18 g": body\.shell\.weight '
         r"alone make 19\.0 g, which leaves nothing for leg"),
        ('cavity = "10 mL"\nmaterial = "pvc"', 'wall = "2 mm"', r"body\.shell\.wall tells a hollow as well"),
        ('material = "pvc"\nfill = "foam"', "", r"there is nothing to fill"),
        ("", 'material = "pvc"', r"tells nothing that its bodies could share"),
        ('material = "pcv"', "", r'did you mean "pc"'),
    ],
)  # fmt: skip
def test_what_cannot_be_names_the_keys_and_a_way_out(assembly: str, shell: str, says: str) -> None:
    assert re.search(says, refused(assembly, shell))


def test_an_unknown_body_and_a_body_in_two_assemblies_are_told() -> None:
    text = TOY.format(assembly='weight = "21 g"\nmaterial = "pvc"', shell="")
    with pytest.raises(DesignError, match='did you mean "shell"'):
        read(
            text.replace('["shell", "leg"]', '["shel", "leg"]').replace('hollow = ["shell"]\n', ""),
            "toy.toml",
        )
    with pytest.raises(DesignError, match=r"assembly\.toy has it already"):
        read(f'{text}[assembly.more]\nbodies = ["leg"]\nweight = "2 g"\n', "toy.toml")


def test_a_total_that_its_parts_contradict_is_told() -> None:
    text = TOY.format(assembly='weight = "25.0 g"\nmaterial = "pvc"', shell='weight = "18.0 g"').replace(
        "mirrored = true", 'mirrored = true\nweight = "1.0 g"'
    )
    told = [one for one in in_words(warnings(read(text, "toy.toml"))) if "Assembly.toy.weight" in one]
    assert told
    assert "25.0 g for the whole but 20.0 g for its bodies together" in told[0]


def test_measure_thing_reads_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "toy.toml"
    file.write_text(TOY.format(assembly='weight = "21 g"\ncavity = "14 mL"', shell=""), encoding="utf-8")
    assert main(["measure", "thing", str(file)]) == 0
    assert "Measure next: close it and dunk it whole" in capsys.readouterr().out
    assert main(["measure", "thing", str(file), "displaced=29 mL"]) == 0
    assert "Empty and closed: floats" in capsys.readouterr().out


def test_its_quantities_take_part_in_a_change_of_the_file() -> None:
    from sim.design.edit import edited

    text = TOY.format(assembly='weight = "21 g"\ncavity = "10 mL"\nmaterial = "pvc"', shell="")
    after = edited(text, {"assembly.toy.weight": "20 g"})
    assert weigh(read(after, "toy.toml")).mass == pytest.approx(20e-3)
