"""The demo lures and what they answer, asked once however many tests want it.

What is handed out is shared: a test that wants to change it makes a copy. Tests that run side by side leave what took
long in a folder for each other.
"""

import pickle
from functools import cache
from pathlib import Path

from sim.design.load import load
from sim.disk import held, write_whole
from sim.lure import build

folder = None  # where processes that test side by side leave things for each other; `tests.conftest` sets it

FILES = sorted((Path(__file__).parents[1] / "scenarios").glob("*.toml"))
NAMES = [path.stem for path in FILES]


def file(name):
    """The design file of a demo lure."""
    return FILES[NAMES.index(name)]


@cache
def source(name):
    """Its text."""
    return file(name).read_text(encoding="utf-8")


@cache
def design(name):
    """Its design."""
    return load(file(name))


@cache
def lure(name):
    """What is built from it."""
    return build(design(name))


def _shared(name, make):
    """What `make` makes, or what another process has made of it."""
    if folder is None:
        return make()
    path = folder / f"{name}.pickle"
    with held(path, patience=300.0):
        if not path.exists():
            write_whole(path, pickle.dumps(make()))
    return pickle.loads(path.read_bytes())


@cache
def entry(name):
    """All that its report holds."""
    from sim.studies.dossier import gather

    return _shared(f"entry of {name}", lambda: gather(design(name), source(name)))


@cache
def beside(name, other):
    """All that the report of another one holds about it, run as that one was."""
    from sim.studies.dossier import gather

    return _shared(
        f"entry of {name} beside {other}", lambda: gather(design(name), source(name), entry(other))
    )


@cache
def report(name, other=None):
    """Its report as a page; or that of two, `other` beside it, run as this one was."""
    from tests.show.terminal import report_page

    entries = [entry(name)] if other is None else [entry(name), beside(other, name)]
    return _shared(f"report of {name} and {other}", lambda: report_page(*entries))
