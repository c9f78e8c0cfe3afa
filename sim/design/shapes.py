"""What the four ways to tell a body's outside ask of its keys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sim.design.outline import CLOSEST, OutlineError, seen_from_side, seen_from_top
from sim.design.parts import Body
from sim.design.problems import LONGEST, Finding, nearest, printable, shown

Findings = Iterator[Finding]

EMPTY = 1e-12  # m2: a section with less inside counts as none
MESH_FORMATS = (".stl", ".obj", ".ply", ".3mf")
LARGEST_MESH = 60_000_000  # bytes, also once unpacked: some twenty times what a lure needs
OFF_AXIS = 0.02  # of the length: ends of the two views may lie so far apart

_ONLY = {
    "stations": ("stations",),
    "outline": ("side", "top"),
    "mesh": ("file", "units", "nose_along", "back_along"),
}
_SIDE_EXAMPLE = (
    'side = [{ back = "0 mm", up = "0 mm" }, { back = "30 mm", up = "11 mm" }, { back = "70 mm", up = "0 mm" }, '
    '{ back = "30 mm", up = "-9 mm" }]'
)
_TOP_EXAMPLE = 'top = [{ back = "0 mm" }, { back = "30 mm", left = "8 mm" }, { back = "70 mm" }]'


def shape_problems(path: tuple[str, str], body: Body) -> Findings:
    """Keys that are missing or do not fit together for the shape named."""
    yield from {"ellipsoid": _ellipsoid, "stations": _stations, "outline": _outline, "mesh": _mesh}[
        body.shape
    ](path, body)
    for shape, keys in _ONLY.items():
        if shape == body.shape or (shape == "stations" and body.shape == "ellipsoid"):
            continue  # the ellipsoid has its own words for stations
        for key in keys:
            if key in body.model_fields_set:
                value = getattr(body, key)
                yield Finding(
                    (*path, key),
                    shown(value),
                    f'this belongs to shape = "{shape}", and this body\'s shape is "{body.shape}"; change the '
                    "shape or leave this line out",
                )
    if body.infill is not None and (body.wall is None or body.cavity is not None):
        why = (
            'infill is what stands inside a printed wall; write the wall too, as in wall = "1.2 mm"'
            if body.wall is None
            else "a cavity measured with water is free of infill already; leave one of the two out"
        )
        yield Finding((*path, "infill"), shown(body.infill), why)


def _ellipsoid(path: tuple[str, str], body: Body) -> Findings:
    sizes = {"length": "70 mm", "width": "18 mm", "height": "22 mm"}
    missing = [key for key in sizes if getattr(body, key) is None]
    if body.stations:
        yield Finding(
            (*path, "stations"),
            "",
            'an ellipsoid has no stations; to use them write shape = "stations"'
            + ("" if missing else " and leave out length, width and height, or else leave them out"),
        )
    elif missing and not (body.file or body.side):
        lines = ", ".join(f'{key} = "{sizes[key]}"' for key in missing)
        yield Finding(path, "", f"an ellipsoid needs {_listed(missing)}; write for example {lines}")


def _stations(path: tuple[str, str], body: Body) -> Findings:
    yield from _no_sizes(
        path, body, ("length", "width", "height"), "a body of stations takes its {} from them"
    )
    rows = body.stations
    if len(rows) < 2:
        yield Finding(
            (*path, "stations"),
            "",
            f"there are {len(rows)} stations and it takes two or more, nose to tail; write for example "
            'stations = [{ back = "0 mm", width = "0 mm", height = "0 mm" }, '
            '{ back = "70 mm", width = "4 mm", height = "5 mm" }]',
        )
        return
    for k in range(1, len(rows)):
        if rows[k].back.value - rows[k - 1].back.value < CLOSEST:
            yield Finding(
                (*path, "stations", k, "back"),
                shown(rows[k].back.text),
                f'this is not behind the station before it, at "{printable(rows[k - 1].back.text)}"; list '
                "stations from nose to tail",
            )
    if all(row.width.value * row.height.value < EMPTY for row in rows):
        yield Finding(
            (*path, "stations"), "", "no station has both a width and a height, so there is nothing inside; "
            'write them, as in width = "14 mm", height = "18 mm"'
        )  # fmt: skip


def _outline(path: tuple[str, str], body: Body) -> Findings:
    yield from _no_sizes(path, body, ("length", "width", "height"), "an outline tells its own {}")
    views = {
        "side": (seen_from_side, [(p.back.value, p.up.value) for p in body.side], _SIDE_EXAMPLE),
        "top": (seen_from_top, [(p.back.value, p.left.value) for p in body.top], _TOP_EXAMPLE),
    }
    ends = []
    for key, (read, points, example) in views.items():
        try:
            lines = read(points)
        except OutlineError as fault:
            at: tuple[str | int, ...] = () if fault.at is None else (fault.at,)
            more = f"; write for example {example}" if fault.at is None else ""
            yield Finding((*path, key, *at), "", f"{fault}{more}" if more else fault.args[0])
            continue
        across = max(p[1] for p in lines.high) - min(p[1] for p in lines.low)
        if across < CLOSEST:
            yield Finding((*path, key), "", f"this outline encloses nothing; write for example {example}")
        ends.append((lines.high[0][0], lines.high[-1][0]))
    if len(ends) < 2:
        return
    (nose, tail), (other_nose, other_tail) = ends
    if max(abs(nose - other_nose), abs(tail - other_tail)) > OFF_AXIS * (tail - nose):
        yield Finding(
            (*path, "top"),
            "",
            f"from above the body reaches from {other_nose * 1e3:.4g} to {other_tail * 1e3:.4g} mm behind the "
            f"nose, but from the side from {nose * 1e3:.4g} to {tail * 1e3:.4g} mm; draw both views equally "
            "long",
        )


def _mesh(path: tuple[str, str], body: Body) -> Findings:
    if "exponent" in body.model_fields_set:
        yield Finding(
            (*path, "exponent"), shown(body.exponent), "a mesh tells its own sections; leave this line out"
        )
    yield from _no_sizes(path, body, ("width", "height"), "a mesh tells its own {}")
    if body.nose_along[1] == body.back_along[1]:
        yield Finding(
            (*path, "back_along"),
            shown(body.back_along),
            f"the nose points along {body.nose_along} of the file, so the back must point along another of its "
            f"axes; write for example {'+z' if body.nose_along[1] != 'z' else '+y'}",
        )
    if body.file is None:
        yield Finding(path, "", 'a mesh needs its file; write for example file = "body.stl"')
        return
    said = mesh_file_problem(body.file)
    if said is not None:
        yield Finding((*path, "file"), shown(Path(body.file).name), said)


def mesh_file_problem(file: str) -> str | None:
    """What is wrong with a mesh file as far as the folder can tell, in words; None if nothing is."""
    path = Path(file)
    if path.suffix.lower() not in MESH_FORMATS:
        return "a mesh file ends in .stl, .obj, .ply or .3mf; export it as STL from your drawing program"
    try:
        if not path.is_file():
            return f"there is no such file{_near(path)}; name it as seen from the design file's folder"
        size = path.stat().st_size
    except (OSError, ValueError):
        return "this file cannot be opened; check its name and who may read it"
    if size > LARGEST_MESH:
        return (
            f"this file has {size / 1e6:.0f} MB and {LARGEST_MESH / 1e6:.0f} MB is the most that is read; a lure "
            "is well told by 5 000 to 20 000 faces: simplify (decimate) the mesh and export it as binary STL"
        )
    return None


def _near(path: Path) -> str:
    """The file that was probably meant."""
    others = [other.name for other in path.parent.glob("*") if other.suffix.lower() in MESH_FORMATS]
    near = nearest(path.name, others)
    return f"; did you mean {printable(near, LONGEST)}?" if near else ""


def _no_sizes(path: tuple[str, str], body: Body, keys: tuple[str, ...], why: str) -> Findings:
    for key in keys:
        size = getattr(body, key)
        if size is not None:
            yield Finding((*path, key), shown(size.text), f"{why.format(key)}; leave this line out")


def _listed(words: list[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
