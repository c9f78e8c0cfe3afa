"""What the page offers where no file is open: designs to start from. All are inventions of this project."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import numpy as np

from sim.design.edit import edited
from sim.design.load import DesignError, read
from sim.design.model import Design
from sim.design.paths import leaves
from sim.design.starter import STARTER
from sim.page.fields import fields, written

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

PRINTED = """\
# A printed body, from the mesh of the drawing program. All numbers are inventions: weigh yours, dunk it.
name = "Printed body"

[water]
kind = "fresh"
temperature = "18 C"
depth = "3 m"

[body.main]
shape = "mesh"
file = "{file}"
# units = "mm"                 # of the mesh, where its size does not tell
nose_along = "{nose}"              # the mesh's axis that points to the nose
back_along = "{back}"              # the mesh's axis that points out of the back
density = "1.24 g/cm3"         # of the plastic
wall = "1.2 mm"
infill = 15                    # percent
# weight = "8.0 +- 0.1 g"      # better: the bare body on the scale
# displaced = "12 +- 0.5 mL"   # and dunked

[tie_on.nose]
at = {{ back = "1 mm" }}

[hook.tail]
at = {{ back = "58 mm" }}
weight = "1.4 g"
size = "18 mm"

[ballast.belly]
at = {{ back = "24 mm", up = "-5 mm" }}
weight = "2.0 g"

[retrieve]
speeds = ["0.4 m/s", "0.8 m/s"]
"""

STARTS = {
    "carved": "a carved wooden body with a lip",
    "found": "a found hollow thing",
    "blade": "a blade of sheet, bent",
    "printed": "a printed body: an example mesh is written beside it",
}
"""Name of a start -> what it is."""
MESHES = (".stl", ".obj", ".ply", ".3mf")

_TEXTS = {"carved": STARTER, "found": FOUND, "blade": BLADE}

_BLADES = ("plate.front", "plate.rear")


class Own(NamedTuple):
    """A number of the maker's own for a start: the keys that take it, and whether it is a reading.

    A reading that is left out is not known, and the example's must not stand for it.
    """

    label: str
    paths: tuple[str, ...]
    reading: bool = False


OWN = {
    "carved": (
        *(Own(size, (f"body.main.{size}",)) for size in ("length", "width", "height", "material")),
        Own("weight", ("body.main.weight",), True),
        Own("angle of the lip", ("plate.lip.angle",)),
    ),
    "found": (
        *(Own(size, (f"body.main.{size}",)) for size in ("length", "width", "height")),
        *(Own(reading, (f"body.main.{reading}",), True) for reading in ("weight", "cavity", "displaced")),
    ),
    "blade": (
        Own("length, front", ("plate.front.length", "plate.rear.root.back")),
        Own("length, rear", ("plate.rear.length",)),
        *(
            Own(key, tuple(f"{plate}.{key}" for plate in _BLADES))
            for key in ("width", "thickness", "material")
        ),
        Own("angle of the bend", ("plate.rear.angle",)),
    ),
}
"""Name of a start -> what a maker has measured of a thing of the kind."""


def asks(name: str) -> list[dict[str, str]]:
    """What is asked of a start, with the help and example of the file's own keys."""
    if name not in OWN:
        return []
    rows = {row["path"]: row for group in fields(_TEXTS[name]) for row in group["rows"]}
    told = [(one.label, rows[one.paths[0]]) for one in OWN[name]]
    return [
        {"key": label, "label": label, "help": row["help"], "example": row["value"] or row["example"]}
        for label, row in told
    ]


def with_own(name: str, own: Mapping[str, str]) -> str:
    """The text of a start with the maker's numbers; what sits at a part's end or edge goes along with its size.

    Raises:
        KeyError: a number that cannot be put in.
    """
    text = _TEXTS[name]
    if not any(value.strip() for value in own.values()):
        return text
    example = read(text, name)
    changes: dict[str, str | None] = {}
    for one in OWN[name]:
        value = own.get(one.label, "").strip()
        if value or one.reading:
            changes |= dict.fromkeys(one.paths, value or None)
    text = edited(text, changes)
    with suppress(DesignError):  # whoever opens it is told of it
        along = dict(_along(example, read(text, name)))
        text = edited(text, {path: value for path, value in along.items() if path not in changes})
    return text


def _along(old: Design, new: Design) -> Iterator[tuple[str, str]]:
    """Every place, moved as its sizes were: `back` with the length, `up` with the height."""
    was, now = _extent(old), _extent(new)
    for path, quantity in leaves(old).items():
        key = path.rpartition(".")[2]
        share = {"back": now[0] / was[0], "up": now[1] / was[1] if was[1] else 1.0}.get(key, 1.0)
        if share != 1.0 and quantity.value and not path.startswith("body."):
            yield path, written("", share * quantity.value, "length")


def _extent(design: Design) -> tuple[float, float]:
    """Length and height of what a start's places are counted along, m."""
    if design.body:
        main = design.body["main"]
        assert main.length
        assert main.height
        return main.length.value, main.height.value
    return sum(plate.length.value for plate in design.plate.values()), 0.0


def demos(folder: Path) -> dict[str, Path]:
    """The demo designs that lie in the folder, with the source or where they were installed, by name."""
    for place in (folder, Path(__file__).parents[2], Path(sys.prefix) / "share" / "drytank"):
        found = {
            path.stem: path
            for path in sorted((place / "scenarios").glob("*.toml"))
            if not path.name.endswith(".log.toml")
        }
        if found:
            return found
    return {}


def meshes(folder: Path) -> list[str]:
    """Names of the meshes that lie in a folder."""
    return sorted(path.name for path in folder.iterdir() if path.suffix.lower() in MESHES and path.is_file())


def start_texts(name: str, file: str, mesh: str = "", own: Mapping[str, str] | None = None) -> dict[str, str]:
    """The files of a start: name -> text.

    Args:
        file: name of the design. mesh: one that is there, for a printed body. own: the maker's numbers, by label.

    Raises:
        KeyError: there is none of that name.
    """
    if name != "printed":
        return {file: with_own(name, own or {})}
    if mesh:
        return {file: PRINTED.format(file=mesh, nose="+x", back="+z")}
    example = f"{Path(file).stem}.stl"
    return {file: PRINTED.format(file=example, nose="+x", back="+z"), example: example_mesh()}


def example_mesh(around: int = 32, along: int = 40) -> str:
    """A small body as an STL text, 64 mm long, nose toward +x, back toward +z; deepest before its middle."""
    share = np.linspace(0.0, 1.0, along + 1)
    girth = (
        np.sqrt(np.clip(share * (1.0 - share) ** 1.4, 0.0, None)) * 2.55
    )  # half of the width at 1 for 8 mm
    turn = 2.0 * np.pi * np.arange(around) / around
    rings = np.empty((along + 1, around, 3))
    rings[..., 0] = -64.0 * share[:, None]
    rings[..., 1] = 6.5 * girth[:, None] * np.cos(turn)
    rings[..., 2] = 8.5 * girth[:, None] * np.sin(turn)
    facets = []
    for k in range(along):
        for j in range(around):
            a, b = rings[k, j], rings[k, (j + 1) % around]
            c, d = rings[k + 1, (j + 1) % around], rings[k + 1, j]
            facets += [(a, b, d)] * (k > 0) + [(b, c, d)] * (k < along - 1)
    lines = ["solid example"]
    for facet in facets:
        corners = "".join(f"vertex {p[0]:.4f} {p[1]:.4f} {p[2]:.4f}\n" for p in facet)
        lines.append(f"facet normal 0 0 0\nouter loop\n{corners}endloop\nendfacet")
    return "\n".join([*lines, "endsolid example\n"])
