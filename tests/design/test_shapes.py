"""What a design file is told about a body's shape, with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.design.load import DesignError, load, read, rooted

HEAD = 'name = "x"\n[tie_on.nose]\nat = { back = "0 mm" }\n[body.main]\nmaterial = "cedar"\n'
SIDE = (
    'side = [{ back = "0 mm" }, { back = "30 mm", up = "11 mm" }, { back = "70 mm" }, '
    '{ back = "30 mm", up = "-9 mm" }]\n'
)
TOP = 'top = [{ back = "0 mm" }, { back = "30 mm", left = "8 mm" }, { back = "70 mm" }]\n'


def complaint(text: str, folder: Path = Path()) -> str:
    with pytest.raises(DesignError) as caught:
        read(HEAD + text, "lure.toml", folder)
    return str(caught.value)


def test_a_drawn_outline_is_accepted() -> None:
    assert len(read(HEAD + 'shape = "outline"\n' + SIDE + TOP, "lure.toml").body["main"].side) == 4


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            'shape = "outline"\n' + TOP,
            "there are 0 points and it takes 3 or more; write for example side = [{",
        ),
        (
            'shape = "outline"\n' + SIDE,
            "there are 0 points and it takes 2 or more; write for example top = [{",
        ),
        (
            'shape = "outline"\n' + SIDE + TOP.replace('"70 mm"', '"90 mm"'),
            "from above the body reaches from 0 to 90 mm behind the nose, but from the side from 0 to 70 mm; draw both "
            "views equally long",
        ),
        (
            'shape = "outline"\nlength = "70 mm"\n' + SIDE + TOP,
            'body.main.length = "70 mm": an outline tells its own length; leave this line out',
        ),
        (
            'shape = "outline"\n'
            + SIDE.replace('"30 mm", up = "11 mm"', '"30 mm", up = "0 mm"').replace("-9", "0")
            + TOP,
            "body.main.side: this outline encloses nothing",
        ),
        (
            SIDE + TOP + 'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\n',
            'this belongs to shape = "outline", and this body\'s shape is "ellipsoid"; change the shape or leave this '
            "line out",
        ),
        ('shape = "mesh"\n', 'a mesh needs its file; write for example file = "body.stl"'),
        (
            'shape = "mesh"\nfile = "body.step"\n',
            "a mesh file ends in .stl, .obj, .ply or .3mf; export it as STL",
        ),
        (
            'shape = "mesh"\nfile = "body.stl"\nnose_along = "-z"\n',
            'body.main.back_along = "+z": the nose points along -z of the file, so the back must point along '
            "another of its axes; write for example +y",
        ),
        (
            'shape = "mesh"\nfile = "body.stl"\nwidth = "12 mm"\n',
            "a mesh tells its own width; leave this line out",
        ),
        (
            'shape = "mesh"\nfile = "body.stl"\nexponent = 3\n',
            "body.main.exponent = 3.0: a mesh tells its own sections; leave this line out",
        ),
        (
            'shape = "outline"\nside = ["a"]\n',
            'body.main.side.0 = "a": a place is written { back = "31 mm", up = "-9 mm" }',
        ),
        (
            'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\ninfill = 20\n',
            'infill is what stands inside a printed wall; write the wall too, as in wall = "1.2 mm"',
        ),
        (
            'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\nwall = "1 mm"\ncavity = "5 mL"\ninfill = 20\n',
            "a cavity measured with water is free of infill already; leave one of the two out",
        ),
    ],
)
def test_what_does_not_fit_a_shape_is_told_with_the_way_out(text: str, says: str) -> None:
    assert says in complaint(text)


def test_a_mesh_is_looked_for_beside_the_design_file(tmp_path: Path) -> None:
    text = HEAD + 'shape = "mesh"\nfile = "parts/body.stl"\n'
    (tmp_path / "parts").mkdir()
    said = complaint('shape = "mesh"\nfile = "parts/body.stl"\n', tmp_path)
    assert 'lure.toml:7: body.main.file = "body.stl": there is no such file; name it as seen from' in said
    (tmp_path / "parts" / "bodi.stl").write_bytes(b"solid")
    assert "did you mean bodi.stl?" in complaint('shape = "mesh"\nfile = "parts/body.stl"\n', tmp_path)
    (tmp_path / "parts" / "body.stl").write_bytes(b"solid")
    (tmp_path / "lure.toml").write_text(text)
    assert load(tmp_path / "lure.toml").body["main"].file == str(tmp_path / "parts" / "body.stl")


def test_a_mesh_file_of_300_mb_is_told_before_anything_is_read(tmp_path: Path) -> None:
    with (tmp_path / "body.stl").open("wb") as file:
        file.truncate(300_000_000)
    said = complaint('shape = "mesh"\nfile = "body.stl"\n', tmp_path)
    assert "this file has 300 MB and 60 MB is the most that is read" in said


def test_a_file_name_that_no_system_knows_is_told(tmp_path: Path) -> None:
    assert "there is no such file" in complaint('shape = "mesh"\nfile = "a\\u0000b.stl"\n', tmp_path)
    assert "cannot be opened" in complaint(f'shape = "mesh"\nfile = "{"a" * 400}.stl"\n', tmp_path)


def test_a_text_can_be_told_from_the_root_to_be_read_anywhere(tmp_path: Path) -> None:
    (tmp_path / "body.stl").write_bytes(b"solid")
    text = HEAD + "shape = 'mesh' # file = beside\nfile = 'body.stl'\n"
    moved = read(rooted(text, tmp_path), "lure.toml", Path("/nowhere"))
    assert moved.body["main"].file == str((tmp_path / "body.stl").resolve())
    plain = HEAD + 'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\n'
    assert rooted(plain, tmp_path) == plain
