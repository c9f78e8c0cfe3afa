"""The border of JSON: remarks, causes and the `sentence` of every result, in the words of pages and metric units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sim.bench.answers import MixAnswer
from sim.remark import Remark
from sim.show import care, inputs, pull_sentences, remarks, sentences
from sim.show.units import METRIC, NO_BREAK
from sim.trials import records
from sim.trials.cautions import Caution
from sim.trials.results import (
    BudgetResult,
    CastResult,
    DropResult,
    FloatResult,
    PartRow,
    PauseResult,
    RetrieveResult,
    SeenBehaviour,
)

_SAYS: dict[type, Callable[[Any], str]] = {
    FloatResult: lambda one: sentences.rest(one, METRIC),
    **dict.fromkeys((DropResult, CastResult, RetrieveResult), lambda one: pull_sentences.stated(one, METRIC)),
    PauseResult: lambda one: pull_sentences.stopped(one, METRIC),
    records.Settling: lambda one: inputs.settling(one, METRIC),
    records.Conflict: inputs.conflict,
    records.OtherRest: sentences.other_rest,
    Caution: lambda one: care.SAYS[one.key],
    records.TubCheck: sentences.in_the_tub,
    records.OutOfRange: sentences.out_of_range,
}


def _of_a_study(answer: Any) -> dict[str, str]:
    """The words of what a study answers; they are imported where one is asked for."""
    module = type(answer).__module__
    if module == "sim.studies.calibration.fitted":
        from sim.show import lessons
        from sim.studies.calibration.fitted import Fitted

        return {"why": lessons.why(answer)} if isinstance(answer, Fitted) else {}
    if not module.startswith("sim.studies."):
        return {}
    from sim.show import bench_tests, changes, suspect_words
    from sim.studies.diagnosis.explanation import CauseFound
    from sim.studies.monte_carlo.advice import Advice
    from sim.studies.monte_carlo.tolerance import Cause, InputDoubt
    from sim.studies.redesign.proposals import DensityNeeded
    from sim.studies.redesign.step import Hole, Modification

    match answer:
        case Cause() | Advice():
            return {"what": bench_tests.what(answer, METRIC), "how": bench_tests.how(answer, METRIC)}
        case InputDoubt():
            value = inputs.value(answer.value_si, answer.dimension, METRIC)
            return {"value": value, "deviation": inputs.known_to(answer, METRIC)}
        case CauseFound():
            return {"sentence": suspect_words.sentence(answer, METRIC)}
        case Modification():
            return {"sentence": changes.does(answer, METRIC)}
        case Hole():
            return {"sentence": changes.hole(answer, METRIC)}
        case DensityNeeded():
            return {"sentence": changes.density_needed(answer, METRIC)}
    return {}


def worded(answer: Any) -> Any:
    """An answer with every sentence and every cause in it written."""
    if isinstance(answer, Remark):
        return remarks.sentence(answer, METRIC)
    if isinstance(answer, MixAnswer):
        return replace(answer, warnings=worded(answer.warnings))
    if isinstance(answer, records.Result):
        changed = {}
        for key in type(answer).model_fields:
            before = getattr(answer, key)
            after = worded(before)
            if after is not before:
                changed[key] = after
        return answer.model_copy(update=changed | _own(answer))
    if isinstance(answer, list | tuple) and any(isinstance(one, records.Result | Remark) for one in answer):
        return [worded(one) for one in answer]
    if isinstance(answer, dict):
        return {key: worded(one) for key, one in answer.items()}
    return answer


def _own(answer: records.Result) -> dict[str, Any]:
    """The words of one result, without those inside it."""
    if isinstance(answer, BudgetResult):
        return {"turning_values": _turning(answer)}
    if isinstance(answer, PartRow):
        return {"note": remarks.note(answer.note, METRIC)}
    words = _of_a_study(answer)
    if says := _SAYS.get(type(answer)):
        words["sentence"] = says(answer)
    if isinstance(answer, SeenBehaviour | PauseResult):
        words["cause"] = pull_sentences.cause(answer, METRIC)
    return {key: _plain(text) for key, text in words.items()}


def _turning(answer: BudgetResult) -> list[records.TurningValue]:
    """Which way the verdict turns is known of the whole alone."""
    floats, water = answer.margin_g >= 0.0, answer.water_density_kg_m3
    return [
        one.model_copy(update={"sentence": _plain(inputs.turning(one, floats, water, METRIC))})
        for one in answer.turning_values
    ]


def _plain(text: str) -> str:
    return text.replace(NO_BREAK, " ")
