"""The trials, each described once: what it yields, where its code is, whether anything moves in it.

Commands, studies, pictures, reports and replays take the trials from here. A trial is a module of its own with

- `answer(design, lure, pull)`: its whole result,
- `observe(design, lure, pull, settings)`: the fields that studies use, by key, as cheaply as they can be had,
- `motion(design, lure, pull, settings)`: the trajectory behind them, where something moves.

The module is imported when the trial is first run.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

from sim.metrics import declared
from sim.trials import results
from sim.trials.records import Result
from sim.trials.results import METRICS

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.lure.lure import Lure
    from sim.lure.static_lure import StaticLure
    from sim.motion.solve import Settings, Trajectory
    from sim.trials.request import Pull


@dataclass(frozen=True)
class Trial:
    """One trial of a lure. `moves`: it needs compiled code, and a lure that is built whole."""

    name: str
    result: type[Result]
    module: str
    moves: bool = True

    def answer(self, design: Design, lure: Lure | None = None, pull: Pull | None = None) -> Any:
        """The whole result; a trial in which nothing moves may do without a lure."""
        return import_module(self.module).answer(design, lure, pull)

    def observe(
        self,
        design: Design,
        lure: Lure | StaticLure,
        pull: Pull | None = None,
        settings: Settings | None = None,
    ) -> dict[str, Any]:
        """What studies use of the result, by key."""
        return dict(import_module(self.module).observe(design, lure, pull, settings))

    def motion(
        self, design: Design, lure: Lure, pull: Pull | None = None, settings: Settings | None = None
    ) -> Trajectory:
        """The trajectory of the lure."""
        run: Trajectory = import_module(self.module).motion(design, lure, pull, settings)
        return run


TRIALS: dict[str, Trial] = {}


def register(trial: Trial) -> None:
    """Add a trial; its metrics are then known to every table and study."""
    TRIALS[trial.name] = trial
    METRICS.update(declared(trial.name, trial.result))


register(Trial("budget", results.BudgetResult, "sim.trials.budget", moves=False))
register(Trial("float", results.FloatResult, "sim.trials.floating", moves=False))
register(Trial("drop", results.DropResult, "sim.trials.drop"))
register(Trial("cast", results.CastResult, "sim.trials.cast"))
register(Trial("retrieve", results.RetrieveResult, "sim.trials.retrieve"))
