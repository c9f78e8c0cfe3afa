"""A body and all places on it, larger or smaller: what the file says then."""

from __future__ import annotations

from collections.abc import Iterator

from sim.design.model import Design
from sim.design.parts import Body, Place


def scaled(design: Design, factor: float) -> dict[str, str]:
    """Sizes of the bodies and places of all parts, times `factor`, to half a millimetre.

    Sheets, wires, walls, hooks and weights keep their own sizes. Empty where a body exists already, because it
    has been weighed, dunked or filled, and where a mesh does not tell its length.
    """
    bodies = design.body.values()
    existing = ("weight", "displaced", "cavity", "fill_weight", "water_fill", "level", "cup", "immersion")
    if (
        not design.body
        or design.assembly
        or any(getattr(body, key) is not None for body in bodies for key in existing)
    ):
        return {}
    if any(body.shape == "mesh" and body.length is None for body in bodies):
        return {}
    sizes: dict[str, float] = {}
    for name, body in design.body.items():
        sizes |= dict(_outside(f"body.{name}", body))
        sizes |= dict(_place(f"body.{name}.at", body.at))
    for group in ("hook", "fitting", "ballast", "tie_on"):
        for name, part in getattr(design, group).items():
            sizes |= dict(_place(f"{group}.{name}.at", part.at))
    for name, plate in design.plate.items():
        sizes |= dict(_place(f"plate.{name}.root", plate.root))
    for name, wire in design.wire.items():
        sizes |= dict(_place(f"wire.{name}.start", wire.start)) | dict(_place(f"wire.{name}.end", wire.end))
    for name, rattle in design.rattle.items():
        sizes |= dict(_place(f"rattle.{name}.front", rattle.front))
        sizes |= dict(_place(f"rattle.{name}.rear", rattle.rear))
    return {path: _halves(factor * value) for path, value in sizes.items() if value != 0.0}


def _halves(metres: float) -> str:
    return f"{0.5 * round(2e3 * metres) + 0.0:g} mm"


def _place(path: str, place: Place) -> Iterator[tuple[str, float]]:
    for axis in ("back", "up", "left"):
        yield f"{path}.{axis}", getattr(place, axis).value


def _outside(path: str, body: Body) -> Iterator[tuple[str, float]]:
    for key in ("length", "width", "height"):
        if getattr(body, key) is not None:
            yield f"{path}.{key}", getattr(body, key).value
    for k, row in enumerate(body.stations):
        for key in ("back", "width", "height", "up"):
            yield f"{path}.stations.{k}.{key}", getattr(row, key).value
    for view in ("side", "top"):
        for k, point in enumerate(getattr(body, view)):
            yield from _place(f"{path}.{view}.{k}", point)
