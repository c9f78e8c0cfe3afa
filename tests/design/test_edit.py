"""Changes written into a file's text: what is asked changes, everything else stays as the maker wrote it."""

import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.design.edit import ChangedLine, _flat, _put, altered, edited, lines, patch

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
TEXT = """\
# A lure.
name = "Lure"   # its name

[body.main]
length = "70 mm"
at = { back = "1 mm" } # the nose

[ballast.belly]
at = { back = "21 mm", up = "-6 mm" }
weight = "2.0 g"        # weighed

# The hooks, from the same box.
[hook.belly]
at = { back = "24 mm" }

[hook.belly.bulk]
weight = "12 g"
count = 10

# The end.
[hook.tail]
weight = "1.2 g"
"""
NEW = {"at": {"back": "40 mm", "up": "-3 mm"}, "weight": "0.5 g"}


def test_a_value_changes_and_its_comment_stays():
    after = edited(TEXT, {"ballast.belly.weight": "2.4 g"})
    assert after == TEXT.replace('weight = "2.0 g" ', 'weight = "2.4 g" ')


@pytest.mark.parametrize("file", SCENARIOS, ids=lambda file: file.stem)
def test_a_value_alone_on_its_line_is_put_there_as_the_whole_file_would_be_written(file, monkeypatch):
    text = file.read_text(encoding="utf-8")
    values = {path: old for path, old in _flat(tomllib.loads(text)).items() if isinstance(old, str | int)}
    new = {path: "12.3 mm" if isinstance(old, str) else 7 for path, old in values.items()}
    slowly = [tomlkit.parse(text) for _ in new]
    for document, (path, value) in zip(slowly, new.items(), strict=True):
        _put(document, path.split("."), value, path)
    monkeypatch.setattr(tomlkit, "parse", lambda _: pytest.fail("written anew"))
    assert [edited(text, {path: value}) for path, value in new.items()] == [tomlkit.dumps(d) for d in slowly]


def test_a_value_whose_line_holds_another_like_it_is_the_one_that_changes():
    text = 'a = { back = "1 mm", up = "1 mm" } # back = "1 mm"\nback = 3\n[c]\nd = [{ back = 1 }, { back = 1 }]\n'
    assert edited(text, {"a.up": "2 mm"}) == text.replace('up = "1 mm"', 'up = "2 mm"')
    assert edited(text, {"a.back": "2 mm"}) == text.replace('{ back = "1 mm"', '{ back = "2 mm"')
    assert edited(text, {"c.d.1.back": 2}) == text.replace("{ back = 1 }]", "{ back = 2 }]")


def test_a_value_that_the_file_does_not_have_is_added_to_its_part():
    after = edited(TEXT, {"body.main.at.up": "2 mm", "hook.tail.size": "18 mm"})
    assert 'at = { back = "1 mm", up = "2 mm" } # the nose' in after
    assert 'weight = "1.2 g"\nsize = "18 mm"\n' in after


def test_a_new_value_stands_below_the_last_one_of_its_part_and_above_what_leads_to_the_next():
    rows = ("[body.main]", 'length = "80 mm" # over all', "stations = [", "  { back = 1 },", "]", "",
            "# ---- thin flat parts", "", "[plate.lip]", "")  # fmt: skip
    text = "\n".join(rows)
    after = edited(text, {"body.main.weight": "3.9 g", "plate.lip.width": "15 mm"})
    assert after == text.replace("]\n\n#", ']\nweight = "3.9 g"\n\n#') + 'width = "15 mm"\n'


def test_a_new_part_comes_after_its_like_and_leaves_the_next_ones_comment_alone():
    after = edited(TEXT, {"ballast.trim": NEW})
    block = (
        '# weighed\n\n[ballast.trim]\nat = { back = "40 mm", up = "-3 mm" }\nweight = "0.5 g"\n\n# The hooks'
    )
    assert block in after


def test_a_new_part_of_a_kind_that_the_file_does_not_have_comes_last():
    after = edited(TEXT, {"tie_on.nose": {"at": {"back": "0 mm"}}})
    assert after.startswith(TEXT.rstrip("\n"))
    assert tomllib.loads(after)["tie_on"]["nose"]["at"] == {"back": "0 mm"}


def test_a_part_that_is_taken_out_takes_its_readings_along_and_no_comment_of_another():
    after = edited(TEXT, {"hook.belly": None})
    assert "bulk" not in after
    assert "# The end.\n[hook.tail]" in after
    assert set(tomllib.loads(after)["hook"]) == {"tail"}


def test_the_last_part_of_a_kind_takes_the_kind_along():
    assert "ballast" not in tomllib.loads(edited(TEXT, {"ballast.belly": None}))
    assert "ballast" not in altered(tomllib.loads(TEXT), {"ballast.belly": None})


def test_taking_out_what_is_not_there_changes_nothing():
    assert edited(TEXT, {"hook.tail.bulk": None, "hook.nose": None, "paint.weight": None}) == TEXT


def test_a_part_written_as_a_table_within_a_line_can_be_taken_out():
    text = 'hook.a = { weight = "1 g" }\nhook.b = { weight = "2 g" }\n'
    assert tomllib.loads(edited(text, {"hook.a": None})) == {"hook": {"b": {"weight": "2 g"}}}


def test_line_ends_of_another_system_stay():
    after = edited(TEXT.replace("\n", "\r\n"), {"hook.tail.weight": "1 g", "ballast.trim": NEW})
    assert after.count("\r\n") == after.count("\n") == TEXT.count("\n") + 4


@pytest.mark.parametrize("path", ["body.main.stations.3.width", "body.main.length.value"])
def test_a_path_that_leads_nowhere_is_refused(path):
    text = TEXT.replace('length = "70 mm"', 'length = "70 mm"\nstations = [{ width = "1 mm" }]')
    with pytest.raises(KeyError, match="the file has no"):
        edited(text, {path: "2 mm"})


def test_the_lines_of_a_change_are_the_values_that_differ():
    found = lines(TEXT, {"hook.tail.weight": "1.2 g", "hook.tail.size": "9 mm", "ballast.belly.at.up": None})
    assert found == [
        ChangedLine("ballast.belly.at.up", "-6 mm", None),
        ChangedLine("hook.tail.size", None, "9 mm"),
    ]


def test_a_change_of_nothing_is_an_empty_patch():
    assert patch(TEXT, TEXT, "lure.toml") == ""


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte order mark"])
@pytest.mark.parametrize("end", ["\n", ""], ids=["ended", "no newline at the end"])
def test_a_patch_is_applied_by_git(mark, end, tmp_path):
    before = mark + TEXT.rstrip("\n").removeprefix("# A lure.\n") + end
    changes = {"name": "Other", "hook.tail.weight": "1 g", "ballast.trim": NEW, "hook.belly": None}
    after = edited(before, changes)
    assert after.startswith(mark)
    assert lines(before, changes) == lines(before.removeprefix(mark), changes)
    (tmp_path / "lure.toml").write_text(before, encoding="utf-8")
    (tmp_path / "change.patch").write_text(patch(before, after, "lure.toml"), encoding="utf-8")
    subprocess.run(["git", "apply", "--unidiff-zero", "change.patch"], cwd=tmp_path, check=True)
    assert (tmp_path / "lure.toml").read_text(encoding="utf-8") == after


@pytest.mark.parametrize("file", SCENARIOS, ids=lambda file: file.stem)
def test_each_value_of_the_demo_designs_can_be_changed_and_changed_back(file):
    text = file.read_text()
    for line in lines(text, dict.fromkeys(tomllib.loads(text))):
        if not isinstance(line.before, str):
            continue
        other = edited(text, {line.path: "7 mm"})
        assert (
            lines(text, {line.path: "7 mm"}) == [ChangedLine(line.path, line.before, "7 mm")]
            or line.before == "7 mm"
        )
        assert tomllib.loads(other) == altered(tomllib.loads(text), {line.path: "7 mm"})
        assert edited(other, {line.path: line.before}) == text


_words = st.text(alphabet="abcdefgh", min_size=1, max_size=4)
_values = st.one_of(st.text(max_size=8), st.integers(-9, 9), st.booleans())


@settings(max_examples=60)
@given(
    st.dictionaries(_words, st.dictionaries(_words, st.one_of(_values, st.dictionaries(_words, _values)))),
    _words, _words, st.one_of(_values, st.none(), st.dictionaries(_words, _values, min_size=1)),
)  # fmt: skip
@example({"a": {}}, "a", "a", None)
def test_any_tables_read_after_an_edit_as_they_should(tables, group, key, value):
    import tomlkit

    text = tomlkit.dumps(tables)
    wanted = altered(tomllib.loads(text), {f"{group}.{key}": value})
    assert tomllib.loads(edited(text, {f"{group}.{key}": value})) == wanted


def test_a_file_of_mixed_line_ends_changes_only_in_the_lines_that_change():
    mixed = TEXT.replace("\n", "\r\n", TEXT.count("\n") // 2)
    after = edited(mixed, {"hook.tail.weight": "1 g"})
    changed = [(a, b) for a, b in zip(mixed.split("\n"), after.split("\n"), strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][1].startswith('weight = "1 g"')


@pytest.mark.skipif(shutil.which("patch") is None, reason="the program patch is not installed")
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("last", ["", "# end\u2028 of it"])
def test_the_patch_of_a_file_applies_whatever_its_line_ends(end, last, tmp_path):
    before = (TEXT + last).replace("\n", end)
    after = edited(before, {"hook.tail.weight": "1 g", "ballast.trim": NEW})
    path = tmp_path / "lure.toml"
    path.write_bytes(before.encode())
    (tmp_path / "a.patch").write_bytes(patch(before, after, "lure.toml").encode())
    subprocess.run(["patch", "--binary", "-p1", "-s", "-i", "a.patch"], cwd=tmp_path, check=True)
    assert path.read_bytes() == after.encode()
