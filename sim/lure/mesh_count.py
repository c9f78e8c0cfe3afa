"""Counts what is in a mesh file before a general reader is let at it: faces, corners, instances, all formats alike."""

from __future__ import annotations

import re
import zipfile
import zlib
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any
from xml.parsers import expat

from sim.design.shapes import LARGEST_MESH

MOST_FACES = 200_000
MOST_CORNERS = 3 * MOST_FACES  # every face with corners of its own
MOST_PLACED = 1_000  # copies of objects that a 3MF file may place
LONGEST_HEAD = 65_536  # bytes of a PLY file's head
MOST_IN_A_ROW = 20  # numbers in a row of a PLY text, on the average
SIMPLER = (
    "a lure is well told by 5 000 to 20 000 faces: simplify (decimate) the mesh in your mesh program and "
    "export it as binary STL"
)

_BLANKS = bytes.maketrans(b"\t\v\f", b"   ")
_OBJ_LINE = re.compile(rb"^ *([vf] [^\n]*)", re.MULTILINE)


def few_enough(faces: int, corners: int = 0) -> None:
    """Accept so many faces and corners, or refuse them.

    Raises:
        ValueError: too many.
    """
    if faces > MOST_FACES:
        raise ValueError(
            f"this has {_many(faces)} faces and {MOST_FACES} is the most that is read; {SIMPLER}"
        )
    if corners > MOST_CORNERS:
        raise ValueError(
            f"this has {_many(corners)} corners and {MOST_CORNERS} is the most that is read; {SIMPLER}"
        )


def _many(count: int) -> str:
    return str(count) if count < 10**12 else "more than a million million"


def obj_bodies(data: bytes) -> bytes:
    """The corners and faces of an OBJ file, a line each, without whatever else it has.

    Raises:
        ValueError: too many.
    """
    text = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\\\n", b" ").translate(_BLANKS)
    faces = corners = 0
    rows = []
    for match in _OBJ_LINE.finditer(text):
        row = match[1]
        if row.startswith(b"v"):
            corners += 1
        else:
            faces += max(len(row.split()) - 3, 1)
        rows.append(row)
        if faces > MOST_FACES or corners > MOST_CORNERS:
            # so many that the rest is counted roughly
            faces += text.count(b"\nf ", match.end())
            few_enough(faces, corners)
    return b"\n".join(rows)


def ply_rows(data: bytes) -> bytes:
    """A PLY file as it is; one that is text without what stands below the rows that its head tells of.

    Raises:
        ValueError: too many rows, or no head.
    """
    end = re.search(rb"^end_header[ \t]*\r?(?:\n|$)", data[:LONGEST_HEAD], re.MULTILINE)
    if end is None:
        raise ValueError("this is no PLY file (its head has no end); export it again")
    head = data[: end.end()].decode("ascii", "replace").split("\n")
    rows = 0
    for words in (line.split() for line in head):
        if words[:1] == ["element"]:
            if len(words) != 3 or not re.fullmatch("[0-9]{1,18}", words[2]):
                raise ValueError("this PLY file does not tell how much is in it; export it again")
            count = int(words[2])
            few_enough(count if words[1] == "face" else 0, count)
            rows += count
    if not any(words[:2] == ["format", "ascii"] for words in (line.split() for line in head)):
        return data
    at = end.end()
    for _ in range(rows):
        at = data.find(b"\n", at) + 1
        if not at:
            at = len(data)
            break
    body = data[end.end() : at]
    if body.count(b" ") + body.count(b"\t") > MOST_IN_A_ROW * rows + 1000:
        raise ValueError(f"the rows of this PLY file are too long for faces and corners; {SIMPLER}")
    return data[:at]


class _Model:
    """What one model file of a 3MF archive holds, counted as it is parsed."""

    def __init__(self) -> None:
        self.faces: Counter[str] = Counter()  # of the mesh of each object, by its id
        self.every_face = self.corners = 0
        self.parts: dict[str, Counter[tuple[str, str]]] = defaultdict(
            Counter
        )  # (id, file) of each object's parts
        self.placed: Counter[str] = Counter()  # objects to be built
        self._within: list[str] = []

    def begin(self, tag: str, attributes: dict[str, Any]) -> None:
        name = tag.rpartition(":")[2]
        if name == "object":
            self._within.append(str(attributes.get("id", "")))
        elif name == "vertex":
            self.corners += 1
        elif name == "triangle":
            self.faces[self._within[-1] if self._within else ""] += 1
            self.every_face += 1
        elif name == "component" and self._within:
            file = next((v for k, v in attributes.items() if k.endswith("path")), "")
            self.parts[self._within[-1]][attributes.get("objectid", ""), file.strip("/")] += 1
        elif name == "item":
            self.placed[str(attributes.get("objectid", ""))] += 1
        few_enough(self.every_face, self.corners)

    def end(self, tag: str) -> None:
        if tag.rpartition(":")[2] == "object":
            self._within.pop()


def check_3mf(path: Path) -> None:
    """Refuse a 3MF file that unpacks to too much or builds too much of what is in it.

    Raises:
        ValueError: saying which, or that it is no sound archive.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            # no more of an entry is ever unpacked than its head tells, so the heads can be trusted
            size = sum(entry.file_size for entry in entries)
            if size > LARGEST_MESH:
                raise ValueError(
                    f"this would unpack to {size / 1e6:.0f} MB and {LARGEST_MESH / 1e6:.0f} MB is the most that "
                    f"is read; {SIMPLER}"
                )
            models = {
                entry.filename: _counted(archive.read(entry))
                for entry in entries
                if entry.filename.lower().endswith(".model") or "3d/3dmodel.model" in entry.filename.lower()
            }
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, zlib.error) as fault:
        raise ValueError("this is no sound 3MF file (it is not a zip archive); export it again") from fault
    main = next((model for name, model in models.items() if "3d/3dmodel.model" in name.lower()), None)
    if main is None:
        raise ValueError("this 3MF file has no model in it; export it again")
    _few_enough_built(main, models)


def _counted(xml: bytes) -> _Model:
    model = _Model()
    parser = expat.ParserCreate()
    parser.StartElementHandler = model.begin
    parser.EndElementHandler = model.end
    parser.StartDoctypeDeclHandler = _no_doctype
    try:
        parser.Parse(xml, True)
    except expat.ExpatError as fault:
        raise ValueError("the model in this 3MF file is damaged; export it again") from fault
    return model


def _no_doctype(*_: Any) -> None:
    raise ValueError(
        "the model in this 3MF file defines words of its own, which no 3MF file may; export it again"
    )


def _few_enough_built(main: _Model, models: dict[str, _Model]) -> None:
    """Count what the items build, objects within objects multiplied out.

    Raises:
        ValueError: too many, or an object within itself.
    """
    faces = Counter(main.faces)
    for parts in main.parts.values():  # an object of another file is read once for each part that names it
        for (other, file), count in parts.items():
            if file in models:
                faces[other] += count * models[file].every_face
    few_enough(faces.total())
    counted: dict[str, tuple[int, int]] = {}

    def built(name: str, above: tuple[str, ...]) -> tuple[int, int]:
        """Faces and copies of one object with all its parts."""
        if name in above or len(above) > 50:
            raise ValueError("an object in this 3MF file is a part of itself; export it again")
        if name not in counted:
            total, copies = faces[name], 1
            for (other, _), count in main.parts.get(name, Counter()).items():
                more, placed = built(other, (*above, name))
                total, copies = total + count * more, copies + count * placed
            counted[name] = total, copies
        return counted[name]

    every = [(count, built(name, ())) for name, count in main.placed.items()]
    few_enough(sum(count * total for count, (total, _) in every))
    copies = sum(count * placed for count, (_, placed) in every)
    if copies > MOST_PLACED:
        raise ValueError(
            f"this places {_many(copies)} copies of its objects and {MOST_PLACED} is the most that is read; join them "
            "in your drawing program and export them as one"
        )
