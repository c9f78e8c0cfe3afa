"""All builds of a study as a file of rows, written as they finish and resumed: what was drawn, what each did."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from sim import __version__
from sim.metrics import Use
from sim.studies import record
from sim.studies.engine import Outcome
from sim.studies.ensemble import Builds
from sim.studies.record import StudyFile
from sim.trials.results import METRICS

NUMBER, FAILURE = "build", "failure"


def opened(work: Builds, path: Path, source: str, *, over: bool) -> StudyFile:
    """The file of `work`, begun or resumed; builds that it holds already are put into `work`.

    Args:
        source: name of the design file, for the head.
        over: begin anew over whatever is there.

    Raises:
        record.RecordError: the file holds something else.
        OSError: it cannot be written.
    """
    inputs = [one.path for one in work.inputs]
    names = work.request.columns(Use.BUILDS)
    about = [
        f"builds of {source}, seed {work.seed}; build 0 is the design as it is written",
        "inputs in SI (temperature in C), figures in the unit of their name",
    ]
    head = json.dumps([__version__, work.text, work.seed, inputs, names, work.request.rtol])
    digest = hashlib.sha256(head.encode()).hexdigest()[:32]
    file = record.opened(path, digest, about, [NUMBER, *inputs, *names, FAILURE], over=over)
    if file.done:
        for row in record.each(path):
            found = {name: _value(name, row[name]) for name in names}
            failure = row[FAILURE]
            work.found[int(row[NUMBER])] = ({} if failure else found, failure)
    return file


def adder(work: Builds, file: StudyFile) -> Callable[[Outcome], None]:
    """What puts each outcome into the file."""
    names = work.request.columns(Use.BUILDS)

    def add(outcome: Outcome) -> None:
        file.add(
            [
                outcome.case.number,
                *_drawn(work, outcome.case.changes),
                *_told(outcome, names),
                outcome.failure,
            ]
        )

    return add


def _drawn(work: Builds, changes: Mapping[str, Any]) -> list[float]:
    """The inputs of one build, SI; of sections that are scaled together the largest."""
    out = []
    for one in work.inputs:
        if not changes:
            out.append(one.value.value)
        elif one.paths:
            out.append(one.value.value * changes[one.paths[0]].value / one.values[0])
        else:
            out.append(changes[one.path].value)
    return out


def _told(outcome: Outcome, names: list[str]) -> list[Any]:
    values = (outcome.answer.get(name) for name in names)
    return [json.dumps(value) if isinstance(value, dict) else value for value in values]


def _value(name: str, text: str) -> Any:
    """A cell as it was before it was written."""
    metric = METRICS[name.split(" ")[0]]
    if metric.key == "margins":
        return json.loads(text) if text else {}
    if metric.word:
        return text if text or metric.key == "also" else None
    return float(text) if text else None
