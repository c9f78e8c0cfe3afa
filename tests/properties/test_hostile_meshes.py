"""Whatever a mesh file holds: a body or a sentence, soon, and in little memory."""

import zipfile

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from sim.design.parts import Body
from sim.lure import BuildError
from sim.lure.mesh import mesh_shape
from tests.properties.sizes import drawn, soon_and_small

KINDS = ("stl", "obj", "ply", "3mf")
EGG = trimesh.creation.icosphere(2, 10.0)
EGG.apply_scale([3.0, 0.8, 1.0])
WHOLE = {kind: EGG.export(file_type=kind) for kind in KINDS}
WHOLE |= {
    "txt.stl": EGG.export(file_type="stl_ascii"),
    "txt.ply": EGG.export(file_type="ply", encoding="ascii"),
}
SOUND = {kind: data.encode() if isinstance(data, str) else data for kind, data in WHOLE.items()}
SCRAPS = [
    b"\n", b" ", b"\t", b"nan ", b"-inf ", b"1e999 ", b"f 1 1 1\n", b"f 1 2 99999\n", b"f -1 -2 -3\n", b"v 0 0 0\n",
    b"element face 4000000000\n", b"element vertex 0\n", b"property list uint int x\n", b"vertex", b"endfacet",
    b"\xff\xff\xff\xff", b"\x00" * 8, b"\\\n", b"usemtl a\n", b"format binary_big_endian 1.0\n", b"end_header\n",
]  # fmt: skip
XML = [
    '<triangle v1="0" v2="1" v3="2"/>', '<triangle v1="-1" v2="1" v3="9"/>', '<vertex x="nan" y="0" z="0"/>', "<mesh>",
    '<item objectid="1"/>', '<component objectid="1"/>', "</mesh>", '<object id="1">', "&a;", "<!DOCTYPE a>", "\x01",
    '<item objectid="1" transform="0 0 0 0 0 0 0 0 0 0 0 0"/>', "</object>",
]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("meshes")


def look(path):
    with soon_and_small():
        try:
            shape = mesh_shape(
                "body.main",
                Body.model_validate(
                    {"shape": "mesh", "file": str(path), "density": "0.5 g/cm3", "length": "60 mm"}
                ),
            )
        except BuildError as problem:
            assert "\n" not in str(problem)
            assert len(str(problem)) > 40
            return
    assert np.isfinite(shape.solid.volume)
    assert shape.solid.volume > 0.0


@pytest.mark.parametrize("kind", SOUND)
@drawn(15, 300)
@given(data=st.data())
def test_a_spoilt_mesh_is_a_body_or_a_sentence(kind, folder, data):
    content = SOUND[kind]
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content)))
        gone = data.draw(st.integers(0, 60))
        scrap = data.draw(st.one_of(st.sampled_from(SCRAPS), st.binary(max_size=8)))
        content = content[:at] + scrap * data.draw(st.integers(0, 20)) + content[at + gone :]
    path = folder / f"body.{kind.split('.')[-1]}"
    path.write_bytes(content)
    look(path)


@drawn(15, 300)
@given(data=st.data())
def test_a_3mf_of_spoilt_xml_is_a_body_or_a_sentence(folder, data):
    path = folder / "xml.3mf"
    (folder / "sound.3mf").write_bytes(SOUND["3mf"])
    with zipfile.ZipFile(folder / "sound.3mf") as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    name = next(name for name in entries if name.lower().endswith(".model"))
    text = entries[name].decode()
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        scrap = data.draw(st.sampled_from(XML)) * data.draw(st.sampled_from([1, 2, 50, 3000]))
        text = text[:at] + scrap + text[at + data.draw(st.integers(0, 40)) :]
    with zipfile.ZipFile(path, "w") as archive:
        for other, content in entries.items():
            archive.writestr(other, text.encode() if other == name else content)
    look(path)
