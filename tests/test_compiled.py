"""The cache of compiled code must know every file that it was compiled from."""

import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import sim
from sim import compiled, compiling
from sim.lure import moments, profile

PACKAGE = Path(sim.__file__).parent


def test_every_file_with_compiled_code_is_part_of_the_name_of_the_cache():
    sources = [PACKAGE / name for name in compiled.SOURCES]
    for path in PACKAGE.rglob("*.py"):
        if re.search(r"^@(compiled|kernel|entry)", path.read_text(encoding="utf-8"), re.MULTILINE):
            assert any(path == source or source in path.parents for source in sources), path


def test_the_name_of_the_cache_names_files_that_are_there():
    assert all((PACKAGE / name).exists() for name in compiled.SOURCES)


def test_every_unit_knows_the_kernels_it_calls():
    from sim.forces.account import add_forces
    from sim.forces.plate import plate_force
    from sim.motion.equations import derivative
    from sim.motion.stepper import advance

    assert plate_force in add_forces.kernels
    assert add_forces in derivative.kernels
    assert derivative in advance.kernels


def test_small_helpers_give_the_same_bits_run_plain_and_compiled():
    random = np.random.default_rng(1)
    knots = np.cumsum(random.uniform(0.1, 1.0, 9))
    values = random.uniform(0.0, 1.0, 9)
    slopes = profile._slopes.function(knots, values)
    assert np.array_equal(slopes, profile._slopes.dispatcher(knots, values))
    where = np.sort(random.uniform(knots[0], knots[-1], 40))
    assert np.array_equal(profile._merged.function(knots, where), profile._merged.dispatcher(knots, where))
    about = moments._about_point.function(values[:3], 0.7, np.outer(values[:3], values[:3]))
    assert np.array_equal(
        about, moments._about_point.dispatcher(values[:3], 0.7, np.outer(values[:3], values[:3]))
    )
    assert np.array_equal(moments._inertia.function(about), moments._inertia.dispatcher(about))


@pytest.fixture
def shared_tmp(tmp_path, monkeypatch):
    """A temporary directory of all users, and a home that cannot be written to."""
    home = tmp_path / "home"
    home.write_text("no folder")
    monkeypatch.setenv("DRYTANK_CACHE", str(home))
    shared = tmp_path / "tmp"
    shared.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(shared))
    compiled.cache_folder.cache_clear()
    yield shared
    compiled.cache_folder.cache_clear()


def test_without_a_home_compiled_code_is_kept_where_only_this_user_can_write(shared_tmp):
    folder = compiled.cache_folder()
    assert folder.parent.parent == shared_tmp
    assert folder.parent.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("planted", ["open to all", "a link"])
def test_a_folder_that_another_user_may_have_planted_is_not_used(shared_tmp, planted):
    guessed = shared_tmp / f"drytank-{os.getuid()}"
    if planted == "a link":
        elsewhere = shared_tmp / "elsewhere"
        elsewhere.mkdir(mode=0o700)
        guessed.symlink_to(elsewhere)
    else:
        guessed.mkdir()
        guessed.chmod(0o777)
    folder = compiled.cache_folder()
    assert guessed not in (folder, *folder.parents)
    assert folder.stat().st_mode & 0o077 == 0


def test_a_full_disk_is_no_place_for_the_cache(shared_tmp, monkeypatch):
    def full(*args, **kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tempfile.TemporaryFile", full)
    compiled._keeps.cache_clear()
    assert compiled._keeps() is False
    compiled._keeps.cache_clear()


def test_units_are_made_by_workers_that_say_so(monkeypatch):
    compiling.pending()  # which imports them all
    two = [one for one in compiled.units() if "small" in one.symbol][:2]
    monkeypatch.setattr(compiling, "is_compiled", lambda: False)
    monkeypatch.setattr(compiling, "pending", lambda: list(two))
    told = []
    compiling.prepare(2, lambda done, total: told.append((done, total)))
    assert sorted(told) == [(1, 2), (2, 2)]
    assert all(one.is_kept for one in two)


def test_a_budget_needs_no_compiler_and_no_solver():
    code = (
        "import sys; from sim.cli import main; status = main(['budget', 'scenarios/thimble_oar.toml']); "
        "found = {'numba', 'llvmlite', 'scipy', 'matplotlib', 'multiprocessing'} & set(sys.modules); "
        "assert status == 0 and not found, found"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 0, done.stderr


def test_code_compiled_before_its_source_was_written_is_not_taken_for_it(monkeypatch, tmp_path):
    """After an update in place numba compiles again what it kept, so the first start has to be told of it."""
    (tmp_path / "complete").touch()
    monkeypatch.setattr(compiled, "cache_folder", lambda: tmp_path)
    assert compiled.is_compiled()
    os.utime(tmp_path / "complete", (0.0, 0.0))
    assert not compiled.is_compiled()
    one = compiled.units()[0]
    name = f"{one.function.__module__.rpartition('.')[2]}.{one.function.__qualname__}-1.py311.nbi"
    (tmp_path / name).touch()
    assert one.is_kept
    os.utime(tmp_path / name, (0.0, 0.0))
    assert not one.is_kept
