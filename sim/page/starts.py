"""What the page offers where no file is open: designs to start from. All are inventions of this project."""

from __future__ import annotations

from pathlib import Path

from sim.design.starter import STARTER

FOUND = """\
# A found thing, hollow, to be made into a lure. All numbers are inventions: weigh yours, fill its hollow with
# water, dunk it.
name = "Found thing"

[water]
kind = "fresh"
temperature = "18 C"
depth = "3 m"

[body.main]
shape = "ellipsoid"
length = "45 mm"
width = "30 mm"
height = "26 mm"
weight = "9.0 +- 0.2 g"        # empty and dry, on the scale
cavity = "11 +- 0.5 mL"        # what its hollow holds
displaced = "19 +- 0.5 mL"     # what it pushes aside, dunked with the hollow closed

[tie_on.nose]
at = { back = "0 mm", up = "2 mm" }

[hook.tail]
at = { back = "45 mm", up = "-3 mm" }
weight = "1.4 g"
size = "18 mm"

[ballast.belly]
at = { back = "22 mm", up = "-10 mm" }
weight = "2.0 g"

[retrieve]
speeds = ["0.4 m/s", "0.8 m/s"]
"""

BLADE = """\
# A blade cut from sheet and bent: a spoon without a body. All sizes are inventions: measure yours.
name = "Bent blade"

[water]
kind = "fresh"
temperature = "18 C"
depth = "4 m"

[plate.front]
role = "spoon"
root = { back = "0 mm" }
length = "26 mm"
width = "18 mm"
thickness = "1.0 mm"
angle = "0 deg"
material = "brass"

[plate.rear]
role = "spoon"
root = { back = "26 mm" }
length = "26 mm"
width = "18 mm"
thickness = "1.0 mm"
angle = "18 deg"
material = "brass"

[tie_on.nose]
at = { back = "1 mm" }

[hook.tail]
at = { back = "50 mm", up = "-8 mm" }
weight = "1.2 g"
size = "16 mm"

[retrieve]
speeds = ["0.4 m/s", "0.8 m/s"]
"""

STARTS = {
    "carved": "a carved wooden body with a lip",
    "found": "a found hollow thing",
    "blade": "a blade of sheet, bent",
}
"""Name of a start -> what it is."""

_TEXTS = {"carved": STARTER, "found": FOUND, "blade": BLADE}


def demos(folder: Path) -> dict[str, Path]:
    """The demo designs that lie with the source or in the folder, by name."""
    for place in (folder / "scenarios", Path(__file__).parents[2] / "scenarios"):
        found = {
            path.stem: path for path in sorted(place.glob("*.toml")) if not path.name.endswith(".log.toml")
        }
        if found:
            return found
    return {}


def start_text(name: str) -> str:
    """The text of a start.

    Raises:
        KeyError: there is none of that name.
    """
    return _TEXTS[name]
