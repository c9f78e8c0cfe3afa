"""A study of one design as data: what is changed, what is requested, and the row that each case becomes."""

from __future__ import annotations

import hashlib
import itertools
import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sim import __version__
from sim.metrics import Use
from sim.studies import parameters as changing
from sim.studies.engine import Case, Outcome
from sim.studies.parameters import SPEED, Parameter, Sampling
from sim.trials import request
from sim.trials.request import RETRIEVE, Pull, Request, key
from sim.trials.results import METRICS

NUMBER, TIE_ON, SPEED_COLUMN, FAILURE = "case", "tie_on", "speed_m_s", "failure"


def columns(parts: Sequence[str]) -> list[str]:
    """Names of the metrics of some trials that a file of runs holds, in order."""
    return [m.name for m in METRICS.values() if m.trial in parts and Use.RUNS in m.uses]


@dataclass(frozen=True)
class Plan:
    """Every combination of the parameters, or samples of them, from each tie-on point at each speed."""

    name: str  # of the study: vary, map
    text: str  # of the design file
    parameters: tuple[Parameter, ...]
    parts: tuple[str, ...] = ("budget", "retrieve")
    tie_ons: tuple[str, ...] = ()
    speeds: tuple[float, ...] = ()  # m/s; not used if the speed is a parameter
    samples: int | None = None  # None: the full grid
    sampling: Sampling = "sobol"
    seed: int = 1

    @property
    def pulls(self) -> bool:
        """Whether it asks for retrieves."""
        return "retrieve" in self.parts

    @property
    def combinations(self) -> int:
        """Designs that it looks at."""
        if self.samples is not None:
            return self.samples
        count = 1
        for parameter in self.parameters:
            count *= len(parameter)
        return count

    @property
    def total(self) -> int:
        """Cases, so rows."""
        return self.combinations * len(self._pulls())

    def cases(self, without: Collection[int] = ()) -> Iterator[Case]:
        """The cases in order, numbered from 1, made as they are drawn; without those numbered `without`."""
        pulls = self._pulls()
        numbers = itertools.count(1)
        for values in self._combinations():
            changes = {p.path: v for p, v in zip(self.parameters, values, strict=True) if p.path != SPEED}
            speed = next((v for p, v in zip(self.parameters, values, strict=True) if p.path == SPEED), None)
            for tie_on, pace in pulls:
                number = next(numbers)
                if number not in without:
                    pull = Pull(tie_on, pace if speed is None else speed.value)
                    yield Case(number, Request(self._still, (pull,) if self.pulls else ()), changes)

    def headings(self) -> list[str]:
        """Names of the columns: ASCII, each with its unit."""
        mine = [p.heading for p in self.parameters if p.path != SPEED]
        pulled = [TIE_ON, SPEED_COLUMN] if self.pulls else []
        return [NUMBER, *mine, *pulled, *columns(self.parts), FAILURE]

    def row(self, outcome: Outcome) -> list[Any]:
        """The cells of one outcome, in the order of the headings."""
        case, answer = outcome.case, outcome.answer
        mine = [p.cell(case.changes[p.path]) for p in self.parameters if p.path != SPEED]
        pull = case.ask.pulls[0] if self.pulls and isinstance(case.ask, Request) else None
        pulled = [pull.tie_on, pull.speed] if pull else []
        cells = [
            answer.get(key(name, pull if name.startswith(RETRIEVE) else None)) for name in columns(self.parts)
        ]
        failure = outcome.failure or answer.get(key(request.FAILURE, pull), "")
        return [case.number, *mine, *pulled, *cells, failure]

    def digest(self) -> str:
        """A short name for exactly this study: same design, changes, questions, seed and version."""
        identity = [
            1, __version__, self.name, self.text, self.parts, self.tie_ons, self.speeds,
            self.samples, self.sampling, self.seed,
            [(p.path, [p.text(v) if not hasattr(v, "value") else (v.value, v.sd) for v in p.values],
              p.ranges, p.steps) for p in self.parameters],
        ]  # fmt: skip
        return hashlib.sha256(json.dumps(identity).encode()).hexdigest()[:16]

    def about(self) -> list[str]:
        """The study in a few lines, for the head of its file."""
        lines = []
        for p in self.parameters:
            between = (
                " to ".join(p.text(v) for v in p.values) if p.ranges else ", ".join(map(p.text, p.values))
            )
            steps = f", {p.steps} values" if p.ranges and self.samples is None else ""
            lines.append(f"{p.path}: {between}{steps}")
        if self.samples is not None:
            lines.append(f"samples: {self.samples}, {self.sampling}, seed {self.seed}")
        lines.append(f"cases: {self.total}")
        return lines

    @property
    def _still(self) -> tuple[str, ...]:
        return tuple(part for part in self.parts if part != RETRIEVE)

    def _pulls(self) -> list[tuple[str, float]]:
        if not self.pulls:
            return [("", 0.0)]
        speeds = (0.0,) if any(p.path == SPEED for p in self.parameters) else self.speeds
        return list(itertools.product(self.tie_ons, speeds))

    def _combinations(self) -> Iterator[tuple[Any, ...]]:
        if self.samples is None:
            return changing.grid(self.parameters)
        return changing.sampled(self.parameters, self.samples, self.seed, self.sampling)
