"""A plan, and carrying it out: real runs, short ones."""

import csv

import pytest

from sim.design.load import load, read
from sim.studies.parameters import read as parameter
from sim.studies.plan import Plan
from sim.studies.record import read as rows_of
from sim.studies.vary import carried_out, opened
from tests.studies.work import RUNNER, TEXT

DESIGN = load(RUNNER)
SHORT = parameter(DESIGN, "retrieve.duration=1.2s")


def plan(*written, steps=3, **changes):
    values = {"tie_ons": ("nose", "lip"), "speeds": (0.5, 0.9)} | changes
    return Plan("vary", TEXT, tuple(parameter(DESIGN, text, steps) for text in written), **values)


def test_every_combination_is_a_case_from_each_point_at_each_speed():
    study = plan("lip.angle=30deg..60deg", "ballast.belly.at.up=-6mm,-3mm")
    cases = list(study.cases())
    assert study.total == len(cases) == 3 * 2 * 2 * 2
    assert [case.number for case in cases] == list(range(1, 25))
    told = {(*(v.value for v in case.changes.values()), *case.ask.pulls[0]) for case in cases}
    assert len(told) == 24


def test_cases_that_have_a_row_are_left_out_and_the_others_keep_their_numbers():
    study = plan("lip.angle=30deg..60deg")
    assert [case.number for case in study.cases({1, 3, 4})] == [2, *range(5, 13)]


def test_the_speed_as_a_parameter_takes_the_place_of_the_speeds():
    study = plan("speed=0.3m/s..0.5m/s", "lip.angle=30deg,40deg", tie_ons=("nose",), speeds=(9.0,))
    assert [case.ask.pulls[0].speed for case in study.cases()] == pytest.approx(
        [0.3, 0.3, 0.4, 0.4, 0.5, 0.5]
    )
    assert all(set(case.changes) == {"plate.lip.angle"} for case in study.cases())
    assert study.headings().count("speed_m_s") == 1


def test_without_a_retrieve_there_is_one_case_for_each_design():
    study = plan("lip.angle=30deg..60deg", parts=("budget", "float"))
    assert study.total == 3
    assert "tie_on" not in study.headings()


def test_headings_are_ascii_and_end_in_their_unit():
    head = plan(
        "lip.angle=30deg..60deg", "ballast.belly.at.up=-6mm,-3mm", "water.temperature=5C..25C"
    ).headings()
    assert head[:6] == [
        "case", "plate.lip.angle_deg", "ballast.belly.at.up_mm", "water.temperature_c", "tie_on", "speed_m_s"
    ]  # fmt: skip
    assert all(name.isascii() and "," not in name for name in head)
    assert len(set(head)) == len(head)


@pytest.mark.parametrize(
    "other",
    [
        plan("lip.angle=30deg..61deg"), plan("lip.angle=30deg..60deg", steps=4), plan("lip.angle=30deg,60deg"),
        plan("lip.length=30mm..60mm"), plan("lip.angle=30deg..60deg", samples=3),
        plan("lip.angle=30deg..60deg", samples=3, seed=2), plan("lip.angle=30deg..60deg", speeds=(0.5, 0.91)),
        plan("lip.angle=30deg..60deg", tie_ons=("nose",)), plan("lip.angle=30deg..60deg", parts=("retrieve",)),
    ],
)  # fmt: skip
def test_another_study_has_another_digest(other):
    study = plan("lip.angle=30deg..60deg")
    assert study.digest() == plan("lip.angle=30deg..60deg").digest() != other.digest()


def test_a_study_is_the_same_however_it_is_run_and_wherever_it_stopped(tmp_path):
    study = Plan(
        "vary",
        TEXT,
        (parameter(DESIGN, "lip.angle=30deg,50deg"), SHORT),
        tie_ons=("nose", "lip"),
        speeds=(0.9,),
    )
    whole, parts = tmp_path / "whole.csv", tmp_path / "parts.csv"
    with opened(study, whole, "lure.toml") as record:
        assert len(list(carried_out(study, record, workers=1))) == 4
    with opened(study, parts, "lure.toml") as record:
        runs = carried_out(study, record, workers=1)
        first = next(runs)
        runs.close()
    assert first["case"] == 1
    assert [row["case"] for row in rows_of(parts)] == ["1"]
    with opened(study, parts, "lure.toml") as record:
        assert [row["case"] for row in carried_out(study, record, workers=1)] == [2, 3, 4]
    assert whole.read_bytes() == parts.read_bytes()
    with opened(study, parts, "lure.toml") as record:
        assert list(carried_out(study, record, workers=1)) == []


def test_figures_are_read_back_to_the_last_bit(tmp_path):
    study = Plan(
        "vary", TEXT, (parameter(DESIGN, "lip.angle=30deg,50deg"), SHORT), tie_ons=("nose",), speeds=(0.9,)
    )
    with opened(study, tmp_path / "a.csv", "lure.toml") as record:
        given = list(carried_out(study, record, workers=1))
    for row, back in zip(given, rows_of(tmp_path / "a.csv"), strict=True):
        numbers = [name for name, cell in row.items() if isinstance(cell, float)]
        assert len(numbers) > 10
        assert [float(back[name]) for name in numbers] == [row[name] for name in numbers]
        assert row["retrieve.behaviour"] == back["retrieve.behaviour"] != ""


def test_the_file_opens_as_plain_csv(tmp_path):
    study = Plan("vary", TEXT, (parameter(DESIGN, "lip.angle=30deg,50deg"),), parts=("budget",))
    with opened(study, tmp_path / "a.csv", "lure.toml") as record:
        list(carried_out(study, record, workers=1))
    with (tmp_path / "a.csv").open(newline="") as file:
        table = list(csv.DictReader(line for line in file if not line.startswith("#")))
    assert [row["plate.lip.angle_deg"] for row in table] == ["30.0", "50.0"]
    assert all(abs(float(row["budget.margin_g"]) - 1.9) < 0.5 for row in table)


def test_a_design_that_cannot_be_is_a_row_with_its_reason(tmp_path):
    study = Plan("vary", TEXT, (parameter(DESIGN, "water.temperature=18C,99.9C,-30C"),), parts=("budget",))
    with opened(study, tmp_path / "a.csv", "lure.toml") as record:
        rows = list(carried_out(study, record, workers=1))
    assert [bool(row["failure"]) for row in rows] == [False, True, True]
    assert "water.temperature" in rows[2]["failure"]
    assert rows[2]["budget.margin_g"] is None


def test_a_change_does_what_writing_it_into_the_file_does():
    study = Plan(
        "vary",
        TEXT,
        (parameter(DESIGN, "ballast.belly.weight=3.5g"), SHORT),
        tie_ons=("nose",),
        speeds=(0.9,),
    )
    other = TEXT.replace('weight = "2.0 g"', 'weight = "3.5 g"')
    assert read(other, "x") != DESIGN
    (changed,) = carried_out(study, workers=1)
    same = Plan("vary", other, (SHORT,), tie_ons=("nose",), speeds=(0.9,))
    (typed,) = carried_out(same, workers=1)
    assert {k: v for k, v in changed.items() if k in typed} == typed
