"""Many builds of one design: every input that is not known exactly drawn anew, each build tried as a lure is.

The draws are a scrambled Sobol sequence (Owen 1998; scipy), in batches that end at powers of two, where the
sequence is most even. One seed gives the same builds whatever the batches, the workers or the order in which
they finish.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property, partial
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from sim.compiling import cores
from sim.design.model import Design
from sim.design.priors import Prior, drawn, mixed, together
from sim.studies.engine import Case, Outcome, processes, run_cases, tried
from sim.trials.request import Request

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FIRST = 64  # builds of the first batch; from fewer no share of builds can be estimated
MOST = 1 << 16
NOMINAL = 0  # number of the case that is the design as written; builds count from 1

Figures = Mapping[str, Any]


def normal_deviates(count: int, inputs: int, seed: int) -> NDArray[np.float64]:
    """The first `count` points of the sequence as standard normal deviates (count, inputs)."""
    import numpy as np
    from scipy.special import ndtri
    from scipy.stats import qmc

    if not inputs:
        return np.zeros((count, 0))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a count that is no power of two is asked for knowingly
        shares = qmc.Sobol(inputs, seed=np.random.default_rng(seed)).random(count)
    return np.asarray(ndtri(np.clip(shares, 1e-9, 1.0 - 1e-9)))


def few_deviates(count: int, inputs: int, seed: int) -> NDArray[np.float64]:
    """So few builds that they are drawn all at once, as standard normal deviates (count, inputs).

    A Latin hypercube (McKay, Beckman & Conover 1979, Technometrics 21, 239-245): as even in each input as the
    sequence, without the second that scipy's statistics take to load.
    """
    import numpy as np

    draw, inverse = np.random.default_rng(seed), NormalDist().inv_cdf
    order = draw.permuted(np.tile(np.arange(count)[:, None], (1, inputs)), axis=0)
    shares = np.clip((order + draw.random((count, inputs))) / count, 1e-9, 1.0 - 1e-9)
    return np.array([[inverse(share) for share in row] for row in shares.tolist()]).reshape(count, inputs)


def touching(inputs: Sequence[Prior], request: Request) -> list[Prior]:
    """The inputs that can change anything of what is looked at.

    Without a cast or a pull there is no line, no rod and no tie-on point; at rest no force but lift and weight.
    """
    lines = bool(request.pulls) or "cast" in request.parts
    moves = lines or "drop" in request.parts
    out = list(inputs)
    if not lines:
        out = [one for one in out if one.path.split(".")[0] not in ("tie_on", "line", "retrieve")]
    if "cast" not in request.parts:
        out = [one for one in out if not one.path.startswith("cast.")]
    return out if moves else [one for one in out if not one.of_the_model]


@dataclass(frozen=True)
class Ensemble:
    """What so many builds of a design did."""

    design: Design
    inputs: tuple[Prior, ...]
    request: Request
    seed: int
    deviates: NDArray[np.float64]  # (builds, inputs) of those that could be built, correlations put in
    rows: tuple[Figures, ...]  # their figures
    nominal: Figures  # figures of the design as it is written
    failures: tuple[str, ...] = ()  # why the others could not be built

    @property
    def builds(self) -> int:
        """Builds drawn, those that could not be built included."""
        return len(self.rows) + len(self.failures)

    def column(self, figure: str) -> NDArray[np.float64]:
        """One figure of every build (builds,); not a number where it has none."""
        import numpy as np

        values = [row.get(figure) for row in self.rows]
        return np.array([np.nan if value is None else float(value) for value in values])

    @cached_property
    def together(self) -> NDArray[np.float64]:
        """Correlations of the inputs."""
        return together(self.design, self.inputs)


Kept = Mapping[int, tuple[Figures, str]]
"""Figures and failure of builds by number, that were run before."""


@dataclass
class Builds:
    """Builds to be tried: iterate over `run`, which yields the number of each as it is done."""

    text: str  # of the design file
    design: Design
    inputs: Sequence[Prior]
    request: Request
    seed: int = 1
    deviates: Callable[[int, int, int], NDArray[np.float64]] = normal_deviates
    found: dict[int, tuple[Figures, str]] = field(default_factory=dict)  # number -> figures, failure

    def run(
        self,
        most: int,
        enough: Callable[[Ensemble], bool] = lambda _: False,
        executor: Executor | None = None,
        workers: int = 1,
        on_outcome: Callable[[Outcome], None] = lambda _: None,
    ) -> Iterator[int]:
        """Do the work, in batches that end at powers of two, until it is `enough` or there are `most` builds.

        Args:
            executor: where to run; left out: `workers` processes of its own.
            on_outcome: called with each new outcome.
        """
        with processes(1 if executor is not None else workers) as own:
            place = executor or own
            for end in _ends(most):
                for outcome in run_cases(self.text, self.cases(end), place, workers):
                    self.found[outcome.case.number] = (outcome.answer, outcome.failure)
                    on_outcome(outcome)
                    yield outcome.case.number
                if end < most and enough(self.ensemble(end)):
                    return

    def ensemble(self, count: int | None = None) -> Ensemble:
        """What has been found of the first `count` builds."""
        import numpy as np

        count = max(self.found) if count is None else count
        numbers = [n for n in range(1, count + 1) if not self.found[n][1]]
        zs = mixed(self.design, self.inputs, self.deviates(count, len(self.inputs), self.seed))
        return Ensemble(
            self.design,
            tuple(self.inputs),
            self.request,
            self.seed,
            zs[np.array(numbers, dtype=int) - 1],
            tuple(self.found[n][0] for n in numbers),
            self.found[NOMINAL][0],
            tuple(self.found[n][1] for n in range(1, count + 1) if self.found[n][1]),
        )

    def cases(self, end: int) -> Iterator[Case]:
        """Those of the first `end` builds that have not been run, the design as written before them."""
        if NOMINAL not in self.found:
            yield Case(NOMINAL, self.request)
        wanted = [n for n in range(1, end + 1) if n not in self.found]
        zs = mixed(self.design, self.inputs, self.deviates(end, len(self.inputs), self.seed))
        for n in wanted:
            yield Case(n, self.request, drawn(self.design, self.inputs, [float(z) for z in zs[n - 1]]))


def at_hand(design: Design, inputs: Sequence[Prior], request: Request, count: int, seed: int = 1) -> Ensemble:
    """What a few builds of a design do, tried in this very process: pulls in threads, as those of a trial are."""
    builds = Builds("", design, inputs, request, seed, few_deviates)
    with ThreadPoolExecutor(cores() if request.pulls else 1) as threads:
        for outcome in threads.map(partial(tried, design), builds.cases(count)):
            builds.found[outcome.case.number] = (outcome.answer, outcome.failure)
    return builds.ensemble(count)


def _ends(most: int) -> Iterator[int]:
    end = FIRST
    while end < most:
        yield end
        end *= 2
    yield most
