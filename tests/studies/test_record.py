"""The file of a study: whole rows, whatever happens; resumed only by the same study."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.disk import DiskError
from sim.studies import record
from sim.studies.record import RecordError, opened, read

HEAD = ["case", "plate.lip.angle_deg", "retrieve.behaviour", "failure"]
ROWS = [[k, 10.0 * k / 3, 'wakes, or "runs"', "" if k % 3 else "no\nanswer, sorry"] for k in range(1, 8)]


def begun(path, digest="abc", over=False):
    return opened(path, digest, ["vary of lure.toml", "cases: 7\nand a line"], HEAD, over=over)


def written(path, rows=ROWS):
    with begun(path) as file:
        for row in rows:
            file.add(row)
    return path


def test_rows_come_back_sorted_and_unchanged(tmp_path):
    path = written(tmp_path / "a.csv", ROWS[::-1])
    rows = read(path)
    assert [row["case"] for row in rows] == [str(k) for k in range(1, 8)]
    assert [float(row["plate.lip.angle_deg"]) for row in rows] == [row[1] for row in ROWS]  # to the last bit
    assert rows[0]["retrieve.behaviour"] == 'wakes, or "runs"'
    assert rows[2]["failure"] == "no answer, sorry"


def test_the_head_says_what_the_study_is_in_lines_of_its_own(tmp_path):
    head = [line for line in written(tmp_path / "a.csv").read_text().splitlines() if line.startswith("#")]
    assert head[1:] == ["# vary of lure.toml", "# cases: 7 and a line", "# study: abc"]


def test_finishing_puts_rows_in_order_whatever_order_they_came_in(tmp_path):
    paths = [tmp_path / "a.csv", tmp_path / "b.csv"]
    for path, rows in zip(paths, (ROWS, ROWS[::-1]), strict=True):
        with begun(path) as file:
            for row in rows:
                file.add(row)
            file.finish()
    assert paths[0].read_bytes() == paths[1].read_bytes()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.csv", "b.csv"]


@settings(max_examples=60)
@given(st.data())
def test_cut_off_anywhere_it_resumes_to_the_same_bytes(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("cut")
    whole = written(folder / "whole.csv").read_bytes()
    first_row = whole.index(b"\n1,") + 1
    cut = data.draw(st.integers(first_row, len(whole)))
    path = folder / "cut.csv"
    path.write_bytes(whole[:cut])
    with begun(path) as file:
        assert file.done == {k for k in range(1, 8) if k <= whole[first_row:cut].count(b"\n")}
        assert [row["case"] for row in read(path)] == [str(k) for k in sorted(file.done)]
        for row in ROWS:
            if row[0] not in file.done:
                file.add(row)
        file.finish()
    assert path.read_bytes() == whole


@given(st.binary(max_size=60), st.integers(0, 2))
def test_whatever_stands_in_a_row_it_is_read_or_run_again(tmp_path_factory, junk, rows_before):
    path = written(tmp_path_factory.mktemp("junk") / "a.csv", ROWS[:rows_before])
    with path.open("ab") as file:
        file.write(junk)
    rows = read(path)
    with begun(path) as file:
        done = set(file.done)
        file.add([6, 1.0, "dives", ""])
        file.finish()
    assert set(range(1, rows_before + 1)) <= done
    assert {int(row["case"]) for row in rows} <= done
    assert {int(row["case"]) for row in read(path)} == done | {6}
    lines = path.read_bytes().splitlines()
    assert len([line for line in lines if line[:1].isdigit()]) == len(lines) - 5  # the head, and rows alone


def test_another_study_is_not_written_over_unless_told_to(tmp_path):
    path = written(tmp_path / "a.csv")
    before = path.read_bytes()
    with pytest.raises(RecordError, match=r"a\.csv holds another study .* or --force to write over it"):
        begun(path, "other")
    assert path.read_bytes() == before
    with begun(path, "other", over=True) as file:
        assert file.done == set()
    assert read(path) == []


def test_a_file_that_is_no_study_is_left_alone(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("my,own,table\n1,2,3\n")
    with pytest.raises(RecordError, match="is there already and is no study of drytank; give another name"):
        begun(path)
    assert path.read_text() == "my,own,table\n1,2,3\n"


def test_an_empty_file_is_begun(tmp_path):
    path = tmp_path / "a.csv"
    path.touch()
    with begun(path) as file:
        assert file.done == set()


def test_a_row_is_in_the_file_as_soon_as_it_is_added(tmp_path):
    path = tmp_path / "a.csv"
    with begun(path) as file:
        for k, row in enumerate(ROWS, start=1):
            file.add(row)
            assert len(read(path)) == k  # read while it is open


def test_the_mark_of_a_study_is_where_it_is_looked_for(tmp_path):
    assert f"\n{record.MARK}abc\n" in written(tmp_path / "a.csv").read_text()


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=HYPERLINK(0)", "'=HYPERLINK(0)"),
        ("@sum", "'@sum"),
        ("-1+cmd|' /C calc'!A0", "'-1+cmd|' /C calc'!A0"),
        ("-12.5 deg", "-12.5 deg"),
        ("+3", "+3"),
        ("-1e-3", "-1e-3"),
        ("'quoted", "''quoted"),
        ("wakes", "wakes"),
    ],
)
def test_text_that_a_spreadsheet_would_take_for_a_formula_is_guarded_and_comes_back(tmp_path, text, cell):
    path = written(tmp_path / "a.csv", [[1, 0.0, text, ""]])
    assert f",{cell}," in path.read_text().splitlines()[-1].replace('"', "")
    assert read(path)[0]["retrieve.behaviour"] == text


def test_two_studies_do_not_write_to_one_file_at_once(tmp_path):
    with begun(tmp_path / "a.csv"), pytest.raises(DiskError, match="another drytank"):
        begun(tmp_path / "a.csv")
    begun(tmp_path / "a.csv").close()


def test_a_file_whose_headings_are_damaged_is_refused_and_left_alone(tmp_path):
    path = written(tmp_path / "a.csv")
    for damage in (b"behav\riour", b"behav", b""):
        damaged = path.read_bytes().replace(b"behaviour", damage, 1)
        (tmp_path / "b.csv").write_bytes(damaged)
        with pytest.raises(RecordError, match=r"the headings of .* are damaged"):
            begun(tmp_path / "b.csv")
        assert (tmp_path / "b.csv").read_bytes() == damaged
