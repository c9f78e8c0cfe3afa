"""The page of `map`: behaviours over where the line is tied, or over any two numbers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.lure.lure import Lure
from sim.show.document import (
    Block,
    Brief,
    Column,
    Document,
    Fold,
    Paragraph,
    Picture,
    Roomy,
    Table,
    Verbatim,
    blocks,
    given,
    section,
)
from sim.show.units import Units
from sim.show.values import headline
from sim.studies.maps import NO_ANSWER, NO_PLACE, Map
from sim.studies.statements import SPOILS
from sim.trials.results import Behaviour

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LETTERS = {
    Behaviour.DRAGS: "g", Behaviour.WAKES: "W", Behaviour.RUNS: "U", Behaviour.DIVES: "D",
    Behaviour.HOPS: "H", Behaviour.SKIPS: "K", Behaviour.WOBBLES: "B", Behaviour.ROCKS: "R",
    Behaviour.ROLLS_OVER: "O", Behaviour.SPINS: "S", Behaviour.SPIRALS: "P", Behaviour.OFF_SIDE: "F",
    Behaviour.TUMBLES: "T", Behaviour.BOTTOM: "_", Behaviour.UNKNOWN: "?",
    Behaviour.HANGS: "=", Behaviour.RISES: "^", Behaviour.SINKS: "v",
}  # fmt: skip


SHARP = (
    "Edges between areas are as sharp as the grid. Speckled areas mean a motion that is near to tipping over "
    "between two behaviours: keep away from those places."
)


def letter(behaviour: str) -> str:
    """One character for a behaviour."""
    if behaviour in (NO_ANSWER, NO_PLACE):
        return "." if behaviour == NO_ANSWER else " "
    known = {str(word): sign for word, sign in LETTERS.items()}
    return known.get(behaviour) or next(c for c in behaviour.lower() if c not in known.values())


def behaviours(
    title: str, found: Map, units: Units, lure: Lure | None = None, asked: Sequence[tuple[str, str]] = ()
) -> Document:
    """A map of behaviours. lure: built with hulls, drawn where the axes are the places of its tie-on point."""

    def picture() -> Figure:
        from sim.show import study_figures

        return study_figures.behaviour_map(found, title, lure)

    key = ", ".join(f"{letter(kind)} {headline(kind)}" for kind in found.behaviours())
    if any(NO_PLACE in row for panel in found.panels for row in panel.behaviours):
        key += f"; blank: {NO_PLACE}"
    spoken = [_map_answer(found, k, units) for k in range(len(found.panels))]
    return Document(
        title,
        blocks(
            Roomy(tuple(Paragraph(one, "head") for one in spoken)),
            section(
                "The map",
                Picture(picture, "picture"),
                Roomy((Paragraph(SHARP, "quiet"),)),
                key="picture", bare=True,
            ),
            section("Shares", Roomy((_shares(found, units),)), key="shares"),
            section(
                "In letters", *(_letters(found, k, units) for k in range(len(found.panels))), Paragraph(f"{key}."),
                bare=True, key="letters",
            ),
            given(asked),
        ),
    )  # fmt: skip


def beside(found: Map, units: Units) -> Document:
    """What the page says beside the map that it draws itself."""
    spoken = (Paragraph(_map_answer(found, k, units), "head") for k in range(len(found.panels)))
    return Document(
        "Map", blocks(spoken, Paragraph(SHARP, "quiet"), Fold("In numbers", (_shares(found, units),)))
    )


def place(found: Map, k: int, j: int, i: int, units: Units) -> str:
    """One cell of a panel in a sentence."""
    panel = found.panels[k]
    depth = float(panel.depths[j, i])
    deep = f", {units.depth(depth)} deep" if np.isfinite(depth) else ""
    where = _where(found, j, i, units)
    return f"{where[0].upper()}{where[1:]}: {headline(panel.behaviours[j][i])}{deep}."


def _letters(found: Map, k: int, units: Units) -> tuple[Block, ...]:
    panel = found.panels[k]
    ys, xs = found.ys, found.xs
    labels = [f"{y:.4g}" for y in ys]
    margin = max(len(label) for label in labels)
    wide = 2 if 2 * len(xs) + margin < 76 else 1
    speed = "" if panel.speed == 0.0 else f"At {units.text('speed', panel.speed)}. "
    rows = [
        f"{labels[j].rjust(margin)} |" + "".join(letter(word).rjust(wide) for word in panel.behaviours[j])
        for j in reversed(range(len(ys)))
    ]
    first, last = f"{xs[0]:.4g}", f"{xs[-1]:.4g}"
    under = first + last.rjust(max(wide * len(xs) - len(first), len(last) + 1))
    foot = [" " * margin + " +" + "-" * (wide * len(xs)), " " * (margin + 1 + wide) + under]
    axes = f"{speed}Across: {_axis(found.x)}. Upward: {_axis(found.y)}."
    drawn = Verbatim("\n".join([*rows, *foot]), "The map in letters")
    return Brief((Paragraph(axes), drawn)), Roomy((Paragraph(axes), drawn))


def _axis(parameter: Any) -> str:
    return f"{parameter.path}, {parameter.unit}" if parameter.unit else str(parameter.path)


def _map_answer(found: Map, k: int, units: Units) -> str:
    """One panel in a sentence: the commonest behaviours, and where it goes deepest."""
    panel = found.panels[k]
    words = [headline(word) for row in panel.behaviours for word in row if word != NO_PLACE]
    shares = [f"{word} on {_percent(count, len(words))}" for word, count in Counter(words).most_common(4)]
    at = f"At {units.text('speed', panel.speed)} it" if panel.speed else "It"
    everywhere = len(words) == sum(map(len, panel.behaviours))
    spoken = f"{at} {', '.join(shares)} of {'the map' if everywhere else 'the places'}"
    swims = np.array([[headline(word) not in SPOILS for word in row] for row in panel.behaviours])
    depths = np.where(swims, panel.depths, np.nan)
    if not np.isfinite(depths).any():
        return f"{spoken}."
    j, i = np.unravel_index(int(np.nanargmax(depths)), depths.shape)
    deepest = units.depth(float(panel.depths[j, i]))
    return f"{spoken}; it goes deepest, {deepest}, {_where(found, int(j), int(i), units)}."


def _where(found: Map, j: int, i: int, units: Units) -> str:
    """The place of a cell."""
    if found.over_body():
        back, up = (1e3 * axis.levels()[k].value for axis, k in ((found.x, i), (found.y, j)))
        behind = f"{units.text('size', abs(back))} {'ahead of' if back < 0.0 else 'behind'} the nose"
        return f"tied {behind} and {units.text('size', abs(up))} {'below' if up < 0.0 else 'above'} the axis"
    x, y = f"{found.xs[i]:.3g} {found.x.unit}".rstrip(), f"{found.ys[j]:.3g} {found.y.unit}".rstrip()
    return f"with {found.x.path} at {x} and {found.y.path} at {y}"


def _percent(count: int, total: int) -> str:
    return f"{100 * count / total:.0f}\u00a0%"


def _shares(found: Map, units: Units) -> Table:
    rows = []
    for panel in found.panels:
        words = np.array([[headline(word) for word in row] for row in panel.behaviours], dtype=object)
        counts = Counter(words[words != NO_PLACE].tolist())
        for word, count in counts.most_common():
            depths = panel.depths[(words == word) & np.isfinite(panel.depths)]
            deep = (
                [units.number("distance", float(end)) for end in (depths.min(), depths.max())]
                if len(depths)
                else []
            )
            speed = units.number("speed", panel.speed) if panel.speed else "-"
            rows.append((word, speed, _percent(count, counts.total()), " to ".join(deep) or "-"))
    heads = (
        Column("It", number=False), Column("Speed", units.unit("speed")), Column("Share"),
        Column("Depth", units.unit("distance")),
    )  # fmt: skip
    return Table(heads, tuple(rows), "How much of the map each behaviour takes")
