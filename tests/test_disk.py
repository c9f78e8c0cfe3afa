"""Files are written whole or not at all, where their names lead, and by one program at a time."""

import os
import stat
import threading

import pytest

from sim import disk
from sim.disk import DiskError, held, is_foreign, replacing, write_all, write_whole

POSIX = pytest.mark.skipif(os.name != "posix", reason="links, pipes and permissions of POSIX")


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_and_nothing_is_left_beside_it(tmp_path):
    write_whole(tmp_path / "a.txt", "5 \N{DEGREE SIGN}C\r\n")
    assert (tmp_path / "a.txt").read_bytes() == b"5 \xc2\xb0C\r\n"
    assert names(tmp_path) == ["a.txt"]


@POSIX
def test_a_link_stays_a_link_and_what_it_points_to_is_written(tmp_path):
    (tmp_path / "far").mkdir()
    (tmp_path / "far" / "real.toml").write_text("old")
    (tmp_path / "link.toml").symlink_to("far/real.toml")
    write_whole(tmp_path / "link.toml", "new")
    assert (tmp_path / "link.toml").is_symlink()
    assert (tmp_path / "far" / "real.toml").read_text() == "new"
    (tmp_path / "to_come.toml").symlink_to("far/to_come.toml")
    write_whole(tmp_path / "to_come.toml", "there")
    assert (tmp_path / "far" / "to_come.toml").read_text() == "there"


@POSIX
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_a_file_keeps_its_permissions_and_a_new_one_gets_the_usual_ones(tmp_path, mode):
    path = tmp_path / "a.toml"
    path.write_text("old")
    path.chmod(mode)
    write_whole(path, "new")
    assert stat.S_IMODE(path.stat().st_mode) == mode
    (tmp_path / "by_hand").write_text("")
    write_whole(tmp_path / "b.toml", "new")
    assert (tmp_path / "b.toml").stat().st_mode == (tmp_path / "by_hand").stat().st_mode


@POSIX
def test_pipes_devices_and_links_in_a_circle_are_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "round").symlink_to("round")
    for path in (tmp_path / "pipe.csv", tmp_path / "round"):
        with pytest.raises(DiskError, match="no ordinary file"):
            write_whole(path, "x")
    with pytest.raises(DiskError, match=r"/dev/null cannot be written: this is no ordinary file"):
        write_whole(disk.Path("/dev/null"), "x")
    assert stat.S_ISFIFO((tmp_path / "pipe.csv").stat().st_mode)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nowhere/a.csv", "there is no folder"),
        ("", "this is a folder"),
        ("file/a.csv", "is no folder"),
        ("a" * 300, "File name too long"),
        ("a\0b", "no file can have that name"),
    ],
)
def test_a_name_that_nothing_can_be_written_to_is_refused_in_a_sentence(tmp_path, name, said):
    (tmp_path / "file").write_text("")
    with pytest.raises(DiskError, match=said):
        write_whole(tmp_path / name, "x")


def test_of_several_files_all_are_written_or_none(tmp_path, monkeypatch):
    paths = [tmp_path / name for name in ("a", "b", "new", "c")]
    for path in (paths[0], paths[1], paths[3]):
        path.write_text("old")
    write_all(dict.fromkeys(paths[:2], "newer"))
    assert [path.read_text() for path in paths[:2]] == ["newer", "newer"]

    replace, left = os.replace, iter([True, True, True, False])

    def failing(a, b):
        if not next(left, True):
            raise OSError(28, "No space left on device")
        replace(a, b)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(DiskError, match=r"c cannot be written: No space left"):
        write_all(dict.fromkeys(paths, "newest"))
    assert [path.read_text() for path in (paths[0], paths[1], paths[3])] == ["newer", "newer", "old"]
    assert names(tmp_path) == ["a", "b", "c"]


def test_a_replacement_that_fails_leaves_the_file_as_it_was(tmp_path):
    path = tmp_path / "a"
    path.write_text("old")

    def half():
        with replacing(path) as file:
            file.write(b"half")
            raise KeyError

    with pytest.raises(KeyError):
        half()
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a"]


def test_ten_writers_at_once_lose_nothing(tmp_path):
    path = tmp_path / "log"
    path.write_text("")

    def add(k):
        with held(path):
            write_whole(path, f"{path.read_text()}{k}\n")

    threads = [threading.Thread(target=add, args=(k,)) for k in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(map(int, path.read_text().split())) == list(range(10))
    assert names(tmp_path) == ["log"]


def test_who_will_not_wait_is_told_who_writes(tmp_path):
    with (
        held(tmp_path / "a"),
        pytest.raises(DiskError, match="being written by another drytank"),
        held(tmp_path / "a", patience=0.0),
    ):
        pass
    with held(tmp_path / "a", patience=0.0):  # and afterwards it is free
        pass


def test_a_file_of_somebody_else_is_foreign_and_an_empty_or_missing_one_is_not(tmp_path):
    path = tmp_path / "a"
    assert not is_foreign(path, lambda head: False)
    path.write_bytes(b"")
    assert not is_foreign(path, lambda head: False)
    path.write_bytes(b"mine")
    assert is_foreign(path, lambda head: head.startswith(b"drytank"))
    assert not is_foreign(path, lambda head: head == b"mine")
