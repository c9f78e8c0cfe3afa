"""What forces do to demo lures: tables in the pages on theory, made by switching forces off.

python -m tests.force_table docs/theory/README.md docs/theory/shedding.md [--check]
"""

from __future__ import annotations

import argparse
import sys
from functools import cache
from pathlib import Path

from sim.coefficients import COEFFICIENTS
from sim.design.load import load
from sim.design.model import Design
from sim.lure import build
from sim.lure.lure import Lure
from sim.trials import retrieve
from sim.trials.results import Behaviour, Ended, RetrieveResult

SCENARIOS = Path(__file__).parents[1] / "scenarios"
ONE = ("thimble_oar", "nose", 0.9)
BOTH = (("thimble_oar", "nose", 0.5), ONE, ("cellar_door", "lip", 0.5), ("cellar_door", "lip", 0.9))


def forces() -> str:
    """One lure at one speed: figures as modelled, then the change that the absence of each force makes."""
    whole = _pulled(*ONE)
    rows = [
        "| switched off | what is missing | depth cm | pitch deg | roll deg | roll swing deg | it then |",
        "|---|---|---|---|---|---|---|",
        _row("nothing", "as modelled", [_told(value) for value in _figures(whole)], _words(whole)),
    ]
    for name, coefficient in COEFFICIENTS.items():
        found = _pulled(*ONE, name)
        changes = [""] * 4
        if _steady(found):
            pairs = zip(_figures(whole), _figures(found), strict=True)
            changes = [_told(after - before, signed=True) for before, after in pairs]
        rows.append(_row(f"`{name}`", coefficient.does, changes, _words(found)))
    return "\n".join(rows)


def shedding() -> str:
    """Two lures with the wake oscillator and without."""
    rows = [
        "| lure, tie-on point, speed | shedding | depth cm | pitch deg | roll swing deg | yaw swing deg | "
        "wobble Hz | pull N | it |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for name, tie_on, speed in BOTH:
        for without in (None, "shedding"):
            found = _pulled(name, tie_on, speed, without)
            depth, pitch, _, roll = _figures(found)
            figures = [_told(value) for value in (depth, pitch, roll, found.yaw_amplitude_deg or 0.0)]
            rate = "none" if found.wobble_hz is None else f"{found.wobble_hz:.1f}"
            case = f"{name}, {tie_on}, {speed:g} m/s"
            words = [*figures, rate, f"{found.tension_n or 0.0:.2f}"]
            rows.append(_row(case, "off" if without else "on", words, _words(found)))
    return "\n".join(rows)


TABLES = {"force table": forces, "shedding table": shedding}


@cache
def _built(name: str) -> tuple[Design, Lure]:
    design = load(SCENARIOS / f"{name}.toml")
    return design, build(design)


@cache
def _pulled(name: str, tie_on: str, speed: float, without: str | None = None) -> RetrieveResult:
    design, lure = _built(name)
    run = retrieve.run(design, lure, tie_on, speed, coefficients={without: 0.0} if without else None)
    return retrieve.describe(run, lure, tie_on, speed, why=False)


def _steady(result: RetrieveResult) -> bool:
    """Whether its figures mean anything: a lure that rolls over is chaos, and differs from machine to machine."""
    return result.ended in (Ended.TIME, Ended.NEAR) and result.behaviour is not Behaviour.ROLLS_OVER


def _figures(result: RetrieveResult) -> list[float]:
    """Depth (cm), pitch, roll and swing in roll (deg)."""
    figures = (result.depth_m, result.pitch_deg, result.roll_deg, result.roll_amplitude_deg)
    depth, *angles = (float("nan") if figure is None else figure for figure in figures)
    return [100.0 * depth, *angles]


def _told(value: float, signed: bool = False) -> str:
    """No more digits than mean anything; a twentieth of a unit counts as nought."""
    if abs(value) < 0.05:
        return "0"
    return f"{value:{'+' if signed else ''}.{0 if abs(value) >= 9.95 else 1}f}"


def _words(result: RetrieveResult) -> str:
    if result.ended not in (Ended.TIME, Ended.NEAR):
        return result.ended.value
    also = result.also if _steady(result) else []
    return ", ".join(word.value for word in (result.behaviour, *also))


def _row(first: str, second: str, figures: list[str], words: str) -> str:
    return f"| {first} | {second} | {' | '.join(figures)} | {words} |"


def filled(text: str) -> str:
    """The page with its tables made afresh between their marks.

    Raises:
        ValueError: a page without any mark, or with a beginning and no end.
    """
    found = [name for name in TABLES if _mark(name, "begin") in text]
    if not found:
        marks = " or ".join(_mark(name, "begin") for name in TABLES)
        raise ValueError(f"the page has no place for a table; write {marks} where it begins")
    for name in found:
        begin, end = _mark(name, "begin"), _mark(name, "end")
        head, _, rest = text.partition(begin)
        _, closed, tail = rest.partition(end)
        if not closed:
            raise ValueError(f"the table after {begin} has no end; write {end} below it")
        text = f"{head}{begin}\n\n{TABLES[name]()}\n\n{end}{tail}"
    return text


def _mark(name: str, which: str) -> str:
    return f"<!-- {name}: {which} -->"


def main() -> int:
    """Write the tables into the pages, or with `--check` compare; exit status 1 if a page differs."""
    words = argparse.ArgumentParser(
        prog="python -m tests.force_table", description="Writes the force tables."
    )
    words.add_argument("files", type=Path, nargs="+")
    words.add_argument("--check", action="store_true", help="write nothing; exit status 1 if a page differs")
    args = words.parse_args()
    stale = False
    for path in args.files:
        text = path.read_text(encoding="utf-8")
        fresh = filled(text)
        if fresh == text:
            continue
        if args.check:
            stale = True
            print(f"{path} is out of date", file=sys.stderr)
        else:
            path.write_text(fresh, encoding="utf-8")
    return int(stale)


if __name__ == "__main__":
    sys.exit(main())
