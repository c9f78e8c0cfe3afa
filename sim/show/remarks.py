"""Remarks in words, with their amounts in the reader's units: what looks odd, notes on parts, what readings tell.

`{part:2}` in the words of a remark is its fact `part`, an amount to two figures (`sim.remark.Shown`). Where the words
hang on a fact, they are a function of the facts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from sim.remark import Amount, Remark, Shown
from sim.show.units import Units

Words = str | Callable[[dict[str, Any]], str]

_OUTSIDE = {"displaced": "displaced", "dunk": "its dunk", "wall": "its cavity and wall", "sizes": "its sizes"}
_MEASURED_TWICE = {
    "displaced": "What {part} displaces",
    "cavity": "The cavity of {part}",
    "density": "The density of {part}",
    "balance": "The balance point of the whole lure",
}
_WAYS = {
    "written": "as written",
    "level": "by the rise of the level",
    "cup": "hung in a cup on the scale",
    "water_fill": "by water fill",
    "immersion": "weighed in water",
    "scrap": "by what a scrap did",
    "parts": "by its weight and volumes",
    "edge": "on the edge",
    "on_scale": "with one end on the scale",
    "whole": "for the whole",
    "bodies": "for its bodies together",
    "first": "the first time",
    "second": "the second time",
}
_FACTORS = {
    "ounces": "one was read in ounces and written as grams, or the other way round",
    "fluid_ounces": "one was read in fluid ounces and written as millilitres, or the other way round",
    "inches": "one was read in inches and written as millimetres, or the other way round",
    "thousand": "a unit of a thousand is off, such as kg for g or m for mm",
    "ten": "a decimal mark is one place off, or cm stands for mm",
    "hundred": "a decimal mark is two places off",
    "yards": "one was read in yards and written as metres, or the other way round",
    "two": "one counts a pair or a diameter, the other a single one or a radius",
}
_AGAIN = {
    "volume": "An air bubble makes a dunked volume too large and a filled cavity too small, and a body that touches "
    "the cup makes it too large: rub it wet, tap it, and measure again.",
    "mass": "Set the scale to zero with nothing on it and weigh both again.",
    "density": "Air bubbles make a scrap seem light: rub it wet and measure again, with a larger piece.",
}
_LEFT_ON = {"own_weight": "the body's own weight in water", "tare": "the tare"}
_NEXT = {
    "displaced": ("close it and dunk it whole (`drytank measure cup`)", "it pushes aside"),
    "wall": (
        "weigh a scrap of it dry and again hung in water (`drytank measure density`)",
        "it comes out at",
    ),
    "cavity": ("fill it with water and weigh that (`drytank measure cavity`)", "it holds"),
}

_LOADED = {
    (False, False): "Empty and closed",
    (True, False): "With its fill",
    (False, True): "With its hooks",
    (True, True): "With fill and hooks",
}


def _proud(facts: dict[str, Any]) -> str:
    form, way = ("rod", "") if facts["rod"] else ("ball", "as a rod or ")
    return (
        f"ballast.{{name}}: a {form} of {{weight}} there sticks {{out}} out of the body; set it deeper, or give it "
        f"{way}in two pieces"
    )


def _contradiction(facts: dict[str, Any]) -> str:
    what = _MEASURED_TWICE.get(facts["what"]) or facts["part"][:1].upper() + facts["part"][1:]
    times = facts["times"]
    sure = "" if times is None or times >= 1000.0 else ", {times:.0f} times what their doubt allows"
    ways = _WAYS[facts["one_by"]], _WAYS[facts["other_by"]]
    return f"{what} is {{one}} {ways[0]} but {{other}} {ways[1]}: {{apart}} apart{sure}. {{slip}}"


def _odd_weight(facts: dict[str, Any]) -> str:
    against = "" if facts["made_of"] is None else ", against {made_of:2} for what it is made of"
    return (
        f"{{part}} is {'heavier' if facts['heavier'] else 'lighter'} than its volume can explain: {{weight}} in "
        f"{{volume}} is {{density}}{against}; check the weight, the sizes and the units"
    )


def _no_room(facts: dict[str, Any]) -> str:
    shape = (
        "as a ball it is {across:2} across"
        if facts["length"] is None
        else "the rod is {across:2} across and {length:2} long"
    )
    return (
        f"{{part}} has no room there: {shape} and comes through the outside of body.{{body}}; move it inward, or check "
        "its weight"
    )


def _shell(facts: dict[str, Any]) -> str:
    first = "All together it weighs {weight:4}; its cavity alone carries {carried:4}"
    if facts["turns"] is None:
        return f"{first}, which is enough whatever the wall is made of."
    known = "between {between}" if facts["between"] else "about {wall}"
    return (
        f"{first}, so the wall must push aside at least {{short}} more. It does if it is lighter than {{turns}}; it is "
        f"{known}."
    )


def _measure_next(facts: dict[str, Any]) -> str:
    do, result = _NEXT[facts["reading"]]
    if facts["turns"] is None:
        return f"Measure next: {do}."
    side = "more" if facts["above"] else "less"
    return f"Measure next: {do}. If {result} {side} than {{turns}}, it floats with all that it carries."


WORDS: dict[str, Words] = {
    # places
    "far_tie_on": "tie_on.{name} is {away} away from everything else on a lure of {length}; check its place and its "
    "unit",
    "far_part": "{part} is {away} away from the body, which is {length} long; check its place and its unit",
    "twin_in_place": "{part} is mirrored but sits on the middle line, so its twin lies in the same place and counts "
    "twice; give it a `left`, or drop `mirrored`",
    "overlap": lambda facts: (
        "body.{inner} reaches some {reach:2} into body.{outer}{more}"
        + (", and {others} others into others" if facts["others"] else "")
        + ", and both count in full there; let it begin where the other ends, and tell what sits inside by its weight, "
        'as [ballast.{inner}] with body = "{outer}" and place = "cavity"'
    ),
    "and_overlap": ", body.{inner} {reach:2} into body.{outer}",
    # weights
    "whole_light": 'measured.weight = "{given}" is less than the given weights of the parts, {total} in all; the '
    "measured value is used: weigh the whole again, hooks and all",
    "odd_weight": _odd_weight,
    "heavy_part": "{part} weighs {weight}, far more than any such part; check the unit",
    "odd_displaced": "measured.displaced = {given!r} but the sizes add up to {computed}; the measured value is used: "
    "check that the cavity was not taken for the whole",
    "odd_whole": "measured.weight = {given!r} but the parts add up to {computed}; the measured value is used: check "
    "whether a part is missing, or hooks were left off the scale",
    "odd_balance": "measured.balance = {given!r} but the parts balance at {computed}; the measured value is used: "
    "check the places of the heavy parts",
    # ballast
    "ballast_proud": _proud,
    "ballast_no_room": _no_room,
    "ballast_outside": '{part} has its centre outside body.{body}; move it inside, or set place = "outside" so that '
    "its own volume counts",
    "ballast_in_solid": "{part} lies in the cavity of body.{body}, which is solid; taken as drilled",
    "ballast_too_large": "the ballast in the cavity of body.{body} takes up more room than the {room} there; check its "
    "weight and place",
    # bodies
    "stretched": lambda facts: (
        f"{{part}}: its sizes enclose {{sized}} but {_OUTSIDE[facts['by']]} gives {{volume}}, so width and height were "
        "multiplied by {times:.2f}; check the sizes, or whether the cavity was taken for the whole"
    ),
    "drawn_fuller": "{part}: to hold its volume it is drawn, and swims, {times:.2f} times as wide and as high as "
    "measured; what is hung at its outside hangs that much further out",
    "all_stretched": lambda facts: (
        f"{{part}}: by their sizes its bodies enclose {{sized}}, but {_OUTSIDE[facts['by']]} gives {{volume}}, so "
        "widths and heights were multiplied by {times:.2f}; check the sizes, or whether the cavity was taken for the "
        "whole"
    ),
    "outside_by_sizes": "{part}: the outer volume is taken from the sizes, which tell it only roughly; with the wall's "
    "density (or a scrap of it) beside the shell's weight the measured cavity would tell it",
    "hardly_a_wall": "{part}: the cavity is {percent:.0f} % of what its sizes enclose, which leaves hardly any wall; "
    "check whether the outer volume was written for the cavity",
    "nothing_to_fill": "{part} has a fill but no cavity or wall; the fill was left out",
    "no_hollow": "{part}.wall = {wall!r} leaves no hollow inside; taken as solid",
    "wall_or_cavity": "{part}: a wall of {wall} leaves {inside} inside but the cavity holds {cavity}; check both",
    "cavity_for_whole": '{part} displaces "{displaced}" and holds "{cavity}", which leaves a wall of {wall} for its '
    "{weight}. The cavity was probably taken for what it displaces, which must be at least {missing} more: dunk it "
    "closed, hung wholly under",
    "mesh_across": "{part}: the mesh is {across:3g} {way} but only {length:3g} long from nose to tail; if its nose "
    'points along another axis of the file, say so, as in nose_along = "+{axis}"',
    "mesh_of_many": "{part}: the mesh has {faces} faces; 5 000 to 20 000 tell a lure as well, and answer sooner",
    # what is modelled
    "soft_tail": "plate.{name} is soft, and is reckoned as a stiff plate: its weight and its lift at rest are right, "
    "but a soft tail bends and beats on its own, so take the swimming as a hint",
    "odd_speed": lambda facts: (
        f'retrieve.speeds: "{{given}}" is {"slower" if facts["slower"] else "faster"} than what the laws of drag and '
        "lift here were checked for, {slowest:1} to {fastest:1}; take the answer as a hint"
    ),
    # two measurements of one thing
    "contradiction": _contradiction,
    "left_on_scale": lambda facts: (
        f"They differ by about {_LEFT_ON[facts['load']]}: it was probably left on the scale, or not taken off."
    ),
    "times_the_other": lambda facts: (
        f"One is {{ratio:.3g}} times the other: probably {_FACTORS[facts['factor']]}."
    ),
    "measure_again": lambda facts: _AGAIN.get(
        facts["dimension"], "Measure both again, with the unit written beside each reading."
    ),
    "agree": "They agree within their doubt.",
    # a log against its design
    "log_against_file": lambda facts: (
        "test {test} of the log says {said:4g}, the design {has:4g}: "
        + (
            "measured.{key} in the file says otherwise; one of the two is off"
            if facts["entry"] is None
            else 'put measured.{key} = "{entry}" in the file'
        )
    ),
    "askew": "a lure that is a little crooked does that, and this one is taken to be straight",
    "no_answer": "the model hardly ever has an answer there, or falls in another motion than was seen",
    "thrown_about": "chance, and what is not told of the lure, throw it about by {deviations:.1f} of its +-",
    # an input, and how well it is known
    "amount": "{value}",
    "factor": "{value:.2f}",
    "as_written": "as you wrote it",
    "estimated": "estimated from its size, not weighed",
    "no_thermometer": "no thermometer in the water",
    "line_label": "lines are not as thin as their label",
    "casts_differ": "no two casts are alike",
    "hand_moves": "the hand is not still",
    "scale_digit": "the last digit of the scale",
    "cup_mark": "the last mark of the cup",
    "last_digit": "its last digit",
    "by_eye": "cut and set by eye",
    "calliper_digit": "the last digit of the calliper",
    "calliper_sections": "the last digit of the calliper, all sections alike",
    "on_edge": "laid on an edge",
    "moved_part": "nothing sits where it was drawn",
    "found_sizes": "three sizes of a thing as found do not tell its volume",
    "made_to_mesh": "how well it is made to its mesh",
    "rough_oval": "three sizes tell an oval only roughly",
    "two_views": "two views do not tell the sections",
    "few_sections": lambda facts: (
        f"{{count}} section{'s' if facts['count'] > 1 else ''} between nose and tail do not tell all of it"
    ),
    "material_range": "{material} lies between {low} and {high}",
    "calibrated": "calibrated on your tests",
    "model_doubt": "how far the model may be off",
    "of_the_model": "{why}: {does}",
    # notes on a part's weight
    "weighed": "weighed {weight}, {computed} by its density",
    "dunked": "dunked {volume}",
    "drilled_out": "{volume} drilled out",
    "share": "its share of assembly.{assembly}",
    "pooled": "lies at the bottom, as it set",
    "fill_computed": "{computed} by its density",
    "whole_weighed": "weighed {weight}, parts add up to {computed}",
    "whole_dunked": "dunked {volume}, computed {computed}",
    "whole_balanced": "balances {place} behind the nose, computed {computed}",
    "whole_balanced_up": "balances {place} above the axis, computed {computed}",
    # a mix
    "off_share": lambda facts: (
        f"{{part}} comes out {{percent:.0f}} % {'over' if facts['over'] else 'under'} its share by rounding; mix more "
        "at once, or use a finer scale"
    ),
    "mix_grows": "The mix grows to {total:4g}, {more:2g} more than was wanted.",
    # readings
    "only_the_hollow": "This is the hollow only. What the shell pushes aside is the hollow and its wall together.",
    "tap_it": "Tilt it and tap it while it fills: a bubble left inside makes the cavity seem smaller.",
    "rub_it": "Rub the body wet first: bubbles that cling to it count as body.",
    "hang_it": "Hang it by a thin thread, clear of the bottom and the sides; rub it wet first.",
    "open_end": lambda facts: (
        f"The open end is that of {{what}}, {facts['low_kg_m3'] / 1e3:.4g} to {facts['high_kg_m3'] / 1e3:.4g} g/cm3; "
        "plastic filled with glass or chalk can be heavier. A second bath closes it."
    ),
    "pitch_sign": "Pitch is nose up positive. `drytank float FILE` gives what was to be expected.",
    "typical": "Typical; measure yours: ten alike on the scale together beat any estimate.",
    "drill": "Drill {drill:3g}, at least {depth:3g} deep.",
    "lead": "Lead is poisonous: gloves, washed hands, no dust; some waters forbid it.",
    # will a shell float
    "shell_floats": lambda facts: (
        f"{facts['verdict'].capitalize()}: about {{percent:.0f}} in 100 such shells would float."
    ),
    "shell_carries": _shell,
    "settle_in_bath": "The wall's density settles it: stir a bath of {turns} (`drytank water --brine`) and drop a "
    "scrap of the wall in. If it floats there, the lure floats.",
    "settle_by_scrap": "The wall's density settles it: weigh a scrap of it dry and again hung in water (`drytank "
    "measure density`). Below {turns} the lure floats. Dunking the whole, hung under in a cup of water on the scale "
    "(`drytank measure cup`), tells as well.",
    "shell_alone": "Nothing but the closed, empty shell is counted; give the fill and hooks as load.",
    # does a found thing float
    "thing_floats": lambda facts: (
        f"{_LOADED[facts['filled'], facts['loaded']]}: "
        f"{'cannot be told yet' if facts['verdict'] == 'uncertain' else facts['verdict']}; {{percent:.0f}} of 100 such "
        "things would float. Its spare lift lies between {low} and {high}."
    ),
    "measure_next": _measure_next,
    "no_shape": "Three sizes do not make a shape: what the thing pushes aside is known only as well as the line above "
    "says. Between the two ends lie 90 of 100 such things.",
    "thing_alone": "Nothing but the closed thing is counted; give the weight of its hooks and eyes as hooks.",
}


def sentence(one: Remark | str, units: Units) -> str:
    """A remark in words; what is in words already stays as it is."""
    if isinstance(one, str):
        return one
    words = WORDS[one.key]
    told = {name: _told(fact, units) for name, fact in one.facts.items()}
    return (words if isinstance(words, str) else words(one.facts)).format(**told)


def sentences(every: Iterable[Remark | str], units: Units) -> list[str]:
    """Each of them in words."""
    return [sentence(one, units) for one in every]


def note(every: Iterable[Remark] | str, units: Units) -> str:
    """Notes on one part, in one line."""
    return every if isinstance(every, str) else "; ".join(sentences(every, units))


def _told(fact: Any, units: Units) -> Any:
    if isinstance(fact, Amount):
        return Shown(fact, units.name)
    return "".join(sentences(fact, units)) if isinstance(fact, tuple) else fact
