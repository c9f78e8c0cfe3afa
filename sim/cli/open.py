"""`open`: the bench and the tank on a page of your own browser."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from sim.cli.common import ANSWERED, Command, InputError, write_whole


def run(args: argparse.Namespace) -> int:
    """Serve the page until it is stopped with Ctrl-C."""
    from sim.design.load import DesignError
    from sim.page.app import Page
    from sim.page.serve import drafts_folder, serve

    file = Path(args.file) if args.file else None
    if file is not None and file.is_dir():
        folder, file = file, None
    else:
        folder = file.parent if file else Path()
    try:
        page = Page(folder, file, drafts_folder(), write_whole, args.units)
    except DesignError as problem:
        raise InputError(str(problem)) from problem
    try:
        serve(page, args.port, _say, not args.no_browser)
    except OSError as problem:
        raise InputError(
            f"--port {args.port}: this port cannot be had ({problem.strerror}); leave it out for any that is free."
        ) from problem
    return ANSWERED


def _say(address: str) -> None:
    print(address, flush=True)
    print("Open this address in a browser on this machine. Ctrl-C stops it.", file=sys.stderr, flush=True)


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "file", nargs="?", metavar="FILE",
        help="the design file, or a folder; left out: this folder, with designs to start from",
    )  # fmt: skip
    sub.add_argument(
        "--port", type=int, default=0, metavar="N", help="of the address (default: any that is free)"
    )
    sub.add_argument("--no-browser", action="store_true", help="only print the address")
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the page (default: metric)"
    )


COMMANDS = (
    Command(
        "open", "the bench and the tank on a page of your browser", "drytank open lure.toml", _arguments, run
    ),
)
