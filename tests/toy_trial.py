"""A trial that does not exist: how many coins balance a lure. `test_recipes` registers it."""

from sim.lure.static_lure import static_lure
from sim.metrics import MAIN, ROWS, Sharp, Use, metric
from sim.trials.records import Result
from sim.trials.results import BudgetResult

COIN = 2.5  # g


class ToyResult(Result):
    """What balances it."""

    coins_g: float = metric(
        "whole coins that come nearest", "weight in coins", "Coins", uses=MAIN | Use.OUTCOME, noticed=2.0,
        sharp=Sharp(1.0, 0.0),
    )  # fmt: skip
    style: str = metric("light or heavy", "style", "Style", uses=ROWS, word=True)


class HeavierBudget(BudgetResult):
    """A budget with one more quantity."""

    load_n: float = metric("its weight as a force", "load", "Load", noticed=0.01)


def answer(design, lure, pull):
    """The whole result."""
    return ToyResult(**observe(design, lure or static_lure(design), pull, None))


def observe(design, lure, pull, settings):
    """The fields that studies use."""
    coins = round(1e3 * lure.mass / COIN)
    return {"coins_g": COIN * coins, "style": "light" if coins < 10 else "heavy"}
