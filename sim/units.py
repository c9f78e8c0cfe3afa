"""Quantities as makers write them, turned into SI: `3/8 oz`, `2 3/4 in`, `22,1 g`, `18.4 +- 0.2 g`, `8 lb`.

What could be read two ways is refused with the line to write instead, never guessed. Values are SI, with two
exceptions that name themselves: a temperature is in degrees Celsius, a salinity in g of salt per kg of water.
`+- u` is one standard uncertainty. Ounces of volume, `fl oz`, are US fluid ounces.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from difflib import get_close_matches

LONGEST = 80  # characters; no quantity needs more

INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665  # m, kg, m/s2 (all exact by definition)
FOOT, OUNCE, LITRE = 12 * INCH, POUND / 16, 1e-3
FLUID_OUNCE = 231 * INCH**3 / 128  # US
FAHRENHEIT = (5 / 9, -160 / 9)  # C = 5/9 F - 160/9
PSU_TO_G_KG = 35.16504 / 35  # practical to absolute salinity of standard seawater (TEOS-10 manual, 2010)


class UnitError(ValueError):
    """Text that is not a quantity of the wanted dimension; the message says what to write."""


@dataclass(frozen=True)
class Quantity:
    """A value with its standard uncertainty, SI (temperature: C; salinity: g/kg), and its text as written.

    `flat`: only the ends of an interval are known, value +- sqrt(3) sd, with nothing likelier in between.
    Two quantities are equal when their values are, however they were written.
    """

    value: float
    sd: float = 0.0
    dimension: str = ""
    text: str = field(default="", compare=False)
    flat: bool = field(default=False, compare=False)


_Unit = tuple[float, float]  # SI = scale * number + offset


def _table(rows: dict[str, float]) -> dict[str, _Unit]:
    """Every spelling in a row of names gets the row's scale."""
    return {name: (scale, 0.0) for names, scale in rows.items() for name in names.split("|")}


_WEIGHTS = {
    "g|gram|grams|gramme|grammes": 1e-3,
    "kg|kilo|kilos|kilogram|kilograms": 1.0,
    "oz|ounce|ounces": OUNCE,
    "lb|lbs|pound|pounds|#": POUND,
}
UNITS: dict[str, dict[str, _Unit]] = {
    "length": _table(
        {
            "mm|millimetre|millimetres|millimeter|millimeters": 1e-3,
            "cm|centimetre|centimetres|centimeter|centimeters": 1e-2,
            "m|metre|metres|meter|meters": 1.0,
            "um|µm|μm|micron|microns": 1e-6,
            "in|inch|inches|\"|″|”|''": INCH,
            "ft|foot|feet|'|′|’": FOOT,
            "yd|yds|yard|yards": 3 * FOOT,
            "thou": 1e-3 * INCH,
        }
    ),
    "mass": _table({**_WEIGHTS, "mg|milligram|milligrams": 1e-6, "grain|grains": POUND / 7000}),
    "volume": _table(
        {
            "mL|cc|cm3|ccm|cu cm|millilitre|millilitres|milliliter|milliliters": 1e-6,
            "cL": 1e-5,
            "dL": 1e-4,
            "L|litre|litres|liter|liters": LITRE,
            "m3": 1.0,
            "mm3": 1e-9,
            "in3|cu in|cubic inch|cubic inches": INCH**3,
            "fl oz|floz|fl. oz|fluid ounce|fluid ounces": FLUID_OUNCE,
        }
    ),
    "speed": _table(
        {
            "m/s": 1.0,
            "cm/s": 1e-2,
            "mm/s": 1e-3,
            "km/h|kph|kmh|km/hr": 1 / 3.6,
            "mph|mi/h": 5280 * FOOT / 3600,
            "ft/s|fps|ft/sec": FOOT,
            "in/s": INCH,
            "kn|kt|knot|knots": 1852 / 3600,
        }
    ),
    "angle": _table({"deg|degree|degrees|°|º": math.pi / 180, "rad|radian|radians": 1.0}),
    "temperature": {
        **dict.fromkeys(("C", "°C", "ºC", "℃", "degC", "deg C", "degrees C", "celsius"), (1.0, 0.0)),
        **dict.fromkeys(("F", "°F", "ºF", "℉", "degF", "deg F", "degrees F", "fahrenheit"), FAHRENHEIT),
        **dict.fromkeys(("K", "kelvin"), (1.0, -273.15)),
    },
    "density": _table(
        {
            "g/cm3|g/cc|g/mL|kg/L|kg/dm3|t/m3": 1000.0,
            "kg/m3|g/L|g/dm3": 1.0,
            "lb/ft3|lb/cu ft|pcf": POUND / FOOT**3,
            "oz/in3|oz/cu in": OUNCE / INCH**3,
        }
    ),
    "salinity": _table({"g/kg|ppt|‰": 1.0, "psu": PSU_TO_G_KG}),
    # line strength is sold as a mass, meaning that mass's weight
    "force": _table(
        {"N|newton|newtons": 1.0, "lbf": POUND * GRAVITY, "kgf": GRAVITY, "ozf": OUNCE * GRAVITY}
        | {names: mass * GRAVITY for names, mass in _WEIGHTS.items()}
    ),
    "factor": _table({"x|times": 1.0}),
    "time": _table(
        {
            "s|sec|secs|second|seconds": 1.0,
            "ms": 1e-3,
            "min|minute|minutes": 60.0,
            "h|hr|hour|hours": 3600.0,
        }
    ),
}

_EXAMPLE = {  # the units to offer, the commonest first
    "length": ("mm", "in", "m", "ft"),
    "mass": ("g", "oz"),
    "volume": ("mL", "fl oz"),
    "speed": ("m/s", "ft/s"),
    "angle": ("deg",),
    "temperature": ("C", "F"),
    "density": ("g/cm3", "kg/m3"),
    "salinity": ("g/kg",),
    "force": ("lb", "kg", "N"),
    "factor": ("x",),
    "time": ("s", "min"),
}
_FEW = {
    "salinity": "35",
    "speed": "0.5",
    "density": "1.2",
    "temperature": "18",
    "factor": "1.05",
}  # a likely number for an example

_FRACTIONS = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LETTERS = str.maketrans(
    {"−": "-", "–": "-", "‐": "-", "⁄": "/", "∕": "/", "＋": "+", "±": "+-"}
    | {glyph: f" {fraction} " for glyph, fraction in _FRACTIONS.items()}
)
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?(?:"
    r"(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?))"
)
_THOUSANDS = re.compile(
    r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])|[0-9]+,[0-9]+[.,]|[0-9]+\.[0-9]+[.,]|[0-9]+ [0-9]{3}\b(?! ?/)"
)
_PAIR = re.compile(r"(?P<large>ft|feet|foot|'|′|’|lb|lbs) ?(?P<rest>[0-9.,].*)", re.IGNORECASE)
_PAIRED = {"length": INCH, "mass": OUNCE}


def parse(raw: object, dimension: str) -> Quantity:
    """Read one quantity of the named dimension (a key of `UNITS`).

    Raises:
        UnitError: with a sentence that says what is wrong and what to write.

    >>> parse("2 3/4 in", "length").value
    0.06985
    >>> q = parse("22,1 ± 0,2 g", "mass"); (q.value, q.sd)
    (0.0221, 0.0002)
    """
    if dimension == "factor" and isinstance(raw, int | float) and abs(raw) < 1e12:
        raw = repr(float(raw))  # the one dimension that is a plain number
    if not isinstance(raw, str):
        raise UnitError(_without_unit(raw, dimension))
    if len(raw) > LONGEST:
        raise UnitError(
            f"this is {len(raw)} characters long; write one number and its unit, {_such_as(dimension)}"
        )
    written = " ".join(raw.split())
    text = " ".join(written.translate(_LETTERS).replace("+/-", "+-").split())
    text = "".join(c if c.isprintable() else "\ufffd" for c in text)  # it is repeated in messages
    if not text:
        raise UnitError(f"nothing is written here; write a {dimension}, {_such_as(dimension)}")
    centre, *spreads = (piece.strip() for piece in text.split("+-"))
    if len(spreads) > 1:
        raise UnitError('there is more than one "+-"; write it once, as in "18.4 +- 0.2 g"')
    number, unit = _amount(centre, dimension)
    spread, percent, spread_unit = 0.0, False, ""
    if spreads:
        spread, spread_unit = _amount(spreads[0], dimension)
        percent = spread_unit.startswith("%")
        spread_unit = spread_unit.removeprefix("%").strip()
        if spread < 0:
            raise UnitError('the number after "+-" is negative; an uncertainty is a positive number')
    unit = unit or spread_unit or ("x" if dimension == "factor" else "")
    if not unit:
        raise UnitError(_without_unit(number, dimension))
    scale, offset = _unit(unit, dimension)
    value = scale * number + offset
    if percent and dimension == "temperature":
        raise UnitError('a percentage of a temperature has no meaning; write "18 C +- 0.5 C"')
    if percent:
        sd = abs(value) * spread / 100
    else:
        sd = spread * (_unit(spread_unit, dimension)[0] if spread_unit else scale)
    if not (math.isfinite(value) and math.isfinite(sd)):
        raise UnitError(f"this number is too large to work with; write a {dimension}, {_such_as(dimension)}")
    if dimension == "temperature" and value < -273.15 - 1e-9:
        raise UnitError("this is below absolute zero, -273.15 C; check the sign and the unit")
    return Quantity(value, sd, dimension, written)


def _amount(text: str, dimension: str) -> tuple[float, str]:
    """Number and unit of `text`, the unit as written and perhaps empty; 7 ft 6 in comes back in feet."""
    if found := _THOUSANDS.search(text):
        raise UnitError(
            f'"{found[0].strip(".,")}" can be read in two ways; leave out marks and blanks between '
            f'thousands and use a point for decimals, as in "1234.5"'
        )
    match = _NUMBER.match(text)
    if match is None:
        what = f'"{text}" does not start with a number' if text else 'a number is missing beside the "+-"'
        raise UnitError(f"{what}; write a {dimension}, {_such_as(dimension)}")
    unit = text[match.end() :].strip()
    number = _number(match)
    pair = _PAIR.fullmatch(unit) if dimension in _PAIRED else None
    small = _NUMBER.match(pair["rest"]) if pair else None
    if pair and small:
        small_unit = pair["rest"][small.end() :].strip()
        large, little = (
            _unit(pair["large"], dimension)[0],
            _unit(small_unit, dimension)[0] if small_unit else 0.0,
        )
        if little == _PAIRED[dimension] and large > little:
            return number + math.copysign(_number(small) * little / large, number), pair["large"]
    return number, unit


def _number(match: re.Match[str]) -> float:
    if match["decimal"]:
        size = float(match["decimal"].replace(",", "."))
    else:
        if int(match["bottom"]) == 0:
            raise UnitError("a fraction cannot have zero under its line")
        size = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return -size if match["sign"] == "-" else size


def _unit(written: str, dimension: str) -> _Unit:
    """Scale and offset of a unit. Capitals may differ, except where they would make milli of mega."""
    name = written.replace("^3", "3").replace("³", "3")
    table = UNITS[dimension]
    found = _look_up(name, table)
    if found is not None:
        return found
    for other, units in UNITS.items():
        if _look_up(name, units) is not None:
            hint = '; for a volume write "fl oz"' if (dimension, other) == ("volume", "mass") else ""
            raise UnitError(
                f'"{written}" is a unit of {other}, but {_article(dimension)} {dimension} is needed here, '
                f"{_such_as(dimension)}{hint}"
            )
    if name.lower() == "gr":
        raise UnitError('"gr" may mean gram or grain; write "g" or "grain"')
    if re.match(r"(-|to\b) ?[0-9]", name):
        raise UnitError(
            f'"{written}" makes this a range; write its middle and how sure you are, as in "18.4 +- 0.2 g"'
        )
    near = get_close_matches(name, table, 1, 0.6)
    did_you_mean = f'did you mean "{near[0]}"?' if near else f"write it {_such_as(dimension)}"
    raise UnitError(f'"{written}" is not a unit of {dimension}; {did_you_mean}')


def _look_up(name: str, table: dict[str, _Unit]) -> _Unit | None:
    for spelling in (name, name.rstrip(".")):
        if spelling in table:
            return table[spelling]
    mega = len(name) == 2 and name[0] == "M" and name[1].islower()
    folded = name.rstrip(".").lower()
    return None if mega else next((unit for known, unit in table.items() if known.lower() == folded), None)


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"


def _such_as(dimension: str, number: str | None = None) -> str:
    number = number or _FEW.get(dimension, "12")
    forms = [f'"{number} {unit}"' for unit in _EXAMPLE[dimension][:2]]
    return "such as " + " or ".join(forms)


def _without_unit(raw: object, dimension: str) -> str:
    """What to say to a value that came without a unit or is no number at all."""
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        if not abs(raw) < 1e12:  # also catches NaN, and whole numbers too long to print
            return f"this is not a number that can be used; write a {dimension}, {_such_as(dimension)}"
        forms = [f'"{raw:.12g} {unit}"' for unit in _EXAMPLE[dimension]]
        return f"{_article(dimension)} {dimension} needs its unit; write {' or '.join(forms[:2])}"
    return f"{_article(dimension)} {dimension} is written as text with its unit, {_such_as(dimension)}"


_SHOWN: dict[str, dict[str, tuple[str, str]]] = {  # unit to show, and the one for a metre and more
    "metric": {
        "length": ("mm", "m"), "mass": ("g", "g"), "volume": ("mL", "mL"), "speed": ("m/s", "m/s"),
        "angle": ("deg", "deg"), "temperature": ("C", "C"), "density": ("g/cm3", "g/cm3"),
        "salinity": ("g/kg", "g/kg"), "force": ("N", "N"), "time": ("s", "s"), "factor": ("x", "x"),
    },
    "us": {
        "length": ("in", "ft"), "mass": ("oz", "oz"), "volume": ("fl oz", "fl oz"), "speed": ("ft/s", "ft/s"),
        "angle": ("deg", "deg"), "temperature": ("F", "F"), "density": ("g/cm3", "g/cm3"),
        "salinity": ("g/kg", "g/kg"), "force": ("lbf", "lbf"), "time": ("s", "s"), "factor": ("x", "x"),
    },
}  # fmt: skip


def show(value: float, dimension: str, system: str = "metric", digits: int = 3) -> str:
    """A value as `parse` holds it, as text to `digits` figures with its unit; `system` is metric or us.

    >>> show(0.0221, "mass"), show(0.0221, "mass", "us"), show(2.1, "length", "us")
    ('22.1 g', '0.780 oz', '6.89 ft')
    """
    unit = _SHOWN[system][dimension][abs(value) >= 1.0]
    scale, offset = UNITS[dimension][unit]
    number = (value - offset) / scale
    if number == 0 or not math.isfinite(number):
        return f"{abs(number):g} {unit}"
    places = max(0, digits - 1 - math.floor(math.log10(abs(number))))
    return f"{number:.{places}f} {unit}"
