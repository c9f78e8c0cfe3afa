"""All builds of a study as a file of rows, written as they finish and resumed: what was drawn, what each did."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from sim import __version__
from sim.studies import record
from sim.studies.engine import Outcome
from sim.studies.looks import PULLED, STILL, Looks, key
from sim.studies.monte_carlo.ensemble import Builds
from sim.studies.record import Record

NUMBER, FAILURE = "build", "failure"
_WORDS = ("verdict", "motion", "lands", "behaviour", "also")
_TABLES = ("margins",)


def figures(looks: Looks) -> list[str]:
    """Names of the figures of a row, in order."""
    still = [f"{part}.{name}" for part in looks.parts for name in STILL[part]]
    return [*still, *(key(f"retrieve.{name}", pull) for pull in looks.pulls for name in PULLED)]


def opened(work: Builds, path: Path, source: str, *, over: bool) -> Record:
    """The file of `work`, begun or resumed; builds that it holds already are put into `work`.

    Args:
        source: name of the design file, for the head.
        over: begin anew over whatever is there.

    Raises:
        record.RecordError: the file holds something else.
        OSError: it cannot be written.
    """
    inputs = [one.path for one in work.inputs]
    names = figures(work.looks)
    about = [
        f"builds of {source}, seed {work.seed}; build 0 is the design as it is written",
        "inputs in SI (temperature in C), figures in the unit of their name",
    ]
    head = json.dumps([__version__, work.text, work.seed, inputs, names, work.looks.rtol])
    digest = hashlib.sha256(head.encode()).hexdigest()[:32]
    file = record.opened(path, digest, about, [NUMBER, *inputs, *names, FAILURE], over=over)
    if file.done:
        for row in record.each(path):
            found = {name: _value(name, row[name]) for name in names}
            failure = row[FAILURE]
            work.found[int(row[NUMBER])] = ({} if failure else found, failure)
    return file


def adder(work: Builds, file: Record) -> Callable[[Outcome], None]:
    """What puts each outcome into the file."""
    names = figures(work.looks)

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
    kind = name.split(" ")[0].rsplit(".", 1)[-1]
    if not text:
        return "" if kind == "also" else {} if kind in _TABLES else None
    if kind in _WORDS:
        return text
    return json.loads(text) if kind in _TABLES else float(text)
