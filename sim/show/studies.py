"""Pages of the studies as text: a comparison's tables, a map in letters, what a file of many runs holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sim.show.builds import WAYS, amount
from sim.show.layout import Column, Look, bullets, page, paragraph, table
from sim.show.units import Kind, Units
from sim.studies.compare import WORDS, Comparison, ComparisonRow
from sim.studies.maps import BEHAVIOUR, NO_ANSWER, Map
from sim.studies.plan import FAILURE
from sim.trials.results import Behaviour

PLAIN = Look()
MOST_STILL, MOST_PULLED = 5, 4  # columns of figures that fit beside the names
TALLEST = 40  # rows of a map in letters

_COLUMNS: dict[
    str, tuple[str, Kind | str, str]
] = {  # figure -> head, kind or plain unit, words in a sentence
    "budget.mass_g": ("Weight", "mass", "weight"),
    "budget.displaced_ml": ("Displaces", "volume", "displaced"),
    "budget.margin_g": ("Spare", "mass", "spare lift"),
    "budget.verdict": ("Verdict", "", "verdict"),
    "float.pitch_deg": ("Sits\nnose", "deg", "sits nose up"),
    "float.roll_deg": ("Sits\nroll", "deg", "sits leaning"),
    "float.immersed_fraction": ("Under\nwater", "%", "share under water"),
    "drop.sink_rate_m_s": ("Sinks\n(- up)", "speed", "sink rate"),
    "drop.pitch_deg": ("Sinks\nnose", "deg", "nose as it sinks"),
    "drop.glide_deg": ("Glide", "deg", "glide"),
    "drop.motion": ("Let go, it", "", "motion let go"),
    "cast.range_m": ("Cast", "distance", "cast"),
    "cast.tumbles": ("Tumbles", "turns", "tumbling in the air"),
    "cast.lands": ("Lands", "", "landing"),
    "retrieve.behaviour": ("It", "", "what it does"),
    "retrieve.depth_m": ("Depth", "distance", "depth"),
    "retrieve.pitch_deg": ("Nose", "deg", "nose"),
    "retrieve.roll_deg": ("Leans\n(+ right)", "deg", "lean"),
    "retrieve.roll_amplitude_deg": ("Roll", "deg", "roll either way"),
    "retrieve.yaw_amplitude_deg": ("Yaw", "deg", "yaw either way"),
    "retrieve.wobble_hz": ("Wobble", "/s", "wobble rate"),
    "retrieve.turns_per_m": ("Turns", "/m", "turns about the line"),
    "retrieve.offset_m": ("To left", "distance", "place to the side"),
    "retrieve.tension_n": ("Pull", "force", "pull on the line"),
}

_LETTERS = {
    Behaviour.DRAGS: "g", Behaviour.WAKES: "W", Behaviour.RUNS: "U", Behaviour.DIVES: "D",
    Behaviour.HOPS: "H", Behaviour.SKIPS: "K", Behaviour.WOBBLES: "B", Behaviour.ROCKS: "R",
    Behaviour.ROLLS_OVER: "O", Behaviour.SPINS: "S", Behaviour.SPIRALS: "P", Behaviour.OFF_SIDE: "F",
    Behaviour.TUMBLES: "T", Behaviour.BOTTOM: "_", Behaviour.UNKNOWN: "?",
    Behaviour.HANGS: "=", Behaviour.RISES: "^", Behaviour.SINKS: "v",
}  # fmt: skip


def letter(behaviour: str) -> str:
    """One character for a behaviour, on maps."""
    if behaviour == NO_ANSWER:
        return "."
    known = {str(word): sign for word, sign in _LETTERS.items()}
    return known.get(behaviour) or next(c for c in behaviour.lower() if c not in known.values())


# ---- compare ------------------------------------------------------------------------------------------


def compare(title: str, found: Comparison, look: Look = PLAIN) -> str:
    """What differs most, then the designs as they lie and as they are pulled."""
    failures = [f"{who(row)}: {row.failure}" for row in (*found.still, *found.pulled) if row.failure]
    return page(
        look.paint(paragraph(title), "head"),
        paragraph(most(found, look.units)),
        _still(found, look),
        _pulled(found, look),
        bullets(failures),
    )


def most(found: Comparison, units: Units) -> str:
    """What differs most, in a sentence."""
    differ = [name for name, steps in found.differences.items() if steps >= 1.0]
    if not differ:
        return "Nothing differs by as much as you would notice."
    told = []
    rows = (*found.still, *found.pulled)
    for name in differ[:3]:
        if name not in WORDS:
            values = [row.figures[name] for row in rows if row.figures.get(name) is not None]
            told.append(f"{_COLUMNS[name][2]} ({_ends(name, min(values), max(values), units)})")
        else:
            words = dict.fromkeys(str(row.figures[name]).split(":")[0] for row in rows if name in row.figures)
            told.append(f"{_COLUMNS[name][2]} ({', '.join(words)})")
    return f"What differs most: {', '.join(told)}."


def _ends(name: str, low: float, high: float, units: Units) -> str:
    """The least and the most of a figure, with the way or the side in words where its sign is one."""
    if name in WAYS:
        return f"{amount(name, low, units)} to {amount(name, high, units)}"
    unit = f" {_unit(name, units)}".replace(" /", " a ").rstrip()
    return f"{_number(name, low, units)} to {_number(name, high, units)}{unit}"


def still_figures(found: Comparison) -> list[str]:
    """Names of the figures that hang on no tie-on point and differ, the most noticeable first."""
    return [name for name, n in found.differences.items() if n >= 1.0 and not name.startswith("retrieve.")]


def pulled_figures(found: Comparison) -> list[str]:
    """Names of the figures of the retrieves that differ; of all, where none does."""
    mine = [name for name in found.differences if name.startswith("retrieve.") and name not in WORDS]
    return [name for name in mine if found.differences[name] >= 1.0] or mine


def alike(found: Comparison, units: Units) -> str:
    """What hangs on no tie-on point and is the same for all, in a sentence; nothing if all differ."""
    same = [name for name, n in found.differences.items() if n < 1.0 and not name.startswith("retrieve.")]
    told = [word for name in same if (word := _alike(name, found.still, units))]
    return f"Alike, or nearly: {'; '.join(told)}." if told else ""


def head(name: str, units: Units) -> str:
    """What a figure is called over its column, with its unit."""
    unit = _unit(name, units)
    words = _COLUMNS[name][0].replace("\n", " ")
    return f"{words}, {unit}" if unit else words


def _still(found: Comparison, look: Look) -> str:
    differ = still_figures(found)
    shown = differ[:MOST_STILL]
    same = paragraph(alike(found, look.units))
    if not shown:
        return same
    columns = [_subject(found), *(_column(name, look.units) for name in shown)]
    rows = [[row.variant, *(cell(name, row, look.units) for name in shown)] for row in found.still]
    return page(table(look, columns, rows), _rest(differ[MOST_STILL:]), same)


def _pulled(found: Comparison, look: Look) -> str:
    if not found.pulled:
        return ""
    differ = pulled_figures(found)
    shown = differ[:MOST_PULLED]
    columns = [
        Column(f"Speed\n{look.units.unit('speed')}"),
        Column("Tie-on", number=False, widest=10),
        _subject(found),
        Column("It", number=False, widest=16),
        *(_column(name, look.units) for name in shown),
    ]
    rows: list[list[str]] = []
    before: tuple[float | None, str] = (None, "")
    for row in found.pulled:
        here = (row.speed_m_s, row.tie_on)
        speed = "" if row.speed_m_s == before[0] else look.units.number("speed", row.speed_m_s)
        tie_on = "" if here == before else row.tie_on
        does = str(row.figures.get("retrieve.behaviour", "no answer")).split(":")[0]
        rows.append([speed, tie_on, row.variant, does, *(cell(name, row, look.units) for name in shown)])
        before = here
    return page(table(look, columns, rows), _rest(differ[MOST_PULLED:]))


def _subject(found: Comparison) -> Column:
    return Column(found.subject.rpartition(".")[2].capitalize() or "Design", number=False, widest=20)


def _rest(names: Sequence[str]) -> str:
    words = ", ".join(_COLUMNS[name][2] for name in names)
    return paragraph(f"These differ too: {words}. See --json.") if names else ""


def _alike(name: str, rows: Sequence[ComparisonRow], units: Units) -> str:
    value = next((row.figures[name] for row in rows if row.figures.get(name) is not None), None)
    if value is None:
        return ""
    if isinstance(value, str):
        told = value
    elif name in WAYS:
        told = amount(name, value, units)
    else:
        told = f"{_number(name, value, units)} {_unit(name, units)}".rstrip()
    return f"{_COLUMNS[name][2]} {told}"


def _column(name: str, units: Units) -> Column:
    head, unit = _COLUMNS[name][0], _unit(name, units)
    return Column(f"{head}\n{unit}" if unit else head, number=name not in WORDS, widest=None)


def _unit(name: str, units: Units) -> str:
    kind = _COLUMNS[name][1]
    return units.unit(kind) if kind in units.scales else kind


def cell(name: str, row: ComparisonRow, units: Units) -> str:
    """A figure of a row as it stands in a table."""
    value = row.figures.get(name)
    return "-" if value is None else value if isinstance(value, str) else _number(name, value, units)


def _number(name: str, value: float, units: Units) -> str:
    kind = _COLUMNS[name][1]
    if kind in units.scales:
        return units.number(kind, value)
    places = 1 if kind in ("/s", "/m") else 0
    text = f"{100 * value if kind == '%' else value:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


def who(row: ComparisonRow) -> str:
    """Which design, pulled from where and how fast."""
    return f"{row.variant}, {row.tie_on} at {row.speed_m_s:.2f} m/s" if row.tie_on else row.variant


# ---- map ----------------------------------------------------------------------------------------------


def tie_map(title: str, found: Map, look: Look = PLAIN) -> str:
    """Behaviours as letters, y upward, with a key; one picture for each speed."""
    kinds = found.behaviours()
    key = ", ".join(f"{letter(kind)} {kind.split(':')[0]}" for kind in kinds)
    pictures = [_letters(found, k, look) for k in range(len(found.panels))]
    return page(look.paint(paragraph(title), "head"), *pictures, paragraph(f"{key}."))


def _letters(found: Map, k: int, look: Look) -> str:
    panel = found.panels[k]
    ys, xs = found.ys, found.xs
    labels = [f"{y:.4g}" for y in ys]
    margin = max(len(label) for label in labels)
    wide = 2 if 2 * len(xs) + margin < 76 else 1
    speed = "" if panel.speed == 0.0 else f"At {look.units.text('speed', panel.speed)}. "
    rows = [
        f"{labels[j].rjust(margin)} |" + "".join(letter(word).rjust(wide) for word in panel.behaviours[j])
        for j in reversed(range(len(ys)))
    ]
    first, last = f"{xs[0]:.4g}", f"{xs[-1]:.4g}"
    under = first + last.rjust(max(wide * len(xs) - len(first), len(last) + 1))
    foot = [" " * margin + " +" + "-" * (wide * len(xs)), " " * (margin + 1 + wide) + under]
    axes = paragraph(f"{speed}Across: {_axis(found.x)}. Upward: {_axis(found.y)}.")
    return "\n".join([axes.replace("\u00a0", " "), *rows, *foot])


def _axis(parameter: Any) -> str:
    return f"{parameter.path}, {parameter.unit}" if parameter.unit else str(parameter.path)


# ---- vary ---------------------------------------------------------------------------------------------


def varied(rows: Iterable[Mapping[str, Any]], where: str, look: Look = PLAIN) -> str:
    """What the file of many runs holds: how many, what they did, what failed."""
    did: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    total = 0
    for row in rows:
        total += 1
        if row[FAILURE]:
            failed[str(row[FAILURE])] += 1
        elif row.get(BEHAVIOUR):
            did[str(row[BEHAVIOUR])] += 1
    done = [f"{_runs(total)} in {where}."]
    if failed:
        done.append(f"{failed.total()} without an answer; the column `{FAILURE}` says why.")
    lines = [f"{word}: {_runs(count)}" for word, count in did.most_common()]
    lines += [f"no answer: {_runs(count)}: {why}" for why, count in failed.most_common(3)]
    return page(look.paint(paragraph(" ".join(done)), "head"), bullets(lines))


def _runs(count: int) -> str:
    return "1 run" if count == 1 else f"{count} runs"
