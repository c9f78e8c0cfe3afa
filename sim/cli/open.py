"""`open`: the bench and the tank on a page of your own browser."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from sim.cli.errors import InputError
from sim.cli.options import flag, option
from sim.cli.runner import Answer, Command
from sim.disk import rewrite


def answer(args: argparse.Namespace) -> Answer:
    """Serve the page until it is stopped with Ctrl-C."""
    from sim.cli.forms import forms
    from sim.design.load import DesignError
    from sim.page.app import Page
    from sim.page.serve import drafts_folder, serve

    file = Path(args.open) if args.open else None
    if file is not None and file.is_dir():
        folder, file = file, None
    else:
        folder = file.parent if file else Path()
    try:
        page = Page(folder, file, drafts_folder(), rewritten, args.units, forms())
    except DesignError as problem:
        raise InputError(str(problem)) from problem
    try:
        serve(page, args.port, _announce, not args.no_browser)
    except OSError as problem:
        raise InputError(
            f"--port {args.port}: this port cannot be had ({problem.strerror}); leave it out for any that is free."
        ) from problem
    return Answer(text=lambda _: "")


def rewritten(path: Path, text: str) -> None:
    """How the page saves a file: with the byte order mark that it had."""
    rewrite({path: text})


def _announce(address: str) -> None:
    print(address, flush=True)
    print("Open this address in a browser on this machine. Ctrl-C stops it.", file=sys.stderr, flush=True)


COMMANDS = (
    Command(
        "open",
        "the bench and the tank on a page of your browser",
        "drytank open lure.toml",
        (
            option("open", nargs="?", metavar="FILE", help=(
                "the design file, or a folder; left out: this folder, with designs to start from")),
            option("--port", type=int, default=0, metavar="N", help="of the address (default: any that is free)"),
            flag("--no-browser", "only print the address"),
        ),
        answer,
        stopped="The page is closed; what was typed is kept.",
        json=False,
    ),
)  # fmt: skip
