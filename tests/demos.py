"""The demo lures and what they answer, asked once in each process however many tests want it.

What is handed out is shared: a test that wants to change it makes a copy.
"""

from functools import cache
from pathlib import Path

from sim.design.load import load
from sim.lure import build

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


@cache
def trial(name):
    """All its trials."""
    from sim.trials.trial import trial as whole

    return whole(design(name))


@cache
def entry(name):
    """All that its report holds."""
    from sim.studies.dossier import gather

    return gather(design(name), source(name))


@cache
def beside(name, other):
    """All that the report of another one holds about it, run as that one was."""
    from sim.studies.dossier import gather

    return gather(design(name), source(name), entry(other))
