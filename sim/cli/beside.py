"""`python -m sim.cli.beside WORDS`: a command that the page of `open` runs, its answer as blocks of the page model.

The answer is JSON on the standard output; on the error stream a line that begins with `progress.MARK` is how far it
has come, and any other is a remark.
"""

from __future__ import annotations

import argparse
import sys

from sim.cli import main
from sim.cli.runner import Answer, look_for, write_files
from sim.page.answers import compact
from sim.page.blocks import as_data
from sim.show.document import Document, Paragraph
from sim.show.progress import Marked


def as_blocks(args: argparse.Namespace, answer: Answer) -> None:
    """Show an answer as data; its files are written as ever."""
    look = look_for(args)
    if answer.page:
        document = answer.page(look.units)
    else:
        document = Document("", (Paragraph(answer.text(look)),) if answer.text else ())
    print(compact(as_data(document)).decode())
    write_files(answer.files, sys.stderr)


if __name__ == "__main__":
    sys.stderr = Marked(sys.stderr)
    sys.exit(main(show=as_blocks))
