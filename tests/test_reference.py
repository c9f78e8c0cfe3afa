"""The reference in docs is what the models say today."""

from pathlib import Path

import pytest

from docs.tools import reference
from sim.design.model import Design
from sim.trials.results import Behaviour, DropMotion, TrialResult, Verdict

DOCS = Path(__file__).parents[1] / "docs"


@pytest.mark.parametrize("name", ["design-file.md", "results.md", "commands.md"])
def test_the_committed_reference_is_up_to_date(name):
    committed = (DOCS / "reference" / name).read_text(encoding="utf-8")
    assert committed == reference.pages()[name], "run: python -m docs.tools.reference docs/reference"


def test_every_key_of_the_results_is_documented():
    page = reference.pages()["results.md"]
    for name in ("mass_g", "displaced_ml", "margin_g", "margin_sd_g", "verdict"):
        assert f"`budget.{name}`" in page
    for name in ("tie_on", "speed_m_s", "behaviour", "depth_m", "wobble_hz", "tension_n"):
        assert f"`retrieve[].{name}`" in page
    assert "`float.immersed_fraction`" in page
    assert TrialResult.model_fields["floating"].alias == "float"


def test_every_table_of_a_design_is_documented_with_its_keys():
    page = reference.pages()["design-file.md"]
    for key in Design.model_fields:
        assert f"`{key}`" in page or f"## `[{key}]`" in page or f"## `[{key}.NAME]`" in page
    assert "## `body.NAME.stations = [ { ... }, ... ]`" in page


def test_every_key_has_a_description_and_every_required_key_an_example():
    for line in reference.pages()["design-file.md"].splitlines():
        if not line.startswith("| `"):
            continue
        _, key, what, example, default, _ = (cell.strip() for cell in line.replace("\\|", "/").split("|"))
        assert what, key
        assert example or default != "**must be given**" or key == "`name`", key


def test_every_command_is_documented_with_an_example():
    page = reference.pages()["commands.md"]
    for name in ("budget", "float", "drop", "cast", "retrieve", "trial", "new"):
        assert f"\n## `drytank {name}`\n" in page
        assert f"\ndrytank {name} " in page


def test_check_names_the_pages_that_are_out_of_date(tmp_path, capsys):
    assert reference.main([str(tmp_path)]) == 0
    assert reference.main([str(tmp_path), "--check"]) == 0
    (tmp_path / "results.md").write_text("old", encoding="utf-8")
    assert reference.main([str(tmp_path), "--check"]) == 1
    assert "results.md is out of date" in capsys.readouterr().err


def test_the_glossary_explains_every_word_that_an_answer_may_use():
    glossary = (DOCS / "glossary.md").read_text(encoding="utf-8").lower()
    words = [*Behaviour, *DropMotion, *(v for v in Verdict if v is Verdict.SUSPENDS)]
    for word in words:
        if word is not Behaviour.UNKNOWN:
            assert f"**{word.value}**" in glossary, word
    assert "**gave up**" in glossary
