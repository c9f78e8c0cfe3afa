"""A made-up world whose figures are short formulas, so that the right answer of a calibration is known."""

import math
import random

from sim.design.load import read
from sim.design.log import read_log, with_test
from sim.studies.calibration.calibrate import Given, calibrate
from sim.studies.calibration.observations import readings
from sim.studies.engine import Outcome
from sim.trials.request import key
from tests.studies.work import TEXT

DESIGN = read(TEXT, "oar.toml")
NOSE = "at 0.9 m/s from nose"
CHAOS = random.Random(5)


def world(case, design=DESIGN):
    """Figures of the made-up world: each hangs on one or two values, of the design or changed, by a short formula."""

    def factor(name):
        value = case.changes.get(f"calibration.{name}") or getattr(design.calibration, name)
        return value.value

    speed = case.changes.get("cast.speed") or design.cast.speed
    ballast = case.changes.get("ballast.belly.weight") or design.ballast["belly"].weight
    row = {
        "budget.mass_g": 7.4 + 1e3 * ballast.value, "budget.displaced_ml": 11.3, "budget.margin_g": 1.9,
        "budget.verdict": "floats",
        "drop.sink_rate_m_s": -0.25 / math.sqrt(factor("cross_drag")),
        "cast.range_m": 20.0 * speed.value / 28.0,
        "drop.pitch_deg": CHAOS.uniform(-90.0, 90.0),
    }  # fmt: skip
    for pull in case.ask.pulls:
        row[key("retrieve.depth_m", pull)] = 1.0 + factor("plate_lift") - factor("plate_drag")
        row[key("retrieve.wobble_hz", pull)] = 8.0 / math.sqrt(factor("shedding"))
        row[key("retrieve.behaviour", pull)] = "dives"
        row[key("retrieve.margins", pull)] = {
            "wobbles": 5.0 * (factor("shedding") - 1.2),
            **dict.fromkeys(("spirals", "spins", "tumbles", "rolls over"), -2.0),
        }
    return row


def runs(texts, cases, executor=None, workers=None):
    """In place of `run_cases`."""
    sources = [texts] if isinstance(texts, str) else texts
    designs = [read(text, "made up") for text in sources]
    for case in cases:
        yield Outcome(case, world(case, designs[case.design]))


def log_of(*said):
    text = ""
    for words in said:
        text = with_test(text, {"said": words})
    return read_log(text, "lure.log.toml")


def fitted_to(*said, wanted=None, lures=1):
    found = [r for lure in range(lures) for r in readings(DESIGN, log_of(*said), lure)]
    result = calibrate(Given([TEXT] * lures, [DESIGN] * lures, found), wanted)
    return result, {one.name: one for one in result.fitted}
