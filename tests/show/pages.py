"""Pages of studies made of made-up answers: what they look like hangs on no run of a lure."""

from __future__ import annotations

from functools import cache

from sim.design.load import load
from sim.lure import build
from sim.show.pages import maps as map_pages
from sim.show.pages.comparison import comparison
from sim.show.pages.speeds import speeds
from sim.show.pages.varied import varied
from sim.show.units import METRIC
from sim.show.writers import html
from sim.studies import maps
from sim.studies.parameters import read as parameter
from sim.studies.plan import Plan
from sim.studies.windows import Edge, TieOnWindows, Window, WindowsResult
from sim.trials.cautions import cautions
from sim.trials.results import Behaviour
from tests.studies import fakes
from tests.studies.work import RUNNER, TEXT

EVIL = "<script>window.broken = 1</script><img src=x onerror='window.broken = 1'>\"'&"
NAMES = ("compare", "map", "map_two", "vary", "sampled", "windows")


@cache
def lure():
    """The runner."""
    design = load(RUNNER)
    return design, build(design)


def windows():
    """Two tie-on points; one edge stays when it is slowed down."""

    def window(low, high, word, deep=0.0):
        return Window(
            low_m_s=low,
            high_m_s=high,
            behaviour=word,
            depth_low_m=0.5 * deep,
            depth_high_m=deep,
            also=[],
            runs=4,
        )

    edge = Edge(
        speed_m_s=0.6, give_or_take_m_s=0.01, below=Behaviour.WAKES, above=Behaviour.DIVES, stays=True,
        slowing_m_s=0.5,
    )  # fmt: skip
    nose = [window(0.3, 0.6, Behaviour.WAKES), window(0.6, 1.2, Behaviour.DIVES, 0.8)]
    lip = [window(0.3, 1.2, Behaviour.ROLLS_OVER)]
    return WindowsResult(
        low_m_s=0.3,
        high_m_s=1.2,
        share=0.02,
        tie_ons=[
            TieOnWindows(tie_on="nose", windows=nose, edges=[edge], runs=9, back_runs=4),
            TieOnWindows(tie_on="lip", windows=lip, edges=[], runs=5, back_runs=0),
        ],
    )


@cache
def page(name, word="Thimble Oar"):
    """One of `NAMES`; `word` stands wherever a maker's own words do."""
    design, built = lure()
    care = cautions(design)
    given = [(f"asked {word}", word)]
    files = {f"{word}.toml": f"# {word}</pre>\n{TEXT}"}
    if name == "compare":
        labels = (word, "45deg", "60deg")
        return html.write(comparison(word, fakes.comparison(labels=labels), METRIC, given), files, care)
    if name == "windows":
        return html.write(speeds(word, windows(), METRIC, given), files, care)
    angle = parameter(design, "lip.angle=30deg..60deg", 4)
    if name in ("map", "map_two"):
        axes = (
            maps.rectangle(design, built, "nose", 6, 4)
            if name == "map"
            else (angle, parameter(design, "lip.length=8mm..20mm", 3))
        )
        plan = fakes.plan(axes, speeds=(0.5, 0.9))
        words = [*fakes.WORDS[:3], None]
        rows = fakes.rows(plan, lambda number: words[(number // 5) % 4])
        return html.write(
            map_pages.behaviours(word, maps.drawn(plan, rows), METRIC, built, given), files, care
        )
    changed = (angle, parameter(design, "lip.outline=straight,round"))
    samples = {"samples": 16, "seed": 9} if name == "sampled" else {}
    plan = Plan("vary", TEXT, changed, tie_ons=("nose", "lip"), speeds=(0.5, 0.9), **samples)
    rows = [*fakes.rows(plan, lambda number: None if number % 7 == 3 else fakes.WORDS[number % 4])]
    return html.write(varied(word, plan, lambda: rows, f"{word}.csv", METRIC, given), files, care)
