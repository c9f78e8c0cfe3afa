"""Short ways to write designs for tests of the build layer."""

from __future__ import annotations

from typing import Any

from sim.design.model import Design
from sim.design.parts import Body

OVAL = {"length": "70 mm", "width": "16 mm", "height": "20 mm", "material": "balsa"}


def design(**parts: Any) -> Design:
    """A design of the given tables, named for the test."""
    return Design.model_validate({"name": "test", **parts})


def one(**body: Any) -> Design:
    """A design of one body called main."""
    return design(body={"main": body})


def stations(*rows: tuple[float, float, float], **more: Any) -> Body:
    """A body of (back, width, height) in mm."""
    return Body.model_validate(
        {
            "shape": "stations",
            "density": "0.5 g/cm3",
            "stations": [{"back": f"{b} mm", "width": f"{w} mm", "height": f"{h} mm"} for b, w, h in rows],
            **more,
        }
    )


def runner() -> Design:
    """A symmetric lure with one of everything, twins included."""
    return design(
        body={
            "main": {**OVAL, "angle": "3 deg"},
            "leg": {
                "length": "20 mm",
                "width": "5 mm",
                "height": "4 mm",
                "density": "1.1 +- 0.1 g/cm3",
                "at": {"back": "41.3 mm", "left": "9.7 mm", "up": "-3.1 mm"},
                "mirrored": True,
            },
        },
        plate={
            "lip": {
                "role": "lip",
                "root": {"back": "4 mm", "up": "-4 mm"},
                "length": "22 mm",
                "width": "20 mm",
                "angle": "35 deg",
                "outline": "round",
            },
            "fin": {
                "role": "fin",
                "root": {"back": "60 mm", "left": "3.3 mm"},
                "length": "9 mm",
                "width": "7 mm",
                "angle": "-20 deg",
                "skew": "11 deg",
                "roll": "71 deg",
                "mirrored": True,
            },
        },
        wire={
            "arm": {
                "start": {"back": "10 mm", "left": "3 mm"},
                "end": {"back": "-17 mm", "left": "21 mm", "up": "7 mm"},
                "diameter": "1.2 mm",
                "mirrored": True,
            }
        },
        hook={"belly": {"at": {"back": "25 mm", "up": "-9 mm"}, "weight": "1.3 +- 0.05 g", "size": "18 mm"}},
        fitting={"eye": {"at": {"back": "1 mm", "left": "2.7 mm"}, "weight": "0.2 g", "mirrored": True}},
        ballast={
            "keel": {"at": {"back": "30 mm", "up": "-6 mm"}, "weight": "3 +- 0.1 g"},
            "cheeks": {"at": {"back": "22 mm", "left": "4.1 mm"}, "weight": "0.31 g", "mirrored": True},
            "tape": {"at": {"back": "50 mm", "up": "-7 mm"}, "weight": "0.4 g", "place": "outside"},
        },
        paint={"weight": "0.6 +- 0.1 g"},
    )
