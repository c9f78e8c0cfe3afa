"""Where the runs of a study are run: here, on several processes, or on a Dask cluster."""

from __future__ import annotations

import argparse
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.errors import InputError, Stopped
from sim.cli.files import unwritten

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sim.studies.record import StudyFile

SECONDS_TO_REACH = 15  # a cluster that has not answered by then is not there
SECONDS_WITHOUT = 20.0  # a cluster that has had no worker for so long gets none again; judgement


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
    import logging

    try:
        from distributed import Client
    except ImportError as problem:
        raise InputError(
            "--cluster needs the extra of that name: pip install 'drytank[cluster]'"
        ) from problem
    for name in ("distributed", "distributed.client"):  # what there is to say is said here
        logging.getLogger(name).setLevel(logging.CRITICAL)
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
        with _given_up_without_workers(client):
            yield client.get_executor(pure=False), there


@contextmanager
def _given_up_without_workers(client: Any) -> Iterator[None]:
    """What a cluster without workers is asked for would be waited for for ever: it is called off."""
    from distributed import Future

    over = threading.Event()

    def watch() -> None:
        seen = time.monotonic()
        while not over.wait(0.05 * SECONDS_WITHOUT):
            with suppress(OSError):  # no scheduler either: the client calls all off by itself
                if client.ncores():
                    seen = time.monotonic()
                elif time.monotonic() > seen + SECONDS_WITHOUT:
                    client.cancel([Future(key, client) for key in list(client.futures)], force=True)

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        over.set()
        watcher.join()


@contextmanager
def resumable(
    args: argparse.Namespace, opened: Callable[[Path], StudyFile], what: str
) -> Iterator[StudyFile | None]:
    """The record of a study in a table, if one is asked for; what is in it when the study is stopped stays.

    Args:
        opened: begins the record, or resumes it.
        what: is in it, as in "of 12 runs"; of which it says how many when it is stopped.

    Raises:
        InputError: the table is something else, or cannot be written.
        Stopped: interrupted; the same command goes on from there.
        sim.studies.engine.StudyError: the workers are gone; the same command goes on from there.
    """
    table, record = getattr(args, "output", None), None

    def kept() -> str:
        if record:
            return f"{len(record.done)} {what} are in {table}; give the same command again to go on"
        return f"Nothing is kept{'; with -o FILE.csv it would go on from here' if 'output' in args else ''}"

    try:
        record = opened(table) if table else None
        yield record
    except KeyboardInterrupt as stop:
        raise Stopped(f"Stopped. {kept()}.") from stop
    except RuntimeError as problem:
        from sim.studies.engine import StudyError

        if isinstance(problem, StudyError):
            raise StudyError(f"{problem}. {kept()}") from problem
        raise
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
