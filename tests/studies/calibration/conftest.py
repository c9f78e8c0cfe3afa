"""The made-up world in place of the runs, and a box with a lure and its log in it."""

import pytest

from sim.design.log import with_test
from sim.studies.calibration import predicted
from sim.studies.calibration import residuals as compared
from sim.studies.calibration import response_model as response
from tests.studies.calibration.planted import NOSE, runs
from tests.studies.work import TEXT


@pytest.fixture
def made_up(monkeypatch):
    for module in (response, compared, predicted):
        monkeypatch.setattr(module, "run_cases", runs)


@pytest.fixture
def box(tmp_path, monkeypatch, made_up):
    (tmp_path / "lure.toml").write_text(TEXT)
    text = ""
    for words in (f"wobbled 6.8 +- 0.1 Hz {NOSE}", "rose 1 m in 4.2 +- 0.05 s"):
        text = with_test(text, {"said": words})
    (tmp_path / "lure.log.toml").write_text(text)
    monkeypatch.chdir(tmp_path)
    return tmp_path
