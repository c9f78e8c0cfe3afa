"""Work for studies that costs next to nothing, and designs to do it on. Workers import this module."""

import os
from pathlib import Path

from sim.studies.engine import Case, CaseError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RUNNER = SCENARIOS / "thimble_oar.toml"
TEXT = RUNNER.read_text(encoding="utf-8")


def lip_angle(design):
    """The angle of the lip in degrees."""
    return {"angle": round(design.plate["lip"].angle.value * 57.29577951308232, 9)}


def process(design):
    """Which process it is."""
    return {"process": os.getpid()}


def refuses(design):
    """Cannot be answered."""
    raise CaseError("this lure is\n  not for me")


def breaks(design):
    """Has a fault."""
    raise TypeError("no such thing")


def dies(design):
    """Takes its process with it."""
    os._exit(3)


def many(count, ask=lip_angle):
    """Light cases, made as they are drawn."""
    return (Case(number, ask) for number in range(1, count + 1))
