"""Writes the validation page.

python -m tests.checks docs/validation.md [--check]
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.checks.checks import Verdict, outcome, subjects
from tests.checks.page import page, score


def main() -> int:
    """Write the page, or with `--check` compare; exit status 1 if a check is broken or the page differs."""
    words = argparse.ArgumentParser(prog="python -m tests.checks", description="Writes the validation page.")
    words.add_argument("file", type=Path)
    words.add_argument(
        "--check", action="store_true", help="write nothing; exit status 1 if the page differs"
    )
    args = words.parse_args()
    text = page()
    broken = [
        one for subject in subjects() for one in map(outcome, subject.checks) if one.verdict is Verdict.BROKEN
    ]
    for one in broken:
        print(f"{one.check.what}: {one.problem}", file=sys.stderr)
    stale = not args.file.exists() or args.file.read_text(encoding="utf-8") != text
    if args.check and stale:
        print(f"{args.file} is out of date", file=sys.stderr)
    elif stale:
        args.file.write_text(text, encoding="utf-8")
    print(score())
    return 1 if broken or (args.check and stale) else 0


if __name__ == "__main__":
    sys.exit(main())
