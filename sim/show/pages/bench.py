"""The pages of the bench: measurements, materials, mixes, pours, waters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from sim.show import care, remarks
from sim.show.document import (
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Roomy,
    Table,
    Tone,
    Verbatim,
    blocks,
    listed,
    section,
)
from sim.show.units import Units
from sim.units import Quantity, show

if TYPE_CHECKING:
    from sim.bench.answers import MixAnswer
    from sim.design.materials import Material
    from sim.design.readings import Reading
    from sim.trials.cautions import Caution
    from sim.trials.pour import PourResult
    from sim.trials.water_table import WaterTable

_SUFFIX = {
    "volume": ("ml", 1e6), "mass": ("g", 1e3), "density": ("kg_m3", 1.0), "length": ("mm", 1e3),
    "angle": ("deg", 57.29577951308232),
}  # fmt: skip

_SAID = {
    "cavity": "The cavity holds {}.",
    "displaced": "It pushes aside {}.",
    "density": "Its density is {}.",
    "balance_back": "It balances {} behind the nose.",
    "balance_up": "It balances {} above the axis.",
    "balance_back_by_scale": "By the scale it balances {} behind the nose.",
    "draught": "The middle between the marks lies {} under.",
    "pitch": "Its nose is up by {}.",
    "weight": "One weighs {}.",
    "margin": "The margin is {}.",
    "difference": "They differ by {}.",
}

_FILE_KEYS = {"cavity": "cavity", "displaced": "displaced", "density": "density", "weight": "weight",
              "balance_back": "balance"}  # fmt: skip


# ---- measurements -------------------------------------------------------------------------------------


def kinds(known: Mapping[str, type[Reading]]) -> Document:
    """All that can be measured."""
    rows = tuple((name, _first_line(kind)) for name, kind in known.items())
    columns = (Column("Kind", number=False), Column("What it tells", number=False, widest=64))
    note = (
        "`drytank measure KIND` tells its readings. A reading without +- counts as rounded to its last digit."
    )
    return Document("What can be measured", (Table(columns, rows), Paragraph(note)))


def kind(name: str, known: type[Reading], key: str = "") -> Document:
    """The readings of one kind; `key`: its name in a design file, where that is another."""
    rows = tuple((one["reading"], one["what"], one["example"]) for one in kind_as_data(known))
    columns = (
        Column("Reading", number=False),
        Column("What", number=False, widest=44),
        Column("Such as", number=False, widest=16),
    )
    example = f"For example: drytank measure {name} {known.example}"
    also = (
        f"In a design file the same readings are called {key}; `drytank measure {key}` is this too."
        if key
        else ""
    )
    return Document(_first_line(known), blocks(Table(columns, rows), Paragraph(example), Paragraph(also)))


def kinds_as_data(known: Mapping[str, type[Reading]]) -> list[dict[str, str]]:
    """All that can be measured, for JSON."""
    return [
        {"kind": name, "tells": _first_line(kind), "example": kind.example} for name, kind in known.items()
    ]


def kind_as_data(known: type[Reading]) -> list[dict[str, str]]:
    """The readings of one kind, for JSON."""
    return [
        {"reading": key, "what": field.description or "", "example": str((field.examples or [""])[0])}
        for key, field in known.model_fields.items()
    ]


def measured(name: str, reading: Reading, units: Units) -> Document:
    """What readings amount to."""
    results = reading.results()
    answer = remarks.sentences(reading.answer(), units)
    tone: Tone = "quiet" if answer else "head"
    lines = tuple(
        Paragraph(_spoken(name, key).format(_written(q, units)), tone) for key, q in results.items()
    )
    keys = [f'{_FILE_KEYS[key]} = "{q.text}"' for key, q in results.items() if key in _FILE_KEYS and q.text]
    offered = keys if not answer and name != "scrap" else []
    return Document(
        "",
        blocks(
            [Paragraph(sentence, "" if k else "head") for k, sentence in enumerate(answer)],
            Brief(lines),
            Roomy(lines),
            Paragraph(f"In the design file: {', '.join(offered)}" if offered else ""),
            Bullets(tuple(remarks.sentences(reading.remarks(), units))),
        ),
    )


def _spoken(name: str, key: str) -> str:
    return "All together it weighs {}." if (name, key) == ("shell", "weight") else _SAID[key]


def _written(quantity: Quantity, units: Units) -> str:
    if quantity.flat:
        return f"between {quantity.text.replace(' to ', ' and ')}"
    if units.name == "us" or not quantity.text:
        text = show(quantity.value, quantity.dimension, units.name)
        if quantity.sd > 0.0 and quantity.dimension != "temperature":
            text += f" +- {show(quantity.sd, quantity.dimension, units.name, 2)}"
        return text
    return quantity.text


def as_data(reading: Reading) -> dict[str, Any]:
    """Readings' results for JSON, the unit in every key."""
    out: dict[str, Any] = {}
    for key, q in reading.results().items():
        unit, scale = _SUFFIX[q.dimension]
        out[f"{key}_{unit}"] = q.value * scale
        out[f"{key}_sd_{unit}"] = q.sd * scale
        if q.flat:
            half = 3.0**0.5 * q.sd
            out[f"{key}_low_{unit}"] = (q.value - half) * scale
            out[f"{key}_high_{unit}"] = (q.value + half) * scale
    return {"results": out, **reading.extra(), "remarks": reading.remarks()}


def _first_line(documented: type) -> str:
    return (documented.__doc__ or "").strip().splitlines()[0]


# ---- materials ----------------------------------------------------------------------------------------


_SURE = {"published": "confirmed", "memory": "one handbook", "user should measure": "measure yours"}


def materials(every: Iterable[Material]) -> Document:
    """A table of materials, group by group."""
    groups: dict[str, list[Material]] = {}
    for material in every:
        groups.setdefault(material.group, []).append(material)
    columns = (
        Column("Material", number=False, widest=24),
        Column("g/cm3"),
        Column("from"),
        Column("to"),
        Column("How sure", number=False, widest=20),
    )
    tables = [
        section(
            group[0].upper() + group[1:],
            Table(columns, tuple(
                (m.name, f"{m.density / 1e3:.3f}", f"{m.low / 1e3:.3f}", f"{m.high / 1e3:.3f}", _SURE[m.status])
                for m in members
            )),
        )
        for group, members in groups.items()
    ]  # fmt: skip
    note = (
        "Woods at 12 % moisture. `drytank materials NAME` tells the source. Confirmed: looked up in what it "
        "names; one handbook: as remembered from it, not looked up again."
    )
    return Document("", blocks(tables, Paragraph(note)))


def material(found: Material) -> Document:
    """One material and its source."""
    lines = [
        f"{found.name}: {found.density / 1e3:.3f} g/cm3, usually {found.low / 1e3:.3f} to {found.high / 1e3:.3f}.",
        f"Source: {found.source}.",
        f"How sure: {_SURE[found.status]}.",
    ]
    if found.status != "published":
        lines.append(
            "A piece of your own, weighed dry and hung in water, beats this: drytank measure density."
        )
    return Document(lines[0], tuple(Paragraph(line) for line in lines[1:]))


# ---- mixes --------------------------------------------------------------------------------------------


def mixed(answer: MixAnswer, step: Decimal, cautions: Sequence[Caution], units: Units) -> Document:
    """Amounts to weigh, to the scale's step (g)."""
    unit, factor = units.unit("mass"), units.scales["mass"].factor
    least = round(float(step) * factor, 4)
    places = max(0, -int(Decimal(repr(least)).normalize().as_tuple().exponent))
    going_on = any(part.poured_g for part in answer.parts)

    def weighed(grams: float) -> str:
        return f"{grams * factor:.{max(places, 1)}f}"

    columns = [Column("Part", number=False, widest=28), Column("In all", unit)]
    if going_on:
        columns += [Column("In the cup", unit), Column("Add", unit)]
    columns += [Column("Off by", "%")]
    rows = []
    for part in answer.parts:
        more = [weighed(part.poured_g), weighed(part.add_g)] if going_on else []
        rows.append((part.name, weighed(part.weight_g), *more, f"{part.off_percent:+.1f}"))
    sums = [weighed(sum(p.poured_g for p in answer.parts)), weighed(sum(p.add_g for p in answer.parts))]
    rows.append(("Together", weighed(answer.total_g), *(sums if going_on else []), ""))
    head = f"Weigh out {weighed(answer.total_g)} {unit}"
    if answer.fills_ml is not None:
        full = answer.fills_ml * units.scales["volume"].factor
        head += f", which fills {full:.{1 if units.scales['volume'].factor == 1.0 else 2}f} {units.unit('volume')}"
    return Document(
        "",
        blocks(
            Paragraph(f"{head}.", "head"),
            Table(tuple(columns), tuple(rows), totals=1),
            Paragraph(_density_sentence(answer)),
            listed("Look again", remarks.sentences(answer.warnings, units)),
            listed("Take care", care.sentences(cautions)),
        ),
    )


def _density_sentence(answer: MixAnswer) -> str:
    if answer.density_kg_m3 is None:
        return "The density of the mix is not known: cast a test block, weigh it and measure it."
    text = f"The mix sets at {answer.density_kg_m3 / 1e3:.3g} g/mL, {answer.density_from}."
    if answer.density_from == "computed":
        text += " Stirred-in air makes it lighter: a test block tells (`drytank measure cube`)."
    return text


def poured(name: str, answer: PourResult, units: Units, cautions: Sequence[Caution]) -> Document:
    """Where a pour lies and where the lure then balances."""
    size, volume, mass = (lambda v, k=k: units.text(k, v) for k in ("size", "volume", "mass"))
    nose = (
        "lying level" if abs(answer.raised_deg) < 0.05
        else f"with the nose {'up' if answer.raised_deg > 0 else 'down'} {abs(answer.raised_deg):.0f} degrees"
    )  # fmt: skip
    return Document(
        name,
        blocks(
            Paragraph(
                f"The lure then balances {size(answer.balance_back_mm)} behind the nose and "
                f"{size(abs(answer.balance_up_mm))} {'above' if answer.balance_up_mm >= 0 else 'below'} the axis; "
                f"without the pour {size(answer.empty_balance_back_mm)} and "
                f"{size(abs(answer.empty_balance_up_mm))} "
                f"{'above' if answer.empty_balance_up_mm >= 0 else 'below'}.",
                "head",
            ),
            Paragraph(
                f"{mass(answer.fill_g)} at {answer.fill_density_kg_m3 / 1e3:.3g} g/mL is {volume(answer.fill_ml)}, "
                f"{100 * answer.fill_share:.0f} % of the {volume(answer.cavity_ml)} in {answer.body}. Set {nose}, "
                f"it lies {size(answer.fill_back_mm)} behind the nose, {size(abs(answer.fill_up_mm))} "
                f"{'above' if answer.fill_up_mm >= 0 else 'below'} the axis. Margin with it: {mass(answer.margin_g)}."
            ),
            Paragraph(f"In the design file, under [body.{answer.body}]:"),
            Verbatim(answer.as_fill, "As a fill"),
            listed("Take care", care.sentences(cautions)),
        ),
    )


# ---- waters -------------------------------------------------------------------------------------------


def water(name: str, answer: WaterTable, units: Units) -> Document:
    """Margin against warmth and salt."""
    fahrenheit = units.name == "us"

    def warmth(c: float) -> str:
        return f"{c * 9 / 5 + 32:.0f} F" if fahrenheit else f"{c:g} C"

    columns = (Column("Water", number=False), *(Column(f"{c.salinity_g_kg:g} g/kg") for c in answer.columns))
    rows = tuple(
        (
            warmth(row.temperature_c),
            *(_signed(units.scales["mass"].factor, m, fahrenheit) for m in row.margins_g),
        )
        for row in answer.rows
    )
    hangs = [
        f"In water with {c.salinity_g_kg:g} g/kg of salt it hangs at {warmth(round(c.hangs_at_c, 1))}: it rises in "
        "colder water and sinks in warmer."
        for c in answer.columns
        if c.hangs_at_c is not None
    ]
    spare = f"{abs(answer.margin_g) * units.scales['mass'].factor:.{4 if fahrenheit else 3}f} {units.unit('mass')}"
    tells = f"has {spare} to spare" if answer.margin_g >= 0 else f"is {spare} too heavy"
    own = f"In its own water, {warmth(answer.temperature_c)} and {answer.salinity_g_kg:g} g/kg of salt, it {tells}."
    keeps = (
        "The lure is taken to keep its size. A solid hard plastic grows with warmth about as much as water "
        "around 20 C does, so it changes less than the table says; wood and metal keep their size better."
    )
    return Document(
        name,
        blocks(
            Paragraph(own, "head"),
            section(f"Margin in {units.unit('mass')}: + rises, - sinks.", Table(columns, rows)),
            Bullets(tuple(hangs)),
            Paragraph(keeps),
        ),
    )


def _signed(factor: float, margin: float | None, us: bool) -> str:
    if margin is None:
        return "ice"
    return f"{margin * factor:+.{4 if us else 3}f}"


def brine(density: float, temperature: float, salt: float, fresh: float) -> Document:
    """A recipe for a bath."""
    stir = (
        f"Stir {salt:.1f} g of table salt into one litre of fresh water of {temperature:g} C: the bath has "
        f"{density / 1e3:.4g} g/cm3 (fresh water {fresh / 1e3:.4f})."
    )
    then = (
        "Stir until it is clear, and let it come to its temperature again. What sinks in it is heavier, what "
        'floats lighter. In the design file: scrap = { sank = "fresh water", floated = '
        f'"{salt:.0f} g/L" }}'
    )
    return Document("", (Paragraph(stir), Paragraph(then)))
