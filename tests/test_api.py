"""The front for programs and notebooks."""

import subprocess
import sys

import pytest

import sim
from sim import api
from sim.trials.results import RetrieveResult

FILE = "scenarios/thimble_oar.toml"


def test_importing_the_package_imports_nothing_heavy():
    code = "import sim, sys; assert not {'numpy', 'numba', 'pydantic'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True)


def test_every_function_of_the_front_is_an_attribute_of_the_package():
    assert set(api.__all__) <= set(dir(sim))
    assert sim.budget is api.budget
    with pytest.raises(AttributeError, match="no attribute 'bugdet'"):
        _ = sim.bugdet


def test_a_design_may_be_given_as_a_file_or_as_it_was_loaded():
    assert sim.budget(FILE) == sim.budget(sim.load(FILE))


def test_results_show_themselves_in_short_and_as_a_table():
    sits = sim.rest(FILE)
    assert repr(sits) == f"<FloatResult: {sits.sentence}>"
    assert "<td>draught_mm</td>" in sits._repr_html_()
    assert "margin_g=" in repr(sim.budget(FILE))


def test_records_are_rows_of_plain_values():
    (row,) = sim.records(sim.budget(FILE))
    assert row["verdict"] == "floats"
    assert type(row["verdict"]) is str
    assert "parts" not in row
    assert set(row) <= {*type(sim.budget(FILE)).model_fields}


def test_a_row_of_a_retrieve_joins_its_words():
    fields = dict.fromkeys(RetrieveResult.model_fields)
    run = RetrieveResult.model_construct(**{**fields, "also": ["rocks", "wakes"], "depth_m": 0.4})
    assert run.record()["also"] == "rocks; wakes"


def test_values_are_varied_and_builds_counted_from_a_program():
    cold, warm = sim.vary(FILE, {"water.temperature": ["5 C", "20 C"]})
    assert cold["budget.margin_g"] > warm["budget.margin_g"]
    assert sim.tolerance(FILE, builds=8).builds == 8
