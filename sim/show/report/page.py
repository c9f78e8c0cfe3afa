"""The whole page: head, sections in their order, replay, and the promise that nothing is fetched."""

from __future__ import annotations

import json
from collections.abc import Iterable

from sim.show.pages import speeds
from sim.show.replay import replay
from sim.show.replay import text as replay_text
from sim.show.report import pictures, sections
from sim.show.report.frame import Part, design_files, frame, heading
from sim.show.report.gather import Entry
from sim.show.units import METRIC, Units
from sim.show.writers.html import figure_of
from sim.show.writers.markup import Html, join, listed, tag
from sim.show.writers.terms import Terms
from sim.studies.compare import unlike
from sim.trials.results import Verdict

PACES = (("1", "as it is"), ("0.5", "half speed"), ("0.25", "a quarter"), ("0.1", "a tenth"))
MOST_UNLIKE = 6
VIEWS = (("side", "From the side"), ("end", "End on"), ("top", "From above"))


def report(entry: Entry, other: Entry | None = None, units: Units = METRIC) -> str:
    """One design, or two side by side, as one HTML file that stands alone."""
    terms = Terms()
    entries = [entry] if other is None else [entry, other]
    parts: list[Part] = [
        ("replay", "Replay", _replay(entries, units)),
        ("rest", "At rest", join([sections.rest(entry, units, terms), *pictures.at_rest(entry, units)])),
        ("drop", "Let go", join([sections.let_go(entry, units, terms), pictures.let_go(entry, units)])),
        ("cast", "Cast", join([sections.cast(entry, units, terms), pictures.thrown(entry, units)])),
        ("pulled", "Pulled", join([sections.pulled(entry, units, terms), *pictures.pulled(entry, units)])),
        *_speeds(entry, units),
        ("weights", "Weights", join([sections.weights(entry, units, terms), pictures.weights(entry, units)])),
        ("sure", "How sure", sections.how_sure(entry, units, terms)),
        ("change", "What to change", sections.to_change(entry, units)),
        ("shop", "Shop sheet", _shop(entry, units)),
        ("care", "Take care", listed(entry.result.cautions)),
        ("file", "The file", design_files([(each.design.name, each.source) for each in entries])),
    ]
    if other is not None:
        parts.insert(0, ("two", "Side by side", sections.comparison(entry, other, units)))
    names = [entry.design.name for entry in entries]
    data = replay_text(replay([(each.design, each.lure, each.motions) for each in entries]))
    return frame(
        " and ".join(names),
        _header(entry, other, units, terms),
        parts,
        "Nothing in this report is drawn by chance, so there is no seed: the same file gives the same answers.",
        script="player.js",
        data={"replay-data": data},
    )


def _header(entry: Entry, other: Entry | None, units: Units, terms: Terms) -> Html:
    tone = "sinks" if entry.result.budget.verdict is Verdict.SINKS else "holds"
    beside = "" if other is None else tag("p", _beside(entry, other), class_="quiet")
    about = tag("p", entry.design.about, class_="about") if entry.design.about else ""
    return heading(
        entry.design.name,
        beside,
        about,
        tag("div", *(tag("p", s) for s in sections.verdict(entry, units)), class_=f"verdict {tone}"),
        sections.head_figures(entry, units, terms),
    )


def _beside(entry: Entry, other: Entry) -> str:
    """What stands beside what, and what makes the two no fair match."""
    told = (
        f"Side by side with {other.design.name} in the replay and in the table of the two; all else on this page is "
        f"about {entry.design.name}. Both are pulled as its file says."
    )
    differ = unlike([entry.design, other.design])[:MOST_UNLIKE]
    return f"{told} Look again: the files also differ in {', '.join(differ)}." if differ else told


def _speeds(entry: Entry, units: Units) -> list[Part]:
    """Speed windows, where there is anything to tie a line to."""
    if entry.windows is None or not entry.windows.tie_ons:
        return []
    closer = tag(
        "p", "drytank windows looks closer, and at what stays when it is slowed down.", class_="quiet"
    )
    return [
        (
            "speeds",
            "Speeds",
            join(
                [
                    figure_of(speeds.picture(entry.windows, units).draw, "speeds"),
                    tag("p", speeds.known(entry.windows), class_="quiet"),
                    closer,
                ]
            ),
        )
    ]


def _shop(entry: Entry, units: Units) -> Html:
    note = (
        "A page for paper, full size when printed at 100 %: measure its bar to be sure. drytank sheet writes it "
        "alone."
    )
    return join([tag("p", note, class_="quiet"), pictures.sheet(entry, units)])


# ---- the replay ---------------------------------------------------------------------------------------


def _replay(entries: list[Entry], units: Units) -> Html:
    """The player: hidden until its script runs, with a word for readers that run none."""
    motions = entries[0].motions
    controls = tag(
        "div",
        _chooser("motion", "Motion", [(str(k), sections.label(m, units)) for k, m in enumerate(motions)]),
        tag("button", "Play", type="button", class_="play", data_role="play", aria_pressed="false"),
        tag(
            "label",
            tag("span", "Time"),
            tag("input", type="range", min=0, max=1000, step=10, value=0, data_role="scrub"),
            class_="time",
        ),
        tag("output", "", data_role="clock", class_="clock"),
        class_="controls",
    )
    looks = tag(
        "div",
        _chooser("pace", "Speed of the replay", PACES),
        _chooser("zoom", "Look", (("close", "close"), ("whole", "whole way"))),
        _tick("trail", "Trail"),
        _tick("forces", "Forces"),
        class_="controls",
    )
    player = tag(
        "div",
        controls,
        looks,
        tag(
            "div", *(_panel(entry, len(entries) > 1) for entry in entries), class_=f"panels of-{len(entries)}"
        ),
        tag(
            "p",
            "Draw a finger or the mouse across a picture to move through time; tap it to play or stop. "
            "Keys: space, the arrows, Home, End.",
            class_="quiet",
        ),
        sections.cut_short(motions),
        id="player",
        hidden=True,
        role="group",
        aria_label="Replay of the motion",
        data_units=json.dumps(_units(units)),
    )
    no_script = tag("noscript", tag("p", "The replay needs scripts. All else on this page does without."))
    return join([no_script, player])


def _panel(entry: Entry, named: bool) -> Html:
    canvases = [
        tag(
            "div",
            tag("canvas", role="img", aria_label=f"{entry.design.name}: {title.lower()}", data_view=view),
            tag("span", title, class_="view-name"),
            class_=f"view {view}",
        )
        for view, title in VIEWS
    ]
    return tag(
        "div",
        tag("h3", entry.design.name) if named else "",
        tag("div", *canvases, class_="views"),
        tag("p", "", data_role="readout", class_="readout"),
        tag("p", "", data_role="note", class_="quiet note"),
        tag("ul", data_role="legend", class_="legend", hidden=True),
        data_role="panel",
        class_="panel",
    )


def _chooser(role: str, name: str, options: Iterable[tuple[str, str]]) -> Html:
    return tag(
        "label",
        tag("span", name),
        tag("select", *(tag("option", text, value=value) for value, text in options), data_role=role),
        class_=role,
    )


def _tick(role: str, name: str) -> Html:
    return tag("label", tag("input", type="checkbox", data_role=role), tag("span", name), class_="tick")


def _units(units: Units) -> dict[str, dict[str, object]]:
    """What the player needs to say distances and forces as the rest of the page does."""
    scales = {"distance": units.scales["distance"], "short": units.short, "force": units.scales["force"]}
    return {
        name: {"unit": scale.unit, "factor": scale.factor, "places": scale.places}
        for name, scale in scales.items()
    }
