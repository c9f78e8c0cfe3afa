"""Compiled code: its cache, and how it is called."""

import os
import re
import subprocess
import sys
from pathlib import Path

import numba
import numpy as np
import pytest

import sim
from sim import compiled, compiling
from sim.design.load import load
from sim.forces import laws
from sim.hydrostatics import immersion
from sim.lure import hull, weigh

PACKAGE = Path(sim.__file__).parent


def test_every_file_with_compiled_code_is_part_of_the_name_of_the_cache():
    sources = [PACKAGE / name for name in compiled.SOURCES]
    for path in PACKAGE.rglob("*.py"):
        if re.search(r"^@(compiled|kernel)", path.read_text(encoding="utf-8"), re.MULTILINE):
            assert any(path == source or source in path.parents for source in sources), path


def test_the_name_of_the_cache_names_files_that_are_there():
    assert all((PACKAGE / name).exists() for name in compiled.SOURCES)


def test_every_kernel_knows_the_kernels_it_calls():
    from sim.forces.account import add_forces
    from sim.forces.plate import plate_force
    from sim.motion.equations import derivative
    from sim.motion.stepper import advance

    assert plate_force in add_forces.kernels
    assert add_forces in derivative.kernels
    assert derivative in advance.kernels


def test_small_helpers_give_the_same_bits_run_plain_and_compiled():
    """Of those that Python calls as well: what it works out must not hang on who asks."""
    for aspect in np.random.default_rng(1).uniform(0.05, 8.0, 200):
        for law, args in (
            (laws.lift_slope, (aspect,)), (laws.edge_lift, (aspect, 0.2)), (laws.stalled_relief, (aspect,))
        ):  # fmt: skip
            assert law.function(*args) == numba.njit(error_model="numpy")(law.dispatcher.py_func)(*args)


def test_what_is_compiled_is_what_the_source_says():
    up, vertices = np.array([0.1, 0.2, 0.97]), np.random.default_rng(1).normal(size=(40, 3))
    found, plain, bound = np.empty(40), np.empty(40), np.empty(40)
    immersion.rises(vertices, up, found)
    immersion.rises.function(vertices, up, plain)
    immersion.rises.bound(vertices)(up, bound)
    assert np.array_equal(found, plain)
    assert np.array_equal(found, bound)


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (np.zeros(3, dtype=np.float32), "float32"),
        (np.zeros((3, 3)), r"\(3, 3\)"),
        (np.zeros(6)[::2], r"\(3,\)"),
    ],
)
def test_an_array_of_another_kind_is_refused_and_not_read_as_it_stands(wrong, why):
    with pytest.raises(TypeError, match=why):
        immersion.rises(np.zeros((1, 3)), wrong, np.empty(1))


def test_a_trial_needs_no_compiler_once_all_is_compiled_and_nothing_that_it_does_not_use():
    compiling.prepare(1)
    code = (
        "import sys; from sim.cli import main; status = main(['trial', 'scenarios/gravel_bell.toml']); "
        "loaded = {'numba', 'scipy', 'matplotlib', 'numpy.ma'} & set(sys.modules); "
        "assert status == 0 and not loaded, loaded"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 0, done.stderr


def test_code_that_does_not_load_by_itself_is_loaded_beside_numba(monkeypatch, tmp_path):
    monkeypatch.setattr(compiled, "cache_folder", lambda: tmp_path)
    monkeypatch.setattr(compiling, "_LOAD", "raise SystemExit(1)")
    compiling._try_alone()
    assert not compiled.is_compiled()
    monkeypatch.setattr(compiling, "_LOAD", "")
    compiling._try_alone()
    assert compiled.is_compiled()


def test_a_worker_takes_nothing_from_the_folder_it_is_started_in(tmp_path, monkeypatch):
    """A maker's folder may hold a `random.py`, and a clone of this program has a `sim` that is not the installed
    one."""
    monkeypatch.delenv("PYTHONPATH", raising=False)
    (tmp_path / "random.py").write_text("raise SystemExit(3)")
    code = compiling._python("import random, sim; print(sim.__file__)")
    done = subprocess.run(code, cwd=tmp_path, capture_output=True, text=True, env=compiling._environment())
    assert done.stdout.strip() == sim.__file__


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


def test_a_full_disk_costs_the_cache_and_nothing_else(tmp_path, monkeypatch):
    def full(*args, **kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(compiled, "cache_folder", lambda: tmp_path)
    monkeypatch.setattr("tempfile.mkstemp", full)
    name, code = immersion.rises.make()
    assert "rises" in name
    assert code
    assert not list(tmp_path.iterdir())


def test_kernels_are_made_by_workers_that_say_so(monkeypatch):
    compiling.pending()  # which imports them all
    two = [one for one in compiled.kernels() if "small" in one.symbol][:2]
    monkeypatch.setattr(compiling, "is_compiled", lambda: False)
    monkeypatch.setattr(compiling, "pending", lambda: list(two))
    told = []
    compiling.prepare(2, lambda done, total: told.append((done, total)))
    assert sorted(told) == [(1, 2), (2, 2)]
    assert all(one.is_kept for one in two)


def test_what_python_does_meanwhile_is_what_is_compiled_later(monkeypatch, tmp_path):
    body = weigh(load("scenarios/cellar_door.toml")).bodies[0]
    code = body.hull(1e-5)
    monkeypatch.setattr(hull._loft, "_address", 0)
    monkeypatch.setattr(hull._loft, "few", 1)
    monkeypatch.setattr(compiled, "cache_folder", lambda: tmp_path)
    plain = body.hull(1e-5)
    assert hull._loft.few == 0
    assert (plain.vertices == code.vertices).all()


def test_a_budget_needs_no_compiler_and_no_solver():
    code = (
        "import sys; from sim.cli import main; status = main(['budget', 'scenarios/thimble_oar.toml']); "
        "found = {'numba', 'llvmlite', 'scipy', 'matplotlib', 'multiprocessing'} & set(sys.modules); "
        "assert status == 0 and not found, found"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 0, done.stderr
