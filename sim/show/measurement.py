"""What to measure to know an input better, in a maker's words."""

from __future__ import annotations

from sim.design.paths import PLACES

_TELLS = {
    "density": "Weigh a scrap of it dry and again hung in water (`drytank measure density`)",
    "fill_density": "Weigh a test block of the fill (`drytank measure cube`)",
    "cavity": "Fill it with water again on a finer scale (`drytank measure cavity`)",
    "fullness": "Hang it under in a cup of water on the scale (`drytank measure cup`)",
    "displaced": "Hang it under in a cup of water on the scale (`drytank measure cup`)",
    "temperature": "Put a thermometer in the water you fish",
    "salinity": "Find out how salt the water you fish is",
}
_SIZES = ("length", "width", "height", "up", "thickness", "diameter", "wall", "size", "left", "back")
_BY_PATH = {
    "line.diameter": "Wind ten turns of the line side by side on a rod and measure across them",
    "cast.speed": "Cast ten times and note how far they differ: that is your hand, not the lure",
    "cast.angle": "Cast ten times and note how far they differ: that is your hand, not the lure",
    "retrieve.tip": "Mark on the bank or the boat how high you hold the rod tip",
}


def measurement(path: str) -> str:
    """The measurement that tells the input at `path` best, without a full stop."""
    steps = path.split(".")
    last = steps[-1]
    if path in _BY_PATH:
        return _BY_PATH[path]
    if "weight" in last and steps[0] in ("body", "assembly", "measured"):
        return "Weigh it on a finer scale"
    if "weight" in last:
        return "Weigh it on a finer scale, or ten alike together (`drytank measure bulk`)"
    if last.startswith("balance"):
        return "Lay the finished lure on an edge again and mark where it balances"
    if any(step in PLACES for step in steps[2:-1]):
        return "Measure again where it sits, from the nose and from the middle line"
    if last in ("angle", "skew", "toe", "pitch", "roll", "bend"):
        return "Hold a card cut to the angle against it"
    if last in _SIZES and steps[0] == "body":
        return "Hang it under in a cup of water on the scale (`drytank measure cup`)"
    if last in _SIZES:
        return "Measure it again with a calliper, at more than one place"
    return _TELLS.get(last, "Measure it again")
