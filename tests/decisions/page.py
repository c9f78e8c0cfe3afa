"""The chapter of the validation page on advice: what the planted studies came to, from their written results."""

from __future__ import annotations

import json
from importlib import import_module
from pathlib import Path

from tests.decisions.__main__ import STUDIES

HERE = Path(__file__).parent
OPENING = """\
## Advice

The checks above try single numbers. Here the studies as a whole are tried: a truth is planted that the code
never sees, the code is asked as a maker would ask it, and its answer is held against the truth. The planted
cases are inventions; the lure that is run as the truth is run by the same model, so this says whether the
*advice* is sound, not whether the model is."""


def chapter(here: Path = HERE) -> str:
    """Every study whose results are there, in one chapter of Markdown; empty if there are none."""
    found = [
        import_module(f"tests.decisions.{name}").section(json.loads(file.read_text(encoding="utf-8")))
        for name in STUDIES
        if (file := here / f"{name}.json").exists()
    ]
    return "\n\n".join([OPENING, *found]) if found else ""
