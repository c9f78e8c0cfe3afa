"""Where the runs of a study are run: here, on several processes, or on a Dask cluster."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import InputError, Stopped
from sim.cli.files import unwritten

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sim.studies.record import Record

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


@contextmanager
def resumable(
    args: argparse.Namespace, opened: Callable[[Path], Record], what: str
) -> Iterator[Record | None]:
    """The record of a study in a table, if one is asked for; what is in it when the study is stopped stays.

    Args:
        opened: begins the record, or resumes it.
        what: is in it, as in "of 12 runs"; of which it says how many when it is stopped.

    Raises:
        InputError: the table is something else, or cannot be written.
        Stopped: interrupted; the same command goes on from there.
    """
    table, record = getattr(args, "output", None), None
    try:
        record = opened(table) if table else None
        yield record
    except KeyboardInterrupt as stop:
        if record:
            done = f"{len(record.done)} {what} are in {table}; give the same command again to go on"
        else:
            done = "Nothing is kept" + (
                "; with -o FILE.csv it would go on from here" if "output" in args else ""
            )
        raise Stopped(f"Stopped. {done}.") from stop
    except (OSError, ValueError) as problem:
        from sim.studies.record import RecordError

        if isinstance(problem, RecordError):
            raise InputError(f"-o {problem}.") from problem
        if table is None or (not isinstance(problem, OSError) and record):
            raise
        rest = " The same command goes on from there." if record else ""
        raise InputError(f"{unwritten(table, problem)}{rest}") from problem
    finally:
        if record:
            record.close()
