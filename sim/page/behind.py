"""What fills in behind the swim: each eye at each speed, and the map of where an eye could sit; the best first.

Both are plans of the studies, carried out pull by pull in the order in which the page can use them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import lru_cache
from math import hypot
from pathlib import Path
from typing import Any, NamedTuple

from sim.page.answers import Built, built
from sim.page.blocks import as_data
from sim.page.jobs import Pulls
from sim.show.pages import maps as words
from sim.show.units import Units
from sim.studies import maps
from sim.studies.engine import Case, Outcome, tried
from sim.studies.plan import Plan
from sim.trials.results import Behaviour

GRID = (12, 7)  # places back and up: fingers must find them on a phone
COARSE = (4, 2, 1)  # every so manieth place first
PACES = 9
Key = tuple[str, int]  # digest of a plan, number of a case
NAMES = {str(kind): kind.name.lower() for kind in Behaviour}


class Asked(NamedTuple):
    """The design on the page, and the pull that it shows."""

    text: str
    name: str
    folder: str
    tie_on: str
    speed: float  # m/s


def one(text: str, name: str, folder: str, case: Case) -> Outcome:
    """One pull of a plan, in a process beside the server."""
    return tried(built(text, name, Path(folder)).design, case)


def known(pulls: Pulls, asked: Asked, units: Units) -> dict[str, Any]:
    """What is known by now of all speeds and places, as data for the page; asked again until it is `done`."""
    here = built(asked.text, asked.name, Path(asked.folder))
    bar, (places, none) = _bar(asked, here), _places(asked)
    eye = here.design.tie_on[asked.tie_on].at
    cases = [
        *_keyed(bar, _near(bar, asked)),
        *_keyed(places, _coarse_first(places, none, (eye.back.value, eye.up.value))),
    ]
    own = (asked.text, asked.name, asked.folder)
    came = pulls.ask({key: (one, (*own, case)) for key, case in cases})
    found = {key: came[key] or Outcome(case, {}, maps.NO_ANSWER) for key, case in cases if key in came}
    return {
        "bar": _bar_as_data(bar, _rows(bar, found)),
        "map": _map_as_data(places, none, _rows(places, found), units),
        "found": len(found),
        "of": len(cases),
        "done": len(found) == len(cases),
    }


def _bar(asked: Asked, here: Built) -> Plan:
    own = here.design.retrieve.paces()
    low, high = min([0.2, *own]), max([1.6, *own])
    speeds = tuple(low + (high - low) * k / (PACES - 1) for k in range(PACES))
    return Plan("bar", asked.text, (), ("retrieve",), tuple(here.lure.tie_ons), speeds)


@lru_cache(maxsize=4)
def _places(asked: Asked) -> tuple[Plan, set[int]]:
    """The map, and which of its places are none for an eye."""
    here = built(asked.text, asked.name, Path(asked.folder))
    axes = maps.rectangle(here.design, here.lure, asked.tie_on, *GRID)
    plan = Plan("map", asked.text, axes, ("retrieve",), (asked.tie_on,), (asked.speed,))
    return plan, maps.no_places(plan, here.design)


# ---- the order ----------------------------------------------------------------------------------------


def _near(plan: Plan, asked: Asked) -> list[Case]:
    """The present eye before the others, and from the present speed outward."""

    def rank(case: Case) -> tuple[bool, float]:
        (pull,) = case.ask.pulls  # type: ignore[attr-defined]
        return pull.tie_on != asked.tie_on, abs(pull.speed - asked.speed)

    return sorted(plan.cases(), key=rank)


def _coarse_first(plan: Plan, without: Collection[int], eye: tuple[float, float]) -> list[Case]:
    """A coarse net over all places before a finer one, in each from the present eye outward."""
    up = len(plan.parameters[1])

    def rank(case: Case) -> tuple[int, float]:
        i, j = divmod(case.number - 1, up)
        net = next(k for k, step in enumerate(COARSE) if i % step == 0 and j % step == 0)
        back, above = (case.changes[parameter.path].value for parameter in plan.parameters)
        return net, hypot(back - eye[0], above - eye[1])

    return sorted(plan.cases(without), key=rank)


def _keyed(plan: Plan, cases: list[Case]) -> Iterator[tuple[Key, Case]]:
    digest = plan.digest()
    return (((digest, case.number), case) for case in cases)


def _rows(plan: Plan, found: Mapping[Key, Outcome]) -> dict[int, dict[str, Any]]:
    """Number of a case -> its row, for those that are known."""
    digest, headings = plan.digest(), plan.headings()
    return {
        outcome.case.number: dict(zip(headings, plan.row(outcome), strict=True))
        for key, outcome in found.items()
        if key[0] == digest
    }


# ---- as data ------------------------------------------------------------------------------------------


def _cell(behaviour: str) -> dict[str, str]:
    return {"does": NAMES.get(behaviour, "unknown"), "word": behaviour, "letter": words.letter(behaviour)}


def _bar_as_data(plan: Plan, rows: Mapping[int, Mapping[str, Any]]) -> dict[str, Any]:
    pulls = [
        {"tie_on": row["tie_on"], "speed": row["speed_m_s"], **_cell(row[maps.BEHAVIOUR] or maps.NO_ANSWER)}
        for row in rows.values()
    ]
    return {"tie_ons": list(plan.tie_ons), "speeds": list(plan.speeds), "pulls": pulls}


def _map_as_data(
    plan: Plan, without: Collection[int], rows: Mapping[int, Mapping[str, Any]], units: Units
) -> dict[str, Any]:
    """The places (m, as the file counts them) by columns, what the eye does in each, and all in words once known."""
    drawn = maps.drawn(plan, rows.values(), without)
    across, upward = ([value.value for value in parameter.levels()] for parameter in plan.parameters)
    known_at = [divmod(number - 1, len(upward)) for number in rows]
    kinds = [kind for kind in drawn.behaviours() if kind != maps.NO_ANSWER]
    complete = len(rows) + len(without) == len(across) * len(upward)
    return {
        "tie_on": drawn.tie_on,
        "paths": [parameter.path for parameter in plan.parameters],
        "none": [divmod(number - 1, len(upward)) for number in without],
        "back": across,
        "up": upward,
        "cells": [
            {
                "column": i,
                "row": j,
                **_cell(drawn.panels[0].behaviours[j][i]),
                "said": words.place(drawn, 0, j, i, units),
            }
            for i, j in known_at
        ],
        "key": [{**_cell(kind), "word": words.headline(kind)} for kind in kinds],
        "said": as_data(words.beside(drawn, units))["blocks"] if complete else [],
    }
