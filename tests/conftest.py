"""How hypothesis draws its cases: the same ones in every run, so that a red suite is red for a reason.

New cases are looked for with `pytest --hypothesis-profile=explore`; what it finds becomes an `@example`.
"""

import os

import pytest
from hypothesis import settings

from sim.compiling import cores, prepare
from sim.disk import held
from tests import demos

# no deadlines: the first call of a compiled function compiles it, and speed is measured by the benchmarks
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile(
    "nightly", deadline=None, print_blob=True, max_examples=1000
)  # `tests.properties.sizes`
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile("steady")


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config):
    """Side by side, each process takes neighbouring tests, which share what their fixtures work out."""
    if getattr(config.option, "numprocesses", None) and config.option.dist in ("no", "load"):
        config.option.dist = "worksteal"


@pytest.fixture(scope="session", autouse=True)
def _shared(tmp_path_factory):
    """Side by side, processes share what they work out of the demo lures, and what is not compiled yet is compiled
    once, instead of in each by the way."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        demos.folder = tmp_path_factory.getbasetemp().parent
        with held(demos.folder / "compiling", patience=600.0):
            prepare(cores())
