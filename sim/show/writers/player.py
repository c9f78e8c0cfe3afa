"""The player of a replay: hidden until its script, `player.js`, runs, with a word for readers that run none."""

from __future__ import annotations

import json
from collections.abc import Iterable

from sim.show.document import Player
from sim.show.writers.markup import Html, join, tag

PACES = (("1", "as it is"), ("0.5", "half speed"), ("0.25", "a quarter"), ("0.1", "a tenth"))
ZOOMS = (("close", "close"), ("whole", "whole way"))
VIEWS = (("side", "From the side"), ("end", "End on"), ("top", "From above"))
KEYS = (
    "Draw a finger or the mouse across a picture to move through time; tap it to play or stop. "
    "Keys: space, the arrows, Home, End."
)


def player(block: Player) -> Html:
    """Controls, and a panel for each design."""
    motions = [(str(k), label) for k, label in enumerate(block.labels)]
    scrub = tag("input", type="range", min=0, max=1000, step=10, value=0, data_role="scrub")
    controls = tag(
        "div",
        _chooser("motion", "Motion", motions),
        tag("button", "Play", type="button", class_="play", data_role="play", aria_pressed="false"),
        tag("label", tag("span", "Time"), scrub, class_="time"),
        tag("output", "", data_role="clock", class_="clock"),
        class_="controls",
    )
    looks = tag(
        "div",
        _chooser("pace", "Speed of the replay", PACES),
        _chooser("zoom", "Look", ZOOMS),
        _tick("trail", "Trail"),
        _tick("forces", "Forces"),
        class_="controls",
    )
    panels = [_panel(name, len(block.names) > 1) for name in block.names]
    whole = tag(
        "div",
        controls,
        looks,
        tag("div", *panels, class_=f"panels of-{len(panels)}"),
        tag("p", KEYS, class_="quiet"),
        tag("p", block.note, class_="quiet") if block.note else "",
        id="player",
        hidden=True,
        role="group",
        aria_label="Replay of the motion",
        data_units=json.dumps(block.units),
    )
    without = tag("noscript", tag("p", "The replay needs scripts. All else on this page does without."))
    return join([without, whole])


def _panel(name: str, named: bool) -> Html:
    canvases = [
        tag(
            "div",
            tag("canvas", role="img", aria_label=f"{name}: {title.lower()}", data_view=view),
            tag("span", title, class_="view-name"),
            class_=f"view {view}",
        )
        for view, title in VIEWS
    ]
    return tag(
        "div",
        tag("h3", name) if named else "",
        tag("div", *canvases, class_="views"),
        tag("p", "", data_role="readout", class_="readout"),
        tag("p", "", data_role="note", class_="quiet note"),
        tag("ul", data_role="legend", class_="legend", hidden=True),
        data_role="panel",
        class_="panel",
    )


def _chooser(role: str, name: str, options: Iterable[tuple[str, str]]) -> Html:
    choices = [tag("option", text, value=value) for value, text in options]
    return tag("label", tag("span", name), tag("select", *choices, data_role=role), class_=role)


def _tick(role: str, name: str) -> Html:
    return tag("label", tag("input", type="checkbox", data_role=role), tag("span", name), class_="tick")
