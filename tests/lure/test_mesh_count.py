"""What is in a mesh file is counted before it is read: small files that stand for much, and large ones for little."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import trimesh

from sim.design.parts import Body
from sim.lure import BuildError
from sim.lure.mesh import mesh_shape


def told(file: str) -> Body:
    return Body.model_validate({"shape": "mesh", "file": file, "density": "0.5 g/cm3"})


def refusal(file: str) -> str:
    with pytest.raises(BuildError) as caught:
        mesh_shape("body.main", told(file))
    assert "\n" not in str(caught.value)
    return str(caught.value)


TETRAHEDRON = (
    "<mesh><vertices>"
    + "".join(
        f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in ((0, 0, 0), (40, 0, 0), (0, 9, 0), (0, 0, 9))
    )
    + "</vertices><triangles>"
    + "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in ((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3))
    )
    + "</triangles></mesh>"
)


def model(folder: Path, resources: str, build: str, encoding: str = "utf-8") -> str:
    path = folder / "model.3mf"
    text = (
        f'<?xml version="1.0" encoding="{encoding}"?><model unit="millimeter"><resources>{resources}</resources>'
        f"<build>{build}</build></model>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", text.encode(encoding))
    return str(path)


def holding(name: int, parts: str) -> str:
    return f'<object id="{name}"><components>{parts}</components></object>'


PLACED = {
    "one object 40 000 times": (f'<object id="1">{TETRAHEDRON}</object>', '<item objectid="1"/>' * 40_000),
    "an empty object 40 000 times": ('<object id="1"/>', '<item objectid="1"/>' * 40_000),
    "objects that double forty times": (
        f'<object id="0">{TETRAHEDRON}</object>'
        + "".join(holding(k, f'<component objectid="{k - 1}"/>' * 2) for k in range(1, 41)),
        '<item objectid="40"/>',
    ),
    "an object that is a part of itself": (
        holding(1, '<component objectid="2"/>') + holding(2, '<component objectid="1"/>'),
        '<item objectid="1"/>',
    ),
}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("name", PLACED)
def test_what_a_3mf_builds_is_counted_before_it_is_read(
    name: str, encoding: str, tmp_path: Path, monkeypatch
) -> None:
    file = model(tmp_path, *PLACED[name], encoding=encoding)
    assert Path(file).stat().st_size < 20_000
    monkeypatch.setattr(trimesh, "load_scene", None)
    assert any(
        said in refusal(file)
        for said in (
            "copies of its objects and 1000 is the most",
            "faces and 200000 is the most",
            "part of itself",
        )
    )


def test_a_3mf_that_places_one_object_is_read(tmp_path: Path) -> None:
    file = model(tmp_path, f'<object id="1">{TETRAHEDRON}</object>', '<item objectid="1"/>')
    assert mesh_shape("body.main", told(file)).solid.volume == pytest.approx(
        40e-3 * 9e-3 * 9e-3 / 6, rel=1e-9
    )


def ply(folder: Path, head: str, body: str) -> str:
    path = folder / "body.ply"
    path.write_text(f"ply\nformat ascii 1.0\n{head}end_header\n{body}")
    return str(path)


CORNERS = "element vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
SIDES = "element face {}\nproperty list uchar int vertex_indices\n"


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (CORNERS.format(4) + SIDES.format(10**9), "faces and 200000 is the most"),
        (CORNERS.format(10**9) + SIDES.format(4), "corners and 600000 is the most"),
        ("element face\n", "does not tell how much is in it"),
        (f"element face {'9' * 5000}\n", "does not tell how much is in it"),
        ("comment " + "x" * 70_000 + "\n", "its head has no end"),
    ],
)
def test_what_a_ply_tells_of_is_counted_before_it_is_read(
    head: str, said: str, tmp_path: Path, monkeypatch
) -> None:
    monkeypatch.setattr(trimesh, "load_scene", None)
    assert said in refusal(ply(tmp_path, head, ""))


def test_of_a_ply_text_no_more_rows_are_read_than_its_head_tells_of(tmp_path: Path, monkeypatch) -> None:
    rows = "0 0 0\n40 0 0\n0 9 0\n0 0 9\n3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n"
    file = ply(tmp_path, CORNERS.format(4) + SIDES.format(4), rows + "0\n" * 1_000_000)
    given: list[int] = []
    load = trimesh.load_scene
    monkeypatch.setattr(trimesh, "load_scene", lambda f, **k: given.append(len(f.getvalue())) or load(f, **k))
    assert mesh_shape("body.main", told(file)).solid.volume == pytest.approx(
        40e-3 * 9e-3 * 9e-3 / 6, rel=1e-6
    )
    assert given[0] < 1000
    long = ply(tmp_path, CORNERS.format(4) + SIDES.format(4), rows.replace("3 1 2 3", "3" + " 1" * 2000))
    assert "too long for faces and corners" in refusal(long)


OBJ = "v 0 0 0\nv 40 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"


@pytest.mark.parametrize(
    "text",
    [
        OBJ,
        OBJ.replace(" ", "\t"),
        OBJ.replace("\n", "\r\n"),
        OBJ.replace("\n", "\r"),
        OBJ.replace("f 1 3 2", "  f  1 \\\n 3\t2 "),
        OBJ.replace("f", "usemtl a\ng b\no c\nf"),
    ],
    ids=["plain", "tabs", "CRLF", "CR", "continued", "groups"],
)
def test_an_obj_is_read_whatever_separates_its_numbers(text: str, tmp_path: Path) -> None:
    (tmp_path / "body.obj").write_bytes(text.encode())
    shape = mesh_shape("body.main", told(str(tmp_path / "body.obj")))
    assert shape.solid.volume == pytest.approx(40e-3 * 9e-3 * 9e-3 / 6, rel=1e-9)


@pytest.mark.parametrize(
    "text", ["v 0 0 0\n" + "f\t1\t1\t1\n" * 200_001, "v 0 0 0\nf" + " 1" * 200_010, "v 0 0 0\n" * 600_001],
    ids=["tabs", "one face of many corners", "corners"],
)  # fmt: skip
def test_too_much_in_an_obj_is_refused_before_it_is_read(text: str, tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "body.obj").write_text(text)
    monkeypatch.setattr(trimesh, "load_scene", None)
    assert "is the most that is read" in refusal(str(tmp_path / "body.obj"))


def test_corners_of_two_numbers_are_told(tmp_path: Path) -> None:
    (tmp_path / "body.obj").write_text("".join(f"v {k} {k % 3}\n" for k in range(6)) + "f 1 2 3\n" * 4)
    assert "have not three numbers each" in refusal(str(tmp_path / "body.obj"))
