"""The pictures of the documentation, made again by `python -m docs.tools.pictures docs/pictures`."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stdout
from pathlib import Path

from sim.cli import main as drytank
from sim.cli.pictures import draw

DOCUMENTED = (
    ("scenarios/thimble_oar.toml", ("sits", "weights", "righting", "cast", "depth", "wobble", "windows")),
    ("scenarios/cellar_door.toml", ("line",)),
    ("scenarios/last_skittle.toml", ("drop",)),
)
"""What the documentation shows of single designs, at the fastest speed of each."""

COMMANDS = {
    "compare.svg": (
        "compare scenarios/cellar_door.toml --set lip.angle=25deg,45deg,70deg --speed 0.9m/s",
        "--figure",
    ),
    "map.svg": ("map scenarios/thimble_oar.toml --grid 12x8 --set duration=3s", "--figure"),
}
"""And of several: the commands as the how-tos have them, and their option for the picture."""

SCREEN = "trial scenarios/cellar_door.toml"
"""The command whose answer the README shows."""


def main(arguments: list[str] | None = None) -> int:
    """Draw them all into the folder named."""
    from sim.design.load import load
    from sim.show.figures import save
    from sim.show.picture import picture
    from sim.show.units import METRIC

    (folder,) = map(Path, sys.argv[1:] if arguments is None else arguments)
    folder.mkdir(parents=True, exist_ok=True)
    for file, kinds in DOCUMENTED:
        design = load(Path(file))
        speed = design.retrieve.speeds[-1].value
        for kind in kinds:
            save(draw(design, kind, METRIC, None, speed), folder / f"{kind}.svg")
    for name, (command, option) in COMMANDS.items():
        answered(f"{command} {option} {folder / name}")
    (folder / "trial.svg").write_text(picture(answered(SCREEN)), encoding="utf-8")
    return 0


def answered(command: str) -> str:
    """What a command prints."""
    with redirect_stdout(io.StringIO()) as page:
        drytank(command.split())
    return page.getvalue()


if __name__ == "__main__":
    sys.exit(main())
