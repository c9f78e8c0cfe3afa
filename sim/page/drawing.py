"""A lure as the bench draws it: outlines from three sides, where it floats, and the handles that a maker moves.

Plain data in metres and lure axes; the page turns them to its own scale and knows no units of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np

from sim.design.model import Design
from sim.design.parts import Body, Place, Plate
from sim.design.paths import leaves
from sim.elements import Hull
from sim.lure.lure import Lure
from sim.show.outline import FRONT, SIDE, TOP, plates, silhouette, wires
from sim.trials.results import FloatResult

VIEWS = {"side": SIDE, "top": TOP, "front": FRONT}
FORWARD = "lip"  # the one role of a plate that points forward
HANGING = ("hook", "fitting", "ballast")


def drawing(design: Design, lure: Lure, sits: FloatResult | None) -> dict[str, Any]:
    """What is drawn of a built design, with how it `sits` in its own water."""
    flat = plates(lure)
    return {
        "views": {
            name: {
                "bodies": [
                    _outline(hull.vertices.tobytes(), hull.faces.tobytes(), name) for hull in lure.hulls
                ],
                "plates": [_points(view.seen(rim)) for rim in flat],
                "wires": [_points(view.seen(ends)) for ends in wires(lure)],
                "right": view.right.tolist(),
                "up": view.up.tolist(),
            }
            for name, view in VIEWS.items()
        },
        "nose_to_tail": [float(x) for x in lure.nose_to_tail],
        "gravity": _point(lure.centre),
        "buoyancy": _point(lure.centre_volume),
        "hangs": [
            {"kind": part.kind, "at": _point(part.centre)} for part in lure.parts if part.kind in HANGING
        ],
        "rest": sits and _rest(sits),
        "handles": list(handles(design)),
    }


def _rest(sits: FloatResult) -> dict[str, Any] | None:
    height = sits.origin_height_mm
    if not sits.up_in_body:
        return None
    return {"up": sits.up_in_body, "height": None if height is None else 1e-3 * height}


@lru_cache(maxsize=64)
def _outline(vertices: bytes, faces: bytes, view: str) -> list[list[list[float]]]:
    """The silhouette of a hull, kept: what is dragged is seldom the body."""
    hull = Hull(
        np.frombuffer(vertices, dtype=np.float64).reshape(-1, 3),
        np.frombuffer(faces, dtype=np.int64).reshape(-1, 3),
    )
    return [_points(loop) for loop in silhouette(hull, VIEWS[view])]


def handles(design: Design) -> Iterator[dict[str, Any]]:
    """Everything that can be taken hold of: where it is (lure axes, m) and which keys it moves.

    `place` handles move a point: `moves` names the keys for back, up and left. `size` handles stretch: `along` is
    the direction in which `path` grows, at `per` metres of handle for one of the value. `tip` handles are the free
    edge of a plate: they turn its angle and set its length about `root`.
    """
    for name in design.tie_on:
        yield _place(f"tie_on.{name}.at", "tie-on", name, design.tie_on[name].at)
    for group in HANGING:
        for name, part in getattr(design, group).items():
            yield _place(f"{group}.{name}.at", group, name, part.at)
    for name, plate in design.plate.items():
        yield _place(f"plate.{name}.root", "plate", name, plate.root)
        yield from _plate(name, plate)
    for name, body in design.body.items():
        yield from _body(name, body)


def _place(path: str, kind: str, name: str, at: Place) -> dict[str, Any]:
    point = [-at.back.value + 0.0, at.left.value, at.up.value]
    return {
        "id": path,
        "kind": kind,
        "does": "place",
        "label": f"{kind} {name}",
        "at": point,
        "moves": {key: f"{path}.{key}" for key in ("back", "up", "left")},
    }


def _plate(name: str, plate: Plate) -> Iterator[dict[str, Any]]:
    root = np.array([-plate.root.back.value, plate.root.left.value, plate.root.up.value])
    way = 1.0 if plate.role == FORWARD else -1.0
    angle = plate.angle.value
    along = np.array([way * np.cos(angle), 0.0, -np.sin(angle)])
    path = f"plate.{name}"
    if plate.role != "fin":
        yield {
            "id": f"{path}.tip",
            "kind": "plate",
            "does": "tip",
            "label": f"free edge of {name}",
            "at": _point(root + plate.length.value * along),
            "root": _point(root),
            "way": way,
            "moves": {"angle": f"{path}.angle", "length": f"{path}.length"},
        }
    middle = root + 0.5 * plate.length.value * along
    yield _stretch(f"{path}.width", f"width of {name}", middle, np.array([0.0, 1.0, 0.0]), plate.width.value)


def _body(name: str, body: Body) -> Iterator[dict[str, Any]]:
    path, nose = f"body.{name}", np.array([-body.at.back.value, body.at.left.value, body.at.up.value])
    up, left = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    if body.shape == "ellipsoid" and body.length and body.width and body.height:
        middle = nose - np.array([0.5 * body.length.value, 0.0, 0.0])
        yield {
            **_stretch(
                f"{path}.length", f"length of {name}", nose, np.array([-1.0, 0.0, 0.0]), body.length.value
            ),
            "at": _point(nose - np.array([body.length.value, 0.0, 0.0])),
            "per": 1.0,
        }
        yield _stretch(f"{path}.height", f"height of {name}", middle, up, body.height.value)
        yield _stretch(f"{path}.width", f"width of {name}", middle, left, body.width.value)
    for k, station in enumerate(body.stations if body.shape == "stations" else ()):
        at = nose + np.array([-station.back.value, 0.0, station.up.value])
        for key, way, size in (("height", up, station.height.value), ("width", left, station.width.value)):
            yield _stretch(f"{path}.stations.{k}.{key}", f"{key} of {name} at station {k + 1}", at, way, size)
    for key, points, across in (("side", body.side, "up"), ("top", body.top, "left")):
        for k, point in enumerate(points if body.shape == "outline" else ()):
            yield {
                **_place(f"{path}.{key}.{k}", "outline", f"{k + 1} of {name}, {key}", point),
                "at": _point(nose + np.array([-point.back.value, point.left.value, point.up.value])),
                "moves": {
                    "back": f"{path}.{key}.{k}.back",
                    across: f"{path}.{key}.{k}.{across}",
                },
                "from": _point(nose),
                "only": key,
            }


def _stretch(path: str, label: str, middle: Any, along: Any, size: float) -> dict[str, Any]:
    return {
        "id": path,
        "kind": "size",
        "does": "size",
        "label": label,
        "at": _point(middle + 0.5 * size * along),
        "from": _point(middle),
        "along": _point(along),
        "per": 0.5,
        "path": path,
    }


def sizes(design: Design) -> dict[str, float]:
    """The SI value of every quantity by its path."""
    return {path: quantity.value for path, quantity in leaves(design).items()}


def _point(values: Any) -> list[float]:
    return [round(float(v), 6) + 0.0 for v in values]


def _points(values: Any) -> list[list[float]]:
    return [_point(row) for row in values]
