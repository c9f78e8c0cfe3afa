"""How many inputs are drawn: a few in the suite, ten thousand and a thousand lures in the profile `nightly`.

    python -m pytest tests/properties --hypothesis-profile=nightly

takes hours; `-k` takes a part of it. What it finds becomes an `@example`.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from hypothesis import HealthCheck, Phase, settings

NIGHTLY = settings.default.max_examples > 100  # `tests.conftest` registers the profile
LONGEST = 20.0  # s of this processor: no input may take longer
MOST_MEMORY = 1.5e9  # bytes


def drawn(few: int, nightly: int) -> settings:
    """Settings for so many inputs, without shrinking at night, so that one failure does not eat the hours."""
    phases = [Phase.explicit, Phase.generate] if NIGHTLY else list(Phase)
    return settings(
        max_examples=nightly if NIGHTLY else few, suppress_health_check=list(HealthCheck), phases=phases,
        database=None,
    )  # fmt: skip


@contextmanager
def soon_and_small() -> Iterator[None]:
    """At night: no input takes long, and the memory of all of them together stays small."""
    before = time.process_time()
    yield
    if NIGHTLY:
        assert time.process_time() - before < LONGEST
        assert most_memory() < MOST_MEMORY


def most_memory() -> float:
    """The most memory that this process has had, bytes."""
    try:
        import resource
    except ImportError:  # Windows
        return 0.0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return float(peak) * (1.0 if sys.platform == "darwin" else 1024.0)


def strict(text: str) -> Any:
    """JSON without NaN and infinity, which Python would let pass."""

    def refused(name: str) -> Any:
        raise AssertionError(f"{name} in JSON")

    return json.loads(text, parse_constant=refused)
