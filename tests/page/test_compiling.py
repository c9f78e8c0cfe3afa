"""A first start: what is missing is compiled once, while the bench works, and swims wait for it."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from sim.compiling import BENCH, cores, prepare
from sim.page import app
from sim.show.sentences import LIES_LATER
from tests.page.conftest import ask, browser


@pytest.fixture
def asked(monkeypatch):
    """What is asked of the compiler, which does nothing."""
    asked = []
    monkeypatch.setattr(app, "prepare", lambda workers, told, first: asked.append((workers, first)))
    return asked


def test_what_is_missing_is_compiled_once_however_many_ask(page, asked) -> None:
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: page.compile(), range(8)))
    assert asked == [(cores(), BENCH)]


def test_a_swim_waits_for_it_and_the_bench_does_not(page, asked) -> None:
    assert page.state({})["revision"] == 0
    assert asked == []
    told = []
    page.swim({"kind": "drop"}, told.append)
    assert told[-1]["words"]
    assert len(asked) == 1


@pytest.fixture
def first_start(page, monkeypatch):
    """A page on which nothing is compiled until it is let go on."""
    monkeypatch.setattr(app, "waits_for", lambda files: True)
    monkeypatch.setattr(app, "is_compiled", lambda: False)
    return page


def test_before_it_is_known_how_it_lies_the_bench_is_drawn_and_edited(first_start, page) -> None:
    state = page.state({})
    assert state["rest"]["floats"] == "floats"
    assert LIES_LATER in state["rest"]["headline"]
    assert not state["compiled"]
    moved = {"tie_on.nose.at.up": {"value": 0.002, "dimension": "length"}}
    tried = page.attempt({"moved": moved})
    assert tried["drawing"]["rest"] is None
    edited = page.edit({"moved": moved, "revision": 0})
    assert edited["revision"] == 1
    page._lies = True
    whole = page.state({})
    assert whole["drawing"]["rest"]
    assert whole["drawing"] | {"rest": None} == edited["drawing"]


def test_what_is_compiled_is_told_as_it_goes_on(first_start, page, monkeypatch) -> None:
    monkeypatch.setattr(app, "prepare", lambda workers, told, first: (told(1, 3), told(3, 3)))
    with browser(page) as client:  # which starts the compiling, as a server does
        answer, status = ask(client, "compiling")
    assert status == 200
    assert answer["compiled"]
    assert answer["lies"]
    assert "3 of 3" in answer["words"]


OPEN = """
import sys
from pathlib import Path
from sim.compiled import kernels
from sim.page.app import Page
state = Page(Path("scenarios"), Path("scenarios/{name}.toml"), Path(sys.argv[1]), None).state({{}})
"""


def run(code: str, drafts: Path, **environment: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", code, str(drafts)], capture_output=True, text=True, env={**os.environ, **environment}
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def test_the_very_first_state_compiles_nothing(tmp_path) -> None:
    code = OPEN.format(name="porch_light") + (
        "assert state['drawing']['views']['side']['bodies']; assert state['drawing']['rest'] is None; "
        "assert 'Floats' in state['rest']['headline'][0]; assert 'numba' not in sys.modules; "
        "assert not any(one.is_kept for one in kernels())"
    )
    run(code, tmp_path, DRYTANK_CACHE=str(tmp_path / "cache"))


@pytest.mark.parametrize("name", ["porch_light", "thimble_oar"])
def test_how_it_lies_needs_only_what_is_compiled_first(tmp_path, name) -> None:
    prepare(cores())
    code = OPEN.format(name=name) + (
        f"assert state['drawing']['rest'] or state['rest']['floats'] == 'sinks'; used = {{one.symbol.split('.')[-2] "
        f"for one in kernels() if one._address}}; assert used, used; assert used <= set({BENCH}), used"
    )
    run(code, tmp_path)
