"""Where the runs of a study are run: here, on several processes, or on a Dask cluster."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sim.cli.errors import InputError

if TYPE_CHECKING:
    from concurrent.futures import Executor

SECONDS_TO_REACH = 15  # a cluster that has not answered by then is not there


@contextmanager
def where_to_run(args: argparse.Namespace, runs: int) -> Iterator[tuple[Executor | None, int]]:
    """An executor, or None for processes of this machine, and how many runs go at a time.

    Raises:
        InputError: there is no cluster at the address given.
    """
    if not args.cluster:
        from sim.studies.engine import default_workers

        yield None, args.workers or default_workers(runs)
        return
    try:
        from distributed import Client
    except ImportError as problem:
        raise InputError(
            "--cluster needs the extra of that name: pip install 'drytank[cluster]'"
        ) from problem
    client = Client.__new__(Client)
    try:
        client.__init__(args.cluster, timeout=SECONDS_TO_REACH, set_as_default=False)  # type: ignore[misc]
    except (OSError, ValueError, TypeError, RuntimeError) as problem:
        client.status = (
            "closed"  # or it would try for half a minute more to close what was never open, and complain
        )
        raise InputError(
            f"--cluster {args.cluster}: no scheduler answers there; give the address that it printed when it "
            "was started, as in tcp://192.168.1.5:8786"
        ) from problem
    with client:
        there = sum(client.ncores().values())
        if not there:
            raise InputError(
                f"--cluster {args.cluster}: this scheduler has no workers yet; start some and try again"
            )
        yield client.get_executor(pure=False), there
