"""Every way to tell a shape that the how-to page shows is read and built as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sim.design.load import load, read
from sim.lure import build

DOCS = Path(__file__).parents[2] / "docs" / "how-to"
BLOCKS = re.findall(r"```toml\n(.*?)```", (DOCS / "body-shapes.md").read_text(encoding="utf-8"), re.S)
HEAD = 'name = "test"\n[tie_on.nose]\nat = { back = "0 mm" }\n'


def test_the_page_shows_all_four_ways() -> None:
    assert len(BLOCKS) == 4
    assert [word for word in ("stations", "outline", "mesh") if any(f'"{word}"' in b for b in BLOCKS)] == [
        "stations",
        "outline",
        "mesh",
    ]


@pytest.mark.parametrize("block", BLOCKS, ids=["sizes", "stations", "outline", "mesh"])
def test_a_block_of_the_page_is_a_sound_body(block: str) -> None:
    made = build(read(HEAD + block, "page", DOCS / "bodies"))
    assert made.warnings == ()
    assert 5e-6 < made.volume < 30e-6


@pytest.mark.parametrize("name", ["drawn", "printed"])
def test_the_whole_designs_of_the_page_float(name: str) -> None:
    made = build(load(DOCS / "bodies" / f"{name}.toml"))
    assert made.warnings == ()
    assert made.mass < 998.6 * made.volume
