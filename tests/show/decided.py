"""Pages of the studies that decide, made of made-up answers: every kind of row, long words, the ends of all scales.

No study is run, so what is looked at hangs on no lure. `word` stands wherever a maker's own words do.
"""

from __future__ import annotations

from functools import cache

from sim.remark import Amount, remark
from sim.show.pages import builds, calibration, proposals
from sim.show.pages import explanation as explained
from sim.show.units import METRIC
from sim.show.writers import html
from sim.studies.calibration.fitted import (
    CalibrationResult,
    Correlation,
    Fitted,
    Residual,
    Standing,
    WholeLure,
)
from sim.studies.diagnosis.explanation import (
    Alike,
    CauseFound,
    Elsewhere,
    Explanation,
    ExplanationVerdict,
    StatementCheck,
)
from sim.studies.diagnosis.suspect import Moved
from sim.studies.monte_carlo.advice import Advice, Settles
from sim.studies.monte_carlo.tolerance import (
    Cause,
    Caused,
    FigureSpread,
    InputDoubt,
    QuestionShares,
    Share,
    ToleranceResult,
)
from sim.studies.redesign.proposals import At, Beside, Changed, Proposal, RemedyResult, SideEffect, Way
from sim.studies.redesign.step import Hole, Kind, Modification
from sim.trials.cautions import cautions
from sim.trials.results import Behaviour
from tests.show.pages import lure as runner
from tests.studies.work import TEXT

NAMES = ("tolerance", "advise", "explain", "remedy", "calibrate")
POINTS, SPEEDS = ("nose", "lip"), (0.5, 0.9, 1.3)


def some(kind, /, **values):
    """A result with these values; what is not told of is None."""
    return kind.model_construct(**dict.fromkeys(kind.model_fields) | values)


@cache
def page(name, word="Thimble Oar"):
    """One of `NAMES`."""
    files = {f"{word}.toml": f"# {word}</pre>\n{TEXT}"}
    care = [*cautions(runner()[0])]
    if name == "calibrate":
        return html.write(calibration.page(calibrated(word), [*files], METRIC), files)
    made = {
        "tolerance": lambda: builds.tolerance(word, tolerance(word), METRIC),
        "advise": lambda: builds.advice(word, tolerance(word).questions[:2], advice(word), METRIC, 7),
        "explain": lambda: explained.explanation(word, explanation(word), METRIC),
        "remedy": lambda: proposals.remedy(word, remedies(word), METRIC),
    }
    return html.write(made[name](), files, care)


# ---- tolerance, advise --------------------------------------------------------------------------------


def shares(*told):
    """Answers with their shares of a hundred."""
    return [
        some(
            Share,
            answer=str(word),
            count=n,
            share=n / 100,
            low=max(n - 7, 0) / 100,
            high=min(n + 6, 100) / 100,
        )
        for word, n in told
    ]


def tolerance(word):
    """Narrow bars and broad ones, a question of one's own, a figure for every pull."""

    def asks(name, *told, own=False, pull=None):
        return some(
            QuestionShares, name=name, own=own, answers=shares(*told), no_answer=0,
            tie_on=pull and pull[0], speed_m_s=pull and pull[1],
        )  # fmt: skip

    pulls = [(point, speed) for point in POINTS for speed in SPEEDS]
    mixed = (
        (Behaviour.DIVES, 58), (Behaviour.OFF_SIDE, 19), (Behaviour.ROLLS_OVER, 12), (Behaviour.SPIRALS, 7),
        (Behaviour.UNKNOWN, 4),
    )  # fmt: skip
    questions = [
        asks(
            f"dives at least 1.25 m deep at 0.9 m/s from {word}",
            ("it does", 88),
            ("it does not", 12),
            own=True,
        ),
        asks("budget.verdict", ("floats", 99), ("sinks", 1)),
        asks("cast.lands", ("side on", 51), ("tail first", 49)),
        *(asks("retrieve.behaviour", *mixed, pull=pull) for pull in pulls[:4]),
        *(asks("retrieve.behaviour", (Behaviour.WAKES, 100), pull=pull) for pull in pulls[4:]),
    ]
    figures = [
        some(FigureSpread, figure=figure, nominal=1.4, low=-0.2, middle=1.3, high=22.75)
        for figure in ("budget.mass_g", "budget.margin_g", "drop.sink_rate_m_s")
    ] + [
        some(
            FigureSpread, figure="retrieve.depth_m", tie_on=point, speed_m_s=speed, nominal=0.5, low=0.04,
            middle=0.6, high=2.85,
        )
        for point, speed in pulls
    ]  # fmt: skip
    caused = [
        some(Caused, name=f"retrieve.depth_m {point} {speed}", share=0.8, remains=0.46)
        for point, speed in pulls
    ]
    causes = [
        some(
            Cause, kind="density", part=f"body.{word}", inputs=[f"body.{word}.density"],
            share=0.7, caused=caused, of_the_model=False, at_the_bench=True,
        ),
        some(
            Cause, kind="model", part="shedding", inputs=["calibration.shedding"],
            share=0.2, caused=caused[:1], of_the_model=True, at_the_bench=False,
        ),
    ]  # fmt: skip
    inputs = [
        some(
            InputDoubt, path=path, dimension=dimension, value_si=value, sd_si=sd, given=False, why=remark(why)
        )
        for path, dimension, value, sd, why in (
            ("water.temperature", "temperature", 12.0, 2.0, "no_thermometer"),
            ("hook.tail.at.back", "length", 64e-3, 0.3e-3, "moved_part"),
            ("hook.tail.at.up", "length", -6e-3, 0.3e-3, "moved_part"),
            ("body.main.stations.height", "length", 25e-3, 0.29e-3, "calliper_digit"),
        )
    ]
    inputs += [
        some(
            InputDoubt, path="body.main.density", dimension="density", value_si=1110.0, sd_si=29.0,
            between_si=(1100.0, 1200.0), given=False,
            why=remark(
                "material_range", material="epoxy", low=Amount(1100.0, "density"), high=Amount(1200.0, "density")
            ),
        ),
        some(
            InputDoubt, path=f"hook.{word}.weight", dimension="mass", value_si=1.2e-3, sd_si=0.029e-3, given=True,
            why=remark("as_written"),
        ),
    ]  # fmt: skip
    return some(
        ToleranceResult, builds=64, not_built=3, reasons={f"{word} has no room": 3}, seed=7, model=True, within=7.0,
        enough=False, questions=questions, figures=figures, causes=causes, inputs=inputs,
    )  # fmt: skip


def advice(word):
    """The best test and two more."""
    settles = [
        some(Settles, question="budget.verdict", word="floats", now=0.84, afterwards=0.97, sure=0.8, remains=0.3),
        some(Settles, question=f"sits on {word}", word="it does", now=0.6, afterwards=0.8, sure=0.3, remains=0.7),
    ]  # fmt: skip
    return [
        some(Advice, kind="density", part=f"body.{word}", inputs=[f"body.{word}.density"],
             where=where, takes=takes, settles=settles)
        for where, takes in (("at the bench", 0.41), ("in a tub", 0.2), ("at the water", 0.05))
    ]  # fmt: skip


# ---- explain, remedy ----------------------------------------------------------------------------------


def explanation(word):
    """An input, a coefficient and slips, one with a long name, one far beyond the end of the bars."""
    beside = some(
        Elsewhere, figure="retrieve.depth_m", tie_on="nose", speed_m_s=0.9, predicted=1.1, then=0.4, steps=7.0
    )

    def cause(name, was, to, dimension, cost, moving, mishap=None, form=""):
        moved = some(Moved, was_si=was, to_si=to, dimension=dimension, form=form)
        slip = name.startswith("slip.")
        return some(
            CauseFound, name=name, moved=moved, deviations=None if slip else 2.1, known="as you wrote it",
            mishap=mishap, flips_at_si=None if slip else to, cost=cost, moving=moving, share=0.3, unexplained=[],
            explained=["it"],
            elsewhere=[beside],
        )  # fmt: skip

    long = f"rear_third_that_sits_in_front_of_the_middle_of_{word}"
    groups = [
        [
            cause("plate.tail.skew", 0.0, -0.0462, "angle", 2.0, 1.8),
            cause("calibration.added_inertia", 1.0, 1.37, "factor", 3.0, 2.2),
        ],
        [cause(f"slip.counted_from_tail.{long}", 0.018, 0.046, "length", 3.5, 3.0)],
        [cause("slip.water", None, None, "", 9.0, 3.0, form="salt")],
    ]
    return some(
        Explanation, verdict=ExplanationVerdict.EXPLAINED, looks=295, not_it=["water.temperature", "slip.wrong_hook"],
        observed=[some(StatementCheck, text=f"ran 0.8 m deep from {word}", figure="retrieve.depth_m", predicted=[1.12],
                   holds=False,
                   fits=False)],
        groups=[some(Alike, causes=causes, apart=[beside] if len(causes) > 1 else []) for causes in groups],
        impossible=[], cost_as_designed=12.0, pairs=[],
    )  # fmt: skip


def remedies(word):
    """Two proposals with long keys, and a want of one's own."""

    def want(met, found):
        at = some(At, found=found, room=1.0 if met else -1.0)
        return some(Way, text=f"floats with 2 g to spare {word}", figure="budget.margin_g", met=met, at=[at])

    def proposal(change):
        return some(
            Proposal, changes=[change], cost=1.0, objectives=[want(True, 2.07)],
            values=[
                some(Changed, path="body.hammerhead_shark.fill_density", before="0.22 +- 0.03 g/mL"),
                some(Changed, path="ballast.rear_of_the_belly.at.back", before="118.5 mm", after="96.25 +- 0.5 mm"),
            ],
            effects=[
                some(SideEffect, figure="retrieve.behaviour", tie_on="nose", speed_m_s=0.4, before="runs just under",
                     after="wakes", steps=100.0),
                some(SideEffect, figure="budget.mass_g", before=24.7, after=22.1, steps=9.0),
            ],
            beside=[some(Beside, change=Modification(kind=Kind.FILL, part="body.main", to_si=50.0), holds=False)],
            spare_lift_sd_g=0.43,
            chance_floats=0.9, patch=f"--- a/{word}.toml\n+++ b/{word}.toml\n-fill = \"foam\"\n",
        )  # fmt: skip

    drilled = Hole(drill_mm=6.5, deep_mm=14.0, way="up")
    return some(
        RemedyResult, objectives=[word], now=[want(False, -0.57)], holds_already=False, looks=22, blocked=[], alone=[],
        cautions=[],
        proposals=[
            proposal(Modification(kind=Kind.EMPTY, part="body.hammerhead_shark")),
            proposal(Modification(kind=Kind.MOVE, part=f"ballast.{word}", to_si=2e-3, way="back", hole=drilled)),
        ],
    )  # fmt: skip


# ---- calibrate ----------------------------------------------------------------------------------------


def calibrated(word, off=((-4.8, 0.0), (15.2, 9.4), (-7.3, -0.1), (0.1, 0.4))):
    """Readings near and far, a word, one left out. off: before and after of each reading."""
    kinds = [
        {"figure": "budget.mass_g"},
        {"figure": "drop.sink_rate_m_s"},
        {"figure": "retrieve.behaviour", "word": "tracks off to a side", "pull": "lip", "speed_m_s": 0.9},
        {"figure": "retrieve.depth_m", "pull": "the_rear_eye_of_all", "speed_m_s": 0.9},
    ]

    def held(k, before, after, left_out=""):
        values = {"lure": 0, "test": k + 1, "said": word, "low": 0.62, "high": 0.62, "sd": 0.03, "rough": 0.0,
                  "before": 0.5, "after": 0.6, "fitted": 0.62, "off_before": before, "off_after": after,
                  "off_fitted": 0.3 * after, "step": 0.03,
                  "outlier": abs(after) > 3, "left_out": left_out}  # fmt: skip
        return some(Residual, **values | kinds[k % len(kinds)])

    tests = [held(k, *each) for k, each in enumerate(off)]
    tests.append(held(len(tests), 40.0, 40.0, "it is too rough"))

    def fitted(name, standing, left):
        return some(
            Fitted, name=name, does="inertia of the water carried along", value=1.03, sd=0.17, was=1.0, was_sd=0.3,
            unit="", deviations=0.1, left=left, standing=standing, why="no test tried it: log a drop", r=0.2,
        )  # fmt: skip

    return some(
        CalibrationResult, lures=[word], tests=tests, readings=len(off), together=[
            some(Correlation, one="hook_drag", other="cross_drag", r=0.42)
        ],
        fitted=[fitted("hook_drag", Standing.FITTED, 0.58), fitted("added_inertia", Standing.UNTRIED, 1.0)],
        correlations=[[1.0, 0.0], [0.0, 1.0]], outliers=[], struck=[], slips=[], along=[],
        foretold=0.5, whole=[some(
            WholeLure, lure=0, weighed=True, weight_g=9.41, weight_sd_g=0.05, displaced_ml=10.8, displaced_sd_ml=0.12,
            spare_g=1.38, spare_sd_g=0.1, was_spare_g=1.9, was_spare_sd_g=0.8,
        )],
        notes=[f"test 1 of {word} says 9.62 g"],
        chi_square_before=27.0, chi_square=0.4, widened=2.0, runs=9,
    )  # fmt: skip
