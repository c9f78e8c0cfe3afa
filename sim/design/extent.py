"""How far a design reaches: the box around its parts, good enough to catch slips, without building it."""

from __future__ import annotations

from sim.design.model import Design
from sim.design.parts import Body, Place, Plate
from sim.design.plate_axes import cos_sin, plate_axes

Point = tuple[float, float, float]  # back, up, left, m
Span = tuple[float, float]  # low, high, m


def point(place: Place) -> Point:
    """A place as (back, up, left), m."""
    return place.back.value, place.up.value, place.left.value


def outer_sizes(body: Body) -> tuple[float, float, float] | None:
    """Largest length, width and height, m; None where the design does not tell them."""
    if body.shape == "stations":
        rows = body.stations
        if len(rows) < 2:
            return None
        length = rows[-1].back.value - rows[0].back.value
        return length, max(r.width.value for r in rows), max(r.height.value for r in rows)
    if body.shape == "outline":
        if not body.side or not body.top:
            return None
        lefts, ups, backs = (
            [p.left.value for p in body.top],
            [p.up.value for p in body.side],
            [p.back.value for p in body.side],
        )
        half = min(lefts) >= 0.0 or max(lefts) <= 0.0
        width = 2 * max(map(abs, lefts)) if half else max(lefts) - min(lefts)
        return max(backs) - min(backs), width, max(ups) - min(ups)
    if body.shape == "mesh":
        return None  # only its file knows
    if body.length is None or body.width is None or body.height is None:
        return None
    return body.length.value, body.width.value, body.height.value


def extent(design: Design) -> tuple[Span, Span, Span] | None:
    """The box around all parts, tie-on points aside, as (low, high) of back, up, left, m.

    None if there is nothing, or if a body is a mesh, whose size only its file knows.
    """
    if any(body.shape == "mesh" for body in design.body.values()):
        return None
    points = [p for body in design.body.values() for p in _corners(body)]
    for plate in design.plate.values():
        points += _both_sides(_plate_corners(plate), plate.mirrored)
    for wire in design.wire.values():
        points += _both_sides([point(wire.start), point(wire.end)], wire.mirrored)
    for group in (design.hook, design.fitting, design.ballast):
        for part in group.values():
            points += _both_sides([point(part.at)], part.mirrored)
    if not points:
        return None
    backs, ups, lefts = zip(*points, strict=True)
    return (min(backs), max(backs)), (min(ups), max(ups)), (min(lefts), max(lefts))


def _corners(body: Body) -> list[Point]:
    sizes = outer_sizes(body)
    if sizes is None:
        return []
    length, width, height = sizes
    begin, middle = 0.0, 0.0
    if body.shape == "stations":
        begin = body.stations[0].back.value
    elif body.shape == "outline":
        begin = min(p.back.value for p in body.side)
        middle = max(p.up.value for p in body.side) - 0.5 * height
    cos, sin = cos_sin(body.angle.value)
    back, up, left = point(body.at)
    corners = [
        (back + s * cos - h * sin, up - s * sin + h * cos, left + side)
        for s in (begin, begin + length)
        for h in (middle - height / 2, middle + height / 2)
        for side in (-width / 2, width / 2)
    ]
    return _both_sides(corners, body.mirrored)


def _plate_corners(plate: Plate) -> list[Point]:
    """The four corners, the sheet taken as thin."""
    along, across = plate_axes(plate)
    root, length, half = point(plate.root), plate.length.value, plate.width.value / 2
    corners = []
    for far in (0.0, length):
        for side in (-half, half):
            toward, left, up = (far * a + side * c for a, c in zip(along, across, strict=True))
            corners.append((root[0] - toward, root[1] + up, root[2] + left))
    return corners


def _both_sides(points: list[Point], mirrored: bool) -> list[Point]:
    return points + [(back, up, -left) for back, up, left in points] if mirrored else points
