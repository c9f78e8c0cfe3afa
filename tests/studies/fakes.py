"""Made-up answers of studies to look at pages and figures with. The numbers are plausible and mean nothing."""

from sim.studies.compare import Comparison, ComparisonRow, _ranked
from sim.studies.engine import Outcome
from sim.studies.plan import Plan
from sim.trials.request import key
from sim.trials.results import Behaviour
from tests.studies.work import TEXT

WORDS = [str(word) for word in Behaviour]


def comparison(depths=(2.1, 0.9, 0.2), words=("dives", "dives", "wakes"), labels=("30deg", "45deg", "60deg")):
    still = tuple(
        ComparisonRow(
            label, {"budget.margin_g": 3.0, "budget.verdict": "floats", "drop.sink_rate_m_s": -0.2 - 0.1 * k}
        )
        for k, label in enumerate(labels)
    )
    pulled = tuple(
        ComparisonRow(
            label,
            {
                "retrieve.behaviour": word, "retrieve.depth_m": depth, "retrieve.wobble_hz": 5.0,
                "retrieve.tension_n": None,
            },
            tie_on, speed, [(15.0, 0.0), (10.0, 0.8 * depth), (5.0, depth)],
        )
        for speed in (0.5, 0.9)
        for tie_on in ("lip", "nose")
        for label, depth, word in zip(labels, depths, words, strict=True)
    )  # fmt: skip
    return Comparison("plate.lip.angle", still, pulled, _ranked(still, pulled))


def rows(plan: Plan, word):
    """Rows of a plan without running it: `word(number)` is the behaviour, None a failure."""
    for case in plan.cases():
        found = word(case.number)
        behaviour, depth = (key(f"retrieve.{name}", case.ask.pulls[0]) for name in ("behaviour", "depth_m"))
        answer = {behaviour: found, depth: 0.01 * case.number} if found else {}
        yield dict(
            zip(plan.headings(), plan.row(Outcome(case, answer, "" if found else "no way")), strict=True)
        )


def plan(parameters, **changes):
    values = {"tie_ons": ("nose",), "speeds": (0.9,)} | changes
    return Plan("map", TEXT, tuple(parameters), **values)
