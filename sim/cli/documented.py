"""The pictures of the documentation, made again by `python -m sim.cli.documented docs/pictures`."""

from __future__ import annotations

import sys
from pathlib import Path

from sim.cli.pictures import draw

DEEP_RUNNER = "scenarios/cellar_door.toml"
DOCUMENTED = (
    ("scenarios/reed_runner.toml", ("sits", "weights", "righting", "cast", "depth", "wobble", "windows")),
    (DEEP_RUNNER, ("line",)),
    ("scenarios/last_skittle.toml", ("drop",)),
)
"""What the documentation shows, besides a page of text."""


def main(arguments: list[str] | None = None) -> int:
    """Draw them all into the folder named, at the fastest speed of each design."""
    from sim.design.load import load
    from sim.show import picture
    from sim.show.figures import save
    from sim.show.units import METRIC

    (folder,) = map(Path, sys.argv[1:] if arguments is None else arguments)
    folder.mkdir(parents=True, exist_ok=True)
    for file, kinds in DOCUMENTED:
        design = load(Path(file))
        speed = design.retrieve.speeds[-1].value
        for kind in kinds:
            save(draw(design, kind, METRIC, None, speed), folder / f"{kind}.svg")
    return picture.main([DEEP_RUNNER, str(folder / "trial.svg")])


if __name__ == "__main__":
    sys.exit(main())
