"""Reads mesh files: STL by itself, OBJ, PLY and 3MF through trimesh. Bounded in size, whatever is in them."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.design.shapes import LARGEST_MESH, mesh_file_problem
from sim.lure.mesh_count import MOST_FACES, SIMPLER, check_3mf, few_enough, obj_bodies, ply_rows
from sim.lure.profile import Array, BuildError

LEAST_FACES = 4  # a tetrahedron
INSTALL = 'pip install "drytank[mesh]"'

_HEADER, _FACE = 84, 50  # bytes of a binary STL's head and of each of its faces
_NUMBER = rb"[-+.0-9eEdDinfaINFA]{1,40}"
_VERTEX = re.compile(rb"vertex\s+(" + _NUMBER + rb")\s+(" + _NUMBER + rb")\s+(" + _NUMBER + rb")")
_UNITS = {
    "micron": 1e-6, "millimeter": 1e-3, "millimeters": 1e-3, "centimeter": 1e-2, "centimeters": 1e-2,
    "inch": 0.0254, "inches": 0.0254, "foot": 0.3048, "feet": 0.3048, "meter": 1.0, "meters": 1.0,
}  # fmt: skip


class Soup(NamedTuple):
    """Triangles as the file has them."""

    corners: Array  # (m, 3, 3), in the file's own numbers
    unit: float | None  # m, where the file tells it


def read_mesh(key: str, file: str) -> Soup:
    """The triangles of a mesh file.

    Args:
        key: of the design, for messages.

    Raises:
        BuildError: what cannot be read, or is too large, with the way out.
    """
    path = Path(file)
    said = mesh_file_problem(file)
    try:
        soup = _read(path) if said is None else None
    except (OSError, MemoryError) as fault:
        said = f"this cannot be read ({getattr(fault, 'strerror', None) or 'too little memory'})"
    except ValueError as fault:
        said = str(fault)
    if said is None and soup is not None:
        count = len(soup.corners)
        if count < LEAST_FACES:
            said = (
                f"this has {count} faces, and to enclose anything takes {LEAST_FACES}; export the whole body, "
                "as a solid, from your drawing program"
            )
        elif not np.all(np.isfinite(soup.corners)):
            said = "some of its corners are no numbers; export it again"
        else:
            return soup
    raise BuildError(f'{key} = "{path.name}": {said}')


def _read(path: Path) -> Soup:
    if path.suffix.lower() == ".stl":
        with path.open("rb") as file:
            return Soup(_stl(file.read(LARGEST_MESH + 1)), None)
    return _by_trimesh(path)


def _stl(data: bytes) -> Array:
    """Triangles of an STL text or binary.

    Raises:
        ValueError: neither, or cut short.
    """
    count = int.from_bytes(data[_HEADER - 4 : _HEADER], "little") if len(data) >= _HEADER else 0
    told = _HEADER + count * _FACE
    if len(data) >= _HEADER and len(data) == told:
        few_enough(count)
        layout = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
        return np.frombuffer(data, layout, count, _HEADER)["corners"].astype(np.float64)
    if data.lstrip()[:5].lower() == b"solid" and b"facet" in data[:4096].lower():
        return _stl_text(data)
    if len(data) > _HEADER:
        raise ValueError(
            f"this is no sound STL file: its head tells of {count} faces, which take {told} bytes, and it has "
            f"{len(data)}; it was cut short or is of another format: export it again"
        )
    raise ValueError("this is no STL file; export it again, as STL")


def _stl_text(data: bytes) -> Array:
    rows = []
    for match in _VERTEX.finditer(data):
        rows.append(match.groups())
        if len(rows) > 3 * MOST_FACES:
            raise ValueError(f"this has more than {MOST_FACES} faces, the most that is read; {SIMPLER}")
    if len(rows) % 3 or len(rows) != data.count(b"vertex"):
        raise ValueError("this STL text is cut short or damaged; export it again")
    try:
        return np.array(rows, dtype=np.float64).reshape(-1, 3, 3)
    except ValueError as fault:
        raise ValueError("some of the corners in this STL text are no numbers; export it again") from fault


def _by_trimesh(path: Path) -> Soup:
    """Triangles of an OBJ, PLY or 3MF file.

    Raises:
        ValueError: trimesh is not installed, or cannot make sense of the file.
    """
    kind = path.suffix.lower()[1:]
    data = _counted(path, kind)
    try:
        import trimesh
    except ImportError as missing:
        raise ValueError(
            f"reading {kind.upper()} files takes trimesh, which is not installed; run {INSTALL}, or export the "
            "body as STL"
        ) from missing
    options: dict[str, Any] = {"skip_materials": True} if kind == "obj" else {}
    try:
        scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False, **options)
        mesh = scene.to_mesh()
    except ImportError as missing:
        raise ValueError(
            f"reading {kind.upper()} files takes {missing.name}, which is not installed; run {INSTALL}"
        ) from missing
    except MemoryError:
        raise
    except Exception as fault:  # whatever a damaged file makes of the reader
        raise ValueError(f"this cannot be read as {kind.upper()}; export it again, or as STL") from fault
    faces = np.asarray(getattr(mesh, "faces", np.zeros((0, 3))), dtype=np.int64).reshape(-1, 3)
    few_enough(len(faces))
    vertices: NDArray[Any] = np.asarray(getattr(mesh, "vertices", np.zeros((0, 3))), dtype=np.float64)
    if vertices.ndim != 2 or vertices.shape[1] != 3:
        raise ValueError(f"corners of this {kind.upper()} file have not three numbers each; export it again")
    if len(faces) and (faces.min() < 0 or faces.max() >= len(vertices)):
        raise ValueError(f"this {kind.upper()} file names corners that it does not have; export it again")
    units = (getattr(mesh, "units", None) or getattr(scene, "units", None)) if kind == "3mf" else None
    return Soup(vertices[faces], _UNITS.get(str(units).lower()))


def _counted(path: Path, kind: str) -> bytes:
    """What is in a file, if it takes neither long nor much memory to read.

    Raises:
        ValueError: it would, or it is not of its kind.
    """
    if kind == "3mf":
        check_3mf(path)
    with path.open("rb") as file:
        data = file.read(LARGEST_MESH + 1)
    return {"obj": obj_bodies, "ply": ply_rows}.get(kind, bytes)(data)
