"""How many strips, how tight a tolerance, how many stations.

`python -m tests.convergence_study docs/notes/convergence.md` writes the page. Rerun it by hand when forces or the
solver change; it is a record of the choice of the defaults, not a test.
"""

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np

from sim.design.load import load, read
from sim.lure import build
from sim.lure.assemble import STRIPS
from sim.motion.solve import TIGHT, Settings
from sim.trials import drop, retrieve
from sim.trials.floating import settled

SCENARIOS = Path(__file__).parents[1] / "scenarios"
CASES = [
    ("thimble_oar", "nose", 0.9),
    ("cellar_door", "lip", 0.9),
    ("porch_light", "lip_low", 0.4),
    ("gravel_bell", "front", 1.0),
]
STRIP_COUNTS = (7, 11, 15, 21, 31, 41, 81)
TOLERANCES = (1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8)
STATION_COUNTS = (3, 5, 7, 9, 13, 21)


def _pull(
    name: str, tie: str, speed: float, strips: int = STRIPS, rtol: float = Settings().rtol
) -> list[float]:
    design = load(SCENARIOS / f"{name}.toml")
    lure = build(design, strips=strips)
    settings = Settings(rtol=rtol, atol=rtol / 10)
    run = retrieve.run(design, lure, tie, speed, settings=settings)
    found = retrieve.describe(run, lure, tie, speed)
    fall = drop.describe(drop.run(design, lure, settings=settings), lure)
    return [
        fall.sink_rate_cm_s or 0.0,
        100.0 * (found.depth_m or 0.0),
        found.pitch_deg or 0.0,
        found.roll_amplitude_deg or 0.0,
        found.yaw_amplitude_deg or 0.0,
        found.tension_n or 0.0,
        found.evaluations / 1000.0,
    ]


HEAD = ["sink rate cm/s", "depth cm", "nose deg", "roll deg", "yaw deg", "pull N", "thousand calls"]


def _table(first: str, rows: list[tuple[str, list[float]]], head: list[str]) -> str:
    lines = [f"| {first} | " + " | ".join(head) + " |", "|---" * (len(head) + 1) + "|"]
    lines += [
        f"| {label} | " + " | ".join(f"{0.0 if abs(value) < 1e-9 else value:.4g}" for value in values) + " |"
        for label, values in rows
    ]
    return "\n".join(lines)


def _stations(count: int) -> list[float]:
    """Volume, float pitch, draught and sink rate of an ellipsoid measured at `count` stations."""
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, count)))
    share = np.sqrt(np.maximum(4.0 * x * (1.0 - x), 0.0))
    stations = ", ".join(
        f'{{ back = "{80 * a:.4f} mm", width = "{18 * s:.4f} mm", height = "{24 * s:.4f} mm" }}'
        for a, s in zip(x, share, strict=True)
    )
    return _body(f'shape = "stations"\nstations = [{stations}]')


def _body(shape: str) -> list[float]:
    design = read(
        f'name = "study"\n[body.main]\n{shape}\ndensity = "0.6 g/cm3"\n[ballast.keel]\n'
        'at = { back = "36 mm", up = "-8 mm" }\nweight = "2 g"\n[tie_on.nose]\nat = { back = "0 mm" }\n',
        "study.toml",
    )
    lure = build(design)
    sits = settled(lure, 998.6)
    fall = drop.drop(design, lure)
    return [
        lure.volume * 1e6,
        sits.pitch_deg or 0.0,
        sits.draught_mm or 0.0,
        100.0 * (fall.sink_rate_m_s or 0.0),
    ]


def page(say: Callable[[str], None] = lambda text: None) -> str:
    """The whole note."""
    parts = [
        "# How fine is fine enough\n\n"
        "Made by `python -m tests.convergence_study docs/notes/convergence.md`. Each row is a drop and a 10 s "
        "retrieve of a demo design, figures from the second half of the run.\n\n"
        f"Defaults chosen from it: **{STRIPS} strips** for each body and a relative tolerance of "
        f"**{Settings().rtol:g}**. Nothing that an angler could see changes beyond them: depth by less than a "
        "centimetre or one per cent, attitudes by a fraction of a degree. Trials and studies "
        f"share them. Checks of invariants ask for {TIGHT.rtol:g}, at which energy and momentum in ideal fluid "
        "hold to one part in a million over 5 s (`tests/motion/test_equations.py`). The last column is the cost."
    ]
    for name, tie, speed in CASES:
        say(name)
        rows = [(str(n), _pull(name, tie, speed, strips=n)) for n in STRIP_COUNTS]
        parts.append(f"## {name}, tied at {tie}, {speed} m/s: strips\n\n{_table('strips', rows, HEAD)}")
        rows = [(f"{rtol:g}", _pull(name, tie, speed, rtol=rtol)) for rtol in TOLERANCES]
        parts.append(f"## {name}, tied at {tie}, {speed} m/s: tolerance\n\n{_table('rtol', rows, HEAD)}")
    rows = [(str(n), _stations(n)) for n in STATION_COUNTS]
    exact = _body('length = "80 mm"\nwidth = "18 mm"\nheight = "24 mm"')
    rows.append(("the ellipsoid itself", exact))
    head = ["volume mL", "float pitch deg", "draught mm", "sink rate cm/s"]
    parts.append(
        "## An ellipsoid measured by calliper: stations\n\n"
        "The same ellipsoid given by stations (closer together toward the ends) and by its three sizes.\n\n"
        + _table("stations", rows, head)
    )
    return "\n\n".join(parts) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(lambda text: print(text, file=sys.stderr)), encoding="utf-8")
