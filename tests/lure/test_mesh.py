"""Bodies told by a mesh file, held against a general mesh library and against the same body told by its sizes."""

from __future__ import annotations

import io
import math
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.design.model import Design
from sim.design.parts import Body
from sim.hydrostatics.immersion import I_MOMENT, I_VOLUME, immersed
from sim.lure import BuildError, build, weigh
from sim.lure.mesh import mesh_shape
from sim.lure.mesh_count import MOST_FACES
from sim.lure.mesh_file import read_mesh
from tests import hulls
from tests.hulls import NO_SMALL
from tests.in_words import in_words
from tests.lure.makers import OVAL, design

MM = 1e3


def mesh_of(hull: hulls.Hull) -> trimesh.Trimesh:
    """A hull (m) as a file has it, in mm."""
    return trimesh.Trimesh(hull.vertices * MM, hull.faces, process=False)


def written(mesh: trimesh.Trimesh, folder: Path, name: str = "body.stl") -> str:
    mesh.export(folder / name)
    return str(folder / name)


def told(file: str, **more: object) -> Body:
    return Body.model_validate({"shape": "mesh", "file": file, "density": "0.5 g/cm3", **more})


def lure(file: str, **more: object) -> Design:
    return design(body={"main": {"shape": "mesh", "file": file, "density": "0.5 g/cm3", **more}})


def refusal(file: str, **more: object) -> str:
    with pytest.raises(BuildError) as caught:
        mesh_shape("body.main", told(file, **more))
    assert "\n" not in str(caught.value)
    return str(caught.value)


SHAPES = {
    "ellipsoid": hulls.ellipsoid(0.035, 0.008, 0.01, 20, 40),
    "torus": hulls.torus(0.02, 0.006),
    "deep notch": hulls.notched(),
}


# ---- what is inside -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_volume_centroid_and_inertia_are_those_of_the_mesh_library(name: str, tmp_path: Path) -> None:
    file = written(mesh_of(SHAPES[name]), tmp_path)
    other = trimesh.load(file)
    whole = weigh(lure(file))
    assert whole.volume == pytest.approx(other.volume * 1e-9, rel=1e-9)
    assert whole.mass == pytest.approx(500.0 * other.volume * 1e-9, rel=1e-9)
    shape = mesh_shape("body.main", told(file))
    # a rigid shift only: the place of the mesh is told from its nose
    shift = shape.vertices.max(axis=0) - other.bounds[1] / MM
    assert whole.centre == pytest.approx(other.center_mass / MM + shift, abs=1e-9 * 0.07)
    inertia = 500.0 * other.moment_inertia * 1e-15
    assert whole.inertia == pytest.approx(inertia, rel=1e-9, abs=1e-9 * float(np.abs(inertia).max()))


@pytest.mark.parametrize("name", ["torus", "deep notch"])
def test_what_is_under_water_is_a_capped_slice_at_two_hundred_planes(name: str, tmp_path: Path) -> None:
    made = build(lure(written(mesh_of(SHAPES[name]), tmp_path)))
    hull = made.hulls[0]
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    rng = np.random.default_rng(11)
    for _ in range(200):
        up = rng.normal(size=3)
        up /= np.linalg.norm(up)
        reach = hull.vertices @ up
        level = rng.uniform(reach.min(), reach.max())
        slice_ = mesh.slice_plane(level * up, -up, cap=True)
        under = immersed(hull.vertices, hull.faces, NO_SMALL, up, -level)
        assert under[I_VOLUME] == pytest.approx(slice_.volume, rel=1e-9, abs=1e-9 * mesh.volume)
        # the library's own slice rounds coordinates to about 1e-8 of the mesh
        moment = slice_.volume * slice_.center_mass
        assert under[I_MOMENT : I_MOMENT + 3] == pytest.approx(moment, abs=1e-9 * mesh.volume * 0.07)


@pytest.mark.parametrize("name", SHAPES)
def test_the_strips_of_a_mesh_carry_its_volume_where_it_is(name: str, tmp_path: Path) -> None:
    made = build(lure(written(mesh_of(SHAPES[name]), tmp_path)))
    common = made.elements.common
    assert math.fsum(common[:, 9]) == pytest.approx(made.volume, rel=1e-12)
    centre = common[:, 9] @ common[:, :3] / made.volume
    assert centre == pytest.approx(made.centre_volume, abs=2e-4 * made.length)


def test_a_mesh_of_an_ellipsoid_and_the_ellipsoid_give_the_same_trial(tmp_path: Path) -> None:
    from sim.trials.budget import budget
    from sim.trials.drop import drop
    from sim.trials.floating import rest
    from sim.trials.retrieve import retrieve

    file = written(mesh_of(hulls.ellipsoid(0.035, 0.008, 0.01, 60, 96)), tmp_path)
    parts = {
        "ballast": {"keel": {"at": {"back": "30 mm", "up": "-6 mm"}, "weight": "3 g"}},
        "hook": {"tail": {"at": {"back": "70 mm"}, "weight": "1.2 g"}},
        "plate": {"lip": {"role": "lip", "root": {"back": "4 mm", "up": "-4 mm"}, "length": "14 mm",
                          "width": "14 mm", "angle": "50 deg"}},
        "tie_on": {"nose": {}},
        "retrieve": {"speeds": ["1.2 m/s"]},
    }  # fmt: skip
    one = design(body={"main": OVAL}, **parts)
    two = design(body={"main": {"shape": "mesh", "file": file, "material": "balsa"}}, **parts)
    here, there = build(one), build(two)
    for key in ("mass_g", "displaced_ml", "margin_g", "gravity_back_mm", "buoyancy_back_mm"):
        assert getattr(budget(two), key) == pytest.approx(getattr(budget(one), key), rel=0.01)
    a, b = rest(one, here), rest(two, there)
    for key in ("draught_mm", "freeboard_mm", "immersed_fraction", "heel_gm_mm"):
        assert getattr(b, key) == pytest.approx(getattr(a, key), rel=0.01)
    assert b.pitch_deg == pytest.approx(a.pitch_deg, abs=0.05)
    assert drop(two, there).sink_rate_m_s == pytest.approx(drop(one, here).sink_rate_m_s, rel=0.01)
    (run,), (other) = retrieve(one, here), retrieve(two, there)[0]
    assert other.depth_m == pytest.approx(run.depth_m, rel=0.01)
    assert other.behaviour == run.behaviour


@pytest.mark.parametrize("name", ["body.stl", "body.obj", "body.ply", "body.3mf"])
def test_every_format_gives_the_same_body(name: str, tmp_path: Path) -> None:
    mesh = mesh_of(SHAPES["ellipsoid"])
    shape = mesh_shape("body.main", told(written(mesh, tmp_path, name)))
    assert shape.solid.volume == pytest.approx(mesh.volume * 1e-9, rel=1e-6)
    assert len(shape.faces) == len(mesh.faces)
    assert shape.symmetric


def test_an_stl_in_text_gives_the_same_body(tmp_path: Path) -> None:
    mesh = mesh_of(SHAPES["ellipsoid"])
    mesh.export(tmp_path / "text.stl", file_type="stl_ascii")
    shape = mesh_shape("body.main", told(str(tmp_path / "text.stl")))
    assert shape.solid.volume == pytest.approx(mesh.volume * 1e-9, rel=1e-6)


# ---- how it lies and how large it is ------------------------------------------------------------------

EGG = hulls.turned_profile((0.03, 0.02, 0.0, -0.03), (0.0, 0.009, 0.006, 0.0), 24)


@pytest.mark.parametrize(
    ("nose", "back", "turn"),
    [
        ("+x", "+z", [[1, 0, 0], [0, 1, 0], [0, 0, 1]]),
        ("-x", "+z", [[-1, 0, 0], [0, -1, 0], [0, 0, 1]]),
        ("+z", "-x", [[0, 0, -1], [0, 1, 0], [1, 0, 0]]),
        ("-y", "+x", [[0, 0, 1], [-1, 0, 0], [0, -1, 0]]),
    ],
)
def test_a_mesh_drawn_along_any_axis_is_turned_nose_first(nose: str, back: str, turn, tmp_path: Path) -> None:
    matrix = np.array(turn, dtype=float)
    assert np.linalg.det(matrix) == pytest.approx(1.0)
    lopsided = hulls.Hull(
        EGG.vertices * [1.0, 0.7, 1.0] + np.outer(EGG.vertices[:, 0] ** 2, [0, 2.0, 4.0]), EGG.faces
    )
    plain = mesh_shape("body.main", told(written(mesh_of(lopsided), tmp_path)))
    laid = mesh_of(hulls.Hull(lopsided.vertices @ matrix.T, lopsided.faces))
    shape = mesh_shape(
        "body.main", told(written(laid, tmp_path, "laid.stl"), nose_along=nose, back_along=back)
    )
    assert shape.solid.first == pytest.approx(plain.solid.first, abs=1e-6 * 0.06 * plain.solid.volume)
    assert shape.profile.length == pytest.approx(0.06, rel=1e-6)
    assert not shape.symmetric


def test_the_nose_of_a_mesh_is_the_bodys_nose_wherever_the_file_has_it(tmp_path: Path) -> None:
    away = mesh_of(hulls.moved(EGG, by=(0.4, -0.2, 0.13)))
    shape = mesh_shape("body.main", told(written(away, tmp_path)))
    assert shape.vertices[:, 0].max() == 0.0
    tip = shape.vertices[np.argmax(shape.vertices[:, 0])]
    assert tip == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)


def test_left_is_left_and_a_twin_is_a_mirror_image(tmp_path: Path) -> None:
    bent = hulls.Hull(EGG.vertices + np.outer(EGG.vertices[:, 0] ** 2, [0.0, 5.0, 0.0]), EGG.faces)
    file = written(mesh_of(bent), tmp_path)
    assert not mesh_shape("body.main", told(file)).symmetric
    made = build(lure(file, at={"left": "20 mm"}, mirrored=True))
    one, two = made.hulls
    assert np.array_equal(one.vertices * [1.0, -1.0, 1.0], two.vertices)
    assert made.centre[1] == 0.0
    common, added = made.elements.common, made.elements.added
    assert np.array_equal(common[:21, :3] * [1.0, -1.0, 1.0], common[21:42, :3])
    from sim.lure.added_mass import MIRROR

    assert added[:21] * MIRROR == pytest.approx(added[21:42], rel=1e-12, abs=1e-20)


@pytest.mark.parametrize(("unit", "metres"), [("mm", 1e-3), ("cm", 1e-2), ("in", 0.0254), ("m", 1.0)])
def test_the_unit_of_the_numbers_may_be_told(unit: str, metres: float, tmp_path: Path) -> None:
    file = written(trimesh.Trimesh(EGG.vertices / metres, EGG.faces, process=False), tmp_path)
    assert mesh_shape("body.main", told(file, units=unit)).profile.length == pytest.approx(0.06, rel=1e-6)


def test_a_3mf_file_tells_its_own_unit(tmp_path: Path) -> None:
    mesh = trimesh.Trimesh(EGG.vertices / 0.0254, EGG.faces, process=False)
    mesh.export(tmp_path / "inch.3mf")
    rewritten = io.BytesIO()
    with zipfile.ZipFile(tmp_path / "inch.3mf") as source, zipfile.ZipFile(rewritten, "w") as target:
        for entry in source.namelist():
            data = source.read(entry)
            if entry.endswith(".model"):
                assert b'unit="millimeter"' in data
                data = data.replace(b'unit="millimeter"', b'unit="inch"')
            target.writestr(entry, data)
    (tmp_path / "inch.3mf").write_bytes(rewritten.getvalue())
    shape = mesh_shape("body.main", told(str(tmp_path / "inch.3mf")))
    assert shape.profile.length == pytest.approx(0.06, rel=1e-6)


def test_a_mesh_may_be_scaled_to_a_length(tmp_path: Path) -> None:
    file = written(trimesh.Trimesh(EGG.vertices * 7.7, EGG.faces, process=False), tmp_path)
    shape = mesh_shape("body.main", told(file, length="90 mm"))
    assert shape.profile.length == pytest.approx(0.09, rel=1e-9)
    true = trimesh.Trimesh(EGG.vertices * 1.5, EGG.faces, process=False).volume
    assert shape.solid.volume == pytest.approx(true, rel=1e-6)


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    file = written(mesh_of(EGG), tmp_path)
    before = mesh_shape("body.main", told(file))
    assert mesh_shape("body.main", told(file)) is before
    written(mesh_of(SHAPES["torus"]), tmp_path)
    assert mesh_shape("body.main", told(file)).solid.volume != before.solid.volume


# ---- hollow and printed -------------------------------------------------------------------------------


def test_a_wall_leaves_the_hollow_of_the_same_body_told_by_its_sizes(tmp_path: Path) -> None:
    block = written(mesh_of(hulls.block(0.06, 0.02, 0.024)), tmp_path)
    whole = weigh(lure(block, wall="1.5 mm"))
    wall = 60 * 20 * 24 - 57 * 17 * 21
    assert whole.mass == pytest.approx(500.0 * wall * 1e-9, rel=2e-3)
    round_ = written(mesh_of(hulls.ellipsoid(0.035, 0.008, 0.01, 60, 96)), tmp_path, "round.stl")
    sizes = {"length": "70 mm", "width": "16 mm", "height": "20 mm", "density": "0.5 g/cm3", "wall": "1.2 mm"}
    expected = weigh(design(body={"main": sizes}))
    hollow = weigh(lure(round_, wall="1.2 mm"))
    assert hollow.mass == pytest.approx(expected.mass, rel=5e-3)
    assert np.diag(hollow.inertia) == pytest.approx(np.diag(expected.inertia), rel=1e-2)


def test_infill_is_its_share_of_the_inside_and_displaces_nothing_more(tmp_path: Path) -> None:
    file = written(mesh_of(hulls.block(0.06, 0.02, 0.024)), tmp_path)
    solid, empty, printed = (
        weigh(lure(file)),
        weigh(lure(file, wall="1.5 mm")),
        weigh(lure(file, wall="1.5 mm", infill=20)),
    )
    assert printed.mass == pytest.approx(0.8 * empty.mass + 0.2 * solid.mass, rel=1e-9)
    assert printed.volume == pytest.approx(solid.volume, rel=1e-12)
    full = weigh(lure(file, wall="1.5 mm", infill=100, fill_density="0.3 g/cm3"))
    assert full.mass == pytest.approx(solid.mass, rel=1e-9)
    # what infill leaves free is what a fill can take
    poured = weigh(lure(file, wall="1.5 mm", infill=20, fill_density="0.3 g/cm3"))
    room = 0.8 * (solid.mass - empty.mass) / 500.0
    assert poured.mass == pytest.approx(printed.mass + 300.0 * room, rel=1e-9)


def test_a_hollow_drawn_in_the_file_is_a_hollow(tmp_path: Path) -> None:
    outside, inside = hulls.block(0.06, 0.02, 0.024), hulls.block(0.05, 0.016, 0.02)
    shell = trimesh.Trimesh(
        np.concatenate([outside.vertices, inside.vertices]) * MM,
        np.concatenate([outside.faces, inside.faces[:, ::-1] + len(outside.vertices)]),
        process=False,
    )
    file = written(shell, tmp_path)
    whole = weigh(lure(file, fill_density="0.1 g/cm3"))
    assert whole.volume == pytest.approx(28.8e-6, rel=1e-6)  # hollow and wall together
    assert whole.mass == pytest.approx(0.5 * 12.8e-3 + 0.1 * 16e-3, rel=1e-6)
    assert "has a hollow of 16 mL inside already; leave out the wall" in _built_refusal(
        lure(file, wall="1 mm")
    )


def _built_refusal(what: Design) -> str:
    with pytest.raises(BuildError) as caught:
        weigh(what)
    return str(caught.value)


def test_a_dunked_volume_stretches_a_mesh_sideways(tmp_path: Path) -> None:
    file = written(mesh_of(SHAPES["deep notch"]), tmp_path)
    plain = build(lure(file))
    grown = build(lure(file, displaced=f"{plain.volume * 1.1e6} mL"))
    assert grown.volume == pytest.approx(1.1 * plain.volume, rel=1e-12)
    assert grown.length == pytest.approx(plain.length, rel=1e-12)
    hull = grown.hulls[0]
    assert trimesh.Trimesh(hull.vertices, hull.faces, process=False).volume == pytest.approx(
        1.1 * plain.volume
    )


def test_a_weight_in_the_notch_of_a_mesh_is_outside_it(tmp_path: Path) -> None:
    file = written(mesh_of(SHAPES["deep notch"]), tmp_path)
    shape = mesh_shape("body.main", told(file))
    assert shape.holds(np.array([-0.01, 0.001, 0.0]))
    assert not shape.holds(np.array([-0.029, 0.001, 0.008]))  # between the horns
    assert not shape.holds(np.array([0.01, 0.001, 0.0]))
    weight = {"up_there": {"at": {"back": "29 mm", "up": "8 mm"}, "weight": "1 g"}}
    made = weigh(lure(file).model_copy(update={"ballast": design(ballast=weight).ballast}))
    assert any("has its centre outside body.main" in w for w in in_words(made.warnings))


# ---- what is wrong with a file ------------------------------------------------------------------------


def test_a_hole_is_told_with_its_place_its_size_and_the_way_out(tmp_path: Path) -> None:
    block = hulls.block(0.06, 0.02, 0.024)
    at = block.vertices[block.faces].mean(axis=1)
    open_ = trimesh.Trimesh(block.vertices * MM, block.faces[at[:, 2] < 0.0119], process=False)
    assert refusal(written(open_, tmp_path)) == (
        'body.main.file = "body.stl": the mesh is not closed: it has a hole about 63 mm across, 30 mm behind the '
        "nose, 12 mm above mid-height; close it in your mesh program (it may be called fill holes, make solid or "
        "repair) and export it again"
    )


def test_faces_turned_over_are_told(tmp_path: Path) -> None:
    ball = hulls.ellipsoid(0.03, 0.01, 0.01, 12, 16)
    faces = ball.faces.copy()
    faces[40:43] = faces[40:43, ::-1]
    said = refusal(written(trimesh.Trimesh(ball.vertices * MM, faces, process=False), tmp_path))
    assert "some faces of the mesh are turned over, inside out against their neighbours, as " in said
    assert "let your mesh program turn all normals outward" in said


def test_a_corner_so_far_out_that_nothing_else_is_left_is_told(tmp_path: Path) -> None:
    mesh = mesh_of(SHAPES["ellipsoid"])
    corners = mesh.vertices.copy()
    corners[5, 0] = -178774194.0  # some bytes of a text lost
    far = written(trimesh.Trimesh(corners, mesh.faces, process=False), tmp_path)
    assert refusal(far, length="60 mm") == (
        'body.main.file = "body.stl": a corner of the mesh lies so far out that all the rest of it is a single point '
        "beside it; the file is damaged, export it again"
    )


def test_a_mesh_that_is_inside_out_as_a_whole_is_simply_turned(tmp_path: Path) -> None:
    ball = mesh_of(EGG)
    file = written(trimesh.Trimesh(ball.vertices, ball.faces[:, ::-1], process=False), tmp_path)
    assert mesh_shape("body.main", told(file)).solid.volume == pytest.approx(ball.volume * 1e-9, rel=1e-6)


@pytest.mark.parametrize("inside_out", [False, True])
def test_a_mesh_that_runs_through_itself_is_told_where(inside_out: bool, tmp_path: Path) -> None:
    other = hulls.moved(EGG, by=(-0.02, 0.0, 0.008))
    faces = other.faces[:, ::-1] if inside_out else other.faces
    both = trimesh.Trimesh(
        np.concatenate([EGG.vertices * 1.2, other.vertices]) * MM,
        np.concatenate([EGG.faces, faces + len(EGG.vertices)]),
        process=False,
    )
    said = refusal(written(both, tmp_path))
    assert "the mesh runs through itself: it encloses the place" in said
    assert "mm behind the nose" in said
    assert "join its pieces into one solid" in said


def test_an_edge_with_three_faces_is_told(tmp_path: Path) -> None:
    ball = hulls.ellipsoid(0.03, 0.01, 0.01, 12, 16)
    fin = np.array([[ball.faces[30][0], ball.faces[30][1], len(ball.vertices)]])
    odd = trimesh.Trimesh(
        np.concatenate([ball.vertices, [[0.0, 0.0, 0.02]]]) * MM,
        np.concatenate([ball.faces, fin]),
        process=False,
    )
    said = refusal(written(odd, tmp_path))
    assert "is not closed" in said or "three or more faces of the mesh meet" in said
    double = trimesh.Trimesh(ball.vertices * MM, np.concatenate([ball.faces, ball.faces[:1]]), process=False)
    assert "three or more faces of the mesh meet at one edge" in refusal(written(double, tmp_path, "two.stl"))


@pytest.mark.parametrize(
    ("scale", "more", "says"),
    [
        (70 / 60, {"units": "m"}, 'with units = "m" the body is 70 m long; did you mean mm? Write units = "mm"'),
        (1e-3, {}, 'the file does not tell its unit, and as millimetres the body would be 0.06 mm long; write '
                   'units = "m" (60 mm long)'),
        (0.05, {}, 'as millimetres the body would be 3 mm long; write units = "cm" (30 mm long) or units = "in" '
                   "(76.2 mm long)"),
        (1e6, {}, 'as millimetres the body would be 6e+04 m long; write its true length, as in length = "70 mm"'),
    ],
)  # fmt: skip
def test_a_length_that_no_lure_has_is_a_unit_gone_wrong(
    scale: float, more, says: str, tmp_path: Path
) -> None:
    file = written(trimesh.Trimesh(EGG.vertices * MM * scale, EGG.faces, process=False), tmp_path)
    assert says in refusal(file, **more)


def test_a_body_that_stands_across_is_asked_about(tmp_path: Path) -> None:
    standing = mesh_of(hulls.Hull(EGG.vertices[:, [2, 1, 0]] * [-1.0, 1.0, 1.0], EGG.faces))
    warnings = in_words(weigh(lure(written(standing, tmp_path))).warnings)
    assert any(
        "the mesh is 60 mm tall but only" in w and 'say so, as in nose_along = "+z"' in w for w in warnings
    )


def test_two_faces_a_sheet_and_nothing_at_all_enclose_nothing(tmp_path: Path) -> None:
    sheet = trimesh.Trimesh(
        [[0, 0, 0], [60, 0, 0], [60, 20, 0], [0, 20, 0]], [[0, 1, 2], [0, 2, 3]], process=False
    )
    said = refusal(written(sheet, tmp_path))
    assert said.startswith('body.main.file = "body.stl": this has 2 faces, and to enclose anything takes 4')
    both = trimesh.Trimesh(sheet.vertices, [[0, 1, 2], [0, 2, 3], [0, 2, 1], [0, 3, 2]], process=False)
    assert "the mesh encloses nothing; give the sheet a thickness" in refusal(
        written(both, tmp_path, "flat.stl")
    )
    (tmp_path / "nothing.stl").write_bytes(b"")
    assert "this is no STL file" in refusal(str(tmp_path / "nothing.stl"))


def test_a_mesh_of_300_mb_is_not_even_opened(tmp_path: Path) -> None:
    path = tmp_path / "huge.stl"
    with path.open("wb") as file:
        file.truncate(300_000_000)
    said = refusal(str(path))
    assert "this file has 300 MB and 60 MB is the most that is read" in said
    assert "simplify (decimate) the mesh" in said


def test_a_3mf_that_is_a_zip_bomb_is_not_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "bomb.3mf"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", bytes(100_000_000))
    assert path.stat().st_size < 200_000
    assert "this would unpack to 100 MB and 60 MB is the most that is read" in refusal(str(path))


def test_too_many_faces_are_refused_and_many_are_mentioned(tmp_path: Path) -> None:
    head = bytes(80) + (MOST_FACES + 1).to_bytes(4, "little")
    (tmp_path / "many.stl").write_bytes(head + bytes(50 * (MOST_FACES + 1)))
    assert f"this has {MOST_FACES + 1} faces and {MOST_FACES} is the most" in refusal(
        str(tmp_path / "many.stl")
    )


@pytest.mark.parametrize("ending", ["obj", "3mf"])
def test_too_many_faces_in_a_text_are_counted_before_it_is_read(
    ending: str, tmp_path: Path, monkeypatch
) -> None:
    path = tmp_path / f"many.{ending}"
    if ending == "obj":
        path.write_text("v 0 0 0\n" + "f 1 1 1\n" * (MOST_FACES + 1))
    else:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            faces = '<triangle v1="0"/>' * (MOST_FACES + 1)
            archive.writestr("3D/3dmodel.model", f"<model>{faces}</model>")
    monkeypatch.setattr(trimesh, "load_scene", None)
    assert f"this has {MOST_FACES + 1} faces and {MOST_FACES} is the most that is read" in refusal(str(path))


def test_a_mesh_that_a_length_makes_metres_wide_is_asked_about(tmp_path: Path) -> None:
    flat = trimesh.Trimesh(EGG.vertices * [0.01, 1.0, 1.0] * MM, EGG.faces, process=False)
    said = refusal(written(flat, tmp_path), length="70 mm")
    assert "at a length of 70 mm from nose to tail the mesh is 2.1 m across" in said
    assert "does its nose point along another axis of the file" in said


def test_an_xml_bomb_in_a_3mf_is_defused(tmp_path: Path) -> None:
    grown = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 12))
    text = (
        f'<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a0 "lol">{grown}]><model unit="millimeter">&a11;</model>'
    )
    path = tmp_path / "bomb.3mf"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("3D/3dmodel.model", text)
    assert "export it again" in refusal(str(path))


def test_a_file_cut_short_or_of_no_numbers_is_told(tmp_path: Path) -> None:
    whole = mesh_of(EGG).export(file_type="stl")
    (tmp_path / "short.stl").write_bytes(whole[:-70])
    assert "it was cut short or is of another format" in refusal(str(tmp_path / "short.stl"))
    text = mesh_of(EGG).export(file_type="stl_ascii")
    (tmp_path / "short_text.stl").write_text(text[: len(text) // 2])
    assert "this STL text is cut short or damaged" in refusal(str(tmp_path / "short_text.stl"))
    (tmp_path / "nan.stl").write_text(
        text.replace("vertex 3", "vertex nan", 1).replace("vertex", "vertex nan", 1)
    )
    assert "export it again" in refusal(str(tmp_path / "nan.stl"))


@pytest.mark.parametrize("ending", ["obj", "ply", "3mf"])
def test_without_trimesh_it_is_said_what_to_install(ending: str, tmp_path: Path, monkeypatch) -> None:
    import sys

    file = written(mesh_of(EGG), tmp_path, f"body.{ending}")
    monkeypatch.setitem(sys.modules, "trimesh", None)
    said = refusal(file)
    assert (
        'takes trimesh, which is not installed; run pip install "drytank[mesh]", or export the body as STL'
        in said
    )
    stl = written(mesh_of(EGG), tmp_path)
    assert mesh_shape("body.main", told(stl)).solid.volume > 0.0


@settings(max_examples=60)
@given(st.sampled_from(["stl", "obj", "ply", "3mf"]), st.binary(max_size=400), st.booleans())
def test_any_bytes_end_in_a_sentence(tmp_path_factory, ending: str, data: bytes, headed: bool) -> None:
    path = tmp_path_factory.mktemp("any") / f"body.{ending}"
    head = {
        "stl": b"solid\nfacet\nvertex ",
        "obj": b"v 0 0 0\nf ",
        "ply": b"ply\nformat ascii 1.0\n",
        "3mf": b"PK\x03\x04",
    }
    path.write_bytes((head[ending] if headed else b"") + data)
    try:
        read_mesh("body.main.file", str(path))
    except BuildError as problem:
        assert "\n" not in str(problem)
        assert len(str(problem)) > 40


@settings(max_examples=25)
@given(
    st.tuples(st.floats(8, 60), st.floats(3, 20), st.floats(3, 20)),
    st.tuples(*[st.floats(-0.3, 0.3)] * 3),
    st.integers(0, 2**31),
)
def test_a_turned_and_dented_ball_is_still_weighed_to_nine_figures(
    tmp_path_factory, sizes, turn, seed
) -> None:
    rng = np.random.default_rng(seed)
    ball = hulls.ellipsoid(1.0, 1.0, 1.0, 10, 14)
    dented = ball.vertices * (1.0 + 0.1 * rng.uniform(-1.0, 1.0, (len(ball.vertices), 1)))
    matrix = np.linalg.qr(
        np.eye(3) + np.array([[0, turn[0], turn[1]], [-turn[0], 0, turn[2]], [-turn[1], -turn[2], 0]])
    )[0]
    matrix *= np.sign(np.linalg.det(matrix))
    mesh = trimesh.Trimesh((dented * np.array(sizes)) @ matrix.T, ball.faces, process=False)
    file = written(mesh, tmp_path_factory.mktemp("dented"))
    other = trimesh.load(file)
    if abs(np.linalg.det(matrix) - 1.0) > 1e-9 or np.ptp(other.vertices[:, 0]) < 8.5:
        return
    assert mesh_shape("body.main", told(file)).solid.volume == pytest.approx(other.volume * 1e-9, rel=1e-9)
