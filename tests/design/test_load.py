"""Reading a design file: the ways a file can be no design at all, the values, the lines, and the cost."""

import math
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from sim.design.extent import extent
from sim.design.lines import key_lines, line_of
from sim.design.load import LARGEST_FILE, DesignError, DesignProblem, load, read, warnings
from sim.design.model import Design
from sim.design.starter import STARTER

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


def said(path):
    with pytest.raises(DesignError) as refused:
        load(path)
    return str(refused.value)


def test_the_starter_file_is_read(tmp_path):
    file = tmp_path / "lure.toml"
    file.write_text(STARTER)
    design = load(file)
    assert design.body["main"].length.value == pytest.approx(0.07)
    assert design.plate["lip"].angle.value == pytest.approx(math.radians(40))
    assert list(design.tie_on) == ["nose", "lip"]
    assert load(str(file)) == design == read(STARTER, "anything")


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_it_does_not_matter_which_editor_saved_a_file(tmp_path, newline, mark):
    file = tmp_path / "lure.toml"
    file.write_bytes((mark + STARTER.replace("\n", newline)).encode())
    assert load(file) == Design.model_validate(tomllib.loads(STARTER))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_is_read_without_a_warning(path):
    assert warnings(load(path)) == []


def test_a_missing_file_is_said_with_the_command_that_writes_one(tmp_path):
    file = tmp_path / "lure.toml"
    assert said(file) == f"{file}: there is no such file; `drytank new {file}` writes one to start from"


def test_a_missing_file_is_said_with_the_one_that_was_meant(tmp_path):
    (tmp_path / "minnow.toml").write_text("")
    file = tmp_path / "minow.toml"
    assert said(file) == f"{file}: there is no such file; did you mean {tmp_path / 'minnow.toml'}?"


def test_a_missing_file_is_said_with_those_that_are_there(tmp_path):
    for name in ("pike.toml", "pike.log.toml"):
        (tmp_path / name).write_text("")
    file = tmp_path / "sank"
    assert said(file) == (
        f"{file}: there is no such file; its folder has pike.toml; name a design file, which ends in .toml"
    )
    nowhere = tmp_path / "none" / "lure.toml"
    assert said(nowhere) == f"{nowhere}: there is no such file, and no folder {nowhere.parent}"


def test_a_folder_is_not_a_design_file(tmp_path):
    assert said(tmp_path) == (
        f"{tmp_path}: this is a folder; name a file in it, as in {tmp_path.name}/lure.toml"
    )


def test_an_empty_file_is_said_with_the_command_that_writes_one(tmp_path):
    file = tmp_path / "lure.toml"
    for nothing in (b"", b"\n \t\r\n", b"\xef\xbb\xbf"):
        file.write_bytes(nothing)
        assert said(file) == f"{file}: this file is empty; `drytank new FILE` writes one to start from"


@pytest.mark.parametrize(
    ("data", "line", "byte"),
    [("name = 'x'\nabout = 'Köder'".encode("latin-1"), 2, "0xf6"), ("name".encode("utf-16"), 1, "0xff")],
)
def test_a_file_in_another_encoding_is_said_with_its_line(tmp_path, data, line, byte):
    file = tmp_path / "lure.toml"
    file.write_bytes(data)
    assert said(file) == (
        f"{file}:{line}: this is not UTF-8 text (byte {byte}); save it as UTF-8 in your text editor, or "
        "start anew with `drytank new FILE`"
    )


def test_a_very_large_file_is_not_read(tmp_path):
    file = tmp_path / "lure.toml"
    file.write_bytes(b"#" * (LARGEST_FILE + 1))
    assert said(file) == f"{file}: this is larger than 1 MB; a design is a short text: is it the right file?"


def test_a_pipe_is_not_waited_for(tmp_path):
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    pipe = tmp_path / "lure.toml"
    os.mkfifo(pipe)
    assert said(pipe) == f"{pipe}: this is not an ordinary file; give the name of a design file"


@pytest.mark.parametrize("name", ["lure\0.toml", "x" * 5000, "\x1b[31m.toml"])
def test_a_name_that_no_file_can_have_is_said_in_a_sentence(name):
    sentence = said(name)
    assert "cannot be read" in sentence or "there is no such file" in sentence
    assert sentence.isprintable()


def test_a_file_that_may_not_be_read_is_said_in_a_sentence(tmp_path, monkeypatch):
    file = tmp_path / "lure.toml"
    file.write_text(STARTER)

    def refuse(*args, **kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    assert said(file) == (
        f"{file}: this cannot be read (Permission denied); check its name and who may read it"
    )


def test_problems_carry_their_parts(tmp_path):
    with pytest.raises(DesignError) as refused:
        read(STARTER.replace('width = "18 mm"', 'widht = "18 mm"'), "lure.toml")
    assert refused.value.problems == (
        DesignProblem(
            file="lure.toml",
            line=1 + STARTER.split('width = "18 mm"')[0].count("\n"),
            key="body.main.widht",
            value='"18 mm"',
            message='there is no key "widht" in a body; did you mean "width"?',
        ),
    )


LINES = '''\
name = "x"            # [not.a.heading]
about = """
[body.fake]
width = "1 mm"
"""
body.dotted.length = "3 mm"
[body.main]
stations = [          # three
    { back = "0 mm", width = "1 mm" },
    {
      back = "5 mm", up = "1 mm" }, { back = "6 mm",
    },
]
"material" = "cedar"
[body . 'odd name']
at = { back = "3 mm",   up = "#1" }
at2.back = "3 mm"
[[list]]
a = 1
[[list]]
a = 2
[list.inner]
b = [ [1, 2], [
   3 ] ]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 1),
        (("about",), 2),
        (("body", "fake"), 6),  # inside a text, so not found: the nearest is `body`
        (("body", "dotted", "length"), 6),
        (("body", "main"), 7),
        (("body", "main", "stations"), 8),
        (("body", "main", "stations", 0, "width"), 9),
        (("body", "main", "stations", 1), 10),
        (("body", "main", "stations", 1, "up"), 11),
        (("body", "main", "stations", 2, "back"), 11),
        (("body", "main", "stations", 2, "width"), 11),  # missing: where its station begins
        (("body", "main", "material"), 14),
        (("body", "main", "exponent"), 7),
        (("body", "odd name", "at", "up"), 16),
        (("body", "odd name", "at2", "back"), 17),
        (("list", 0, "a"), 19),
        (("list", 1, "a"), 21),
        (("list", 1, "inner", "b"), 23),
        (("list", 1, "inner", "b", 0, 1), 23),
        (("list", 1, "inner", "b", 1, 0), 24),
        (("tie_on",), None),
        ((), None),
    ],
)
def test_the_line_of_a_key_is_found(path, line):
    assert line_of(path, key_lines(LINES)) == line


BOX = """\
name = "x"
[tie_on.a]
[body.main]
length = "100 mm"
width = "20 mm"
height = "30 mm"
material = "cedar"
at = { back = "10 mm" }
"""


@pytest.mark.parametrize(
    ("more", "box"),
    [
        ("", ((10, 110), (-15, 15), (-10, 10))),
        ('angle = "90 deg"\n', ((-5, 25), (-100, 0), (-10, 10))),
        ('[plate.a]\nrole = "lip"\nlength = "40 mm"\nwidth = "8 mm"', ((-40, 110), (-15, 15), (-10, 10))),
        (
            '[plate.a]\nrole = "lip"\nlength = "40 mm"\nwidth = "8 mm"\nangle = "90 deg"\nskew = "90 deg"',
            ((-4, 110), (-40, 15), (-10, 10)),
        ),
        ('[plate.a]\nrole = "fin"\nlength = "4 mm"\nwidth = "80 mm"', ((-0, 110), (-40, 40), (-10, 10))),
        (
            '[plate.a]\nrole = "tail"\nroot = { back = "90 mm" }\nlength = "40 mm"\nwidth = "50 mm"',
            ((10, 130), (-15, 15), (-25, 25)),
        ),
        (
            '[hook.a]\nat = { left = "60 mm" }\nweight = "1 g"\nmirrored = true',
            ((0, 110), (-15, 15), (-60, 60)),
        ),
    ],
)
def test_how_far_a_design_reaches(more, box):
    found = extent(read(BOX + more, "lure.toml"))
    assert [round(1e3 * x, 6) + 0.0 for side in found for x in side] == [
        x + 0.0 for side in box for x in side
    ]


def test_reading_a_design_imports_nothing_heavy():
    code = (
        "import sys; from sim.design.load import read; from sim.design.starter import STARTER\n"
        "read(STARTER, 'x')\n"
        "print(*{m.partition('.')[0] for m in sys.modules} "
        "& {'numpy', 'scipy', 'matplotlib', 'numba', 'rich'})"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
