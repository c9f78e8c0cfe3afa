"""The margin of a design with other values: only the parts that a value concerns are weighed again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from sim.design.assembly import home_of
from sim.design.expand import expanded
from sim.design.model import Design, Measured
from sim.design.paths import replaced
from sim.lure.profile import BuildError
from sim.lure.weigh import Weighed, weigh
from sim.trials.scene import medium
from sim.units import Quantity

PARTS = ("body", "assembly", "plate", "wire", "hook", "fitting", "ballast", "rattle")


class _Share(NamedTuple):
    """Some parts of a design as one of their own: mass (kg) and volume (m3)."""

    design: Design
    mass: float
    volume: float


class Reweighing:
    """A design, weighed once, and its margin (kg) with some of its values changed.

    Masses and volumes add up part by part: a change concerns the part that it is in, the body that this sits in
    and what else sits in that body. The cost of a change does not grow with the number of parts.
    """

    def __init__(self, design: Design, whole: Weighed | None = None) -> None:
        """design: with its readings turned into values or not. whole: the same, if it is weighed already.

        Raises:
            BuildError: a design that cannot be built.
        """
        self.design = expanded(design)
        whole = whole or weigh(self.design)
        self._mass, self._volume = whole.mass, whole.volume
        self.outside = {body.key: float(body.outer[0]) for body in whole.bodies}  # volume of each body, m3
        self.density = medium(self.design).density  # of the water, kg/m3
        self._shares: dict[tuple[str, str], _Share | None] = {}

    @property
    def margin(self) -> float:
        """Spare lift of the design as it is, kg."""
        return self.density * self._volume - self._mass

    def with_changes(self, changes: Mapping[str, Quantity]) -> float:
        """Spare lift with the values at some paths replaced, kg.

        Raises:
            BuildError: the changed design cannot be built.
        """
        groups: dict[tuple[str, str], dict[str, Quantity]] = {}
        for path, value in changes.items():
            kind, name = (*path.split("."), "")[:2]
            groups.setdefault(self._home(kind, name), {})[path] = value
        mass, volume, density = self._mass, self._volume, self.density
        measured = self.design.measured
        for home, group in groups.items():
            if home[0] == "water":
                density = _density(replaced(self.design, group))
            elif home[0] == "measured":
                changed = replaced(self.design, group).measured
                mass = mass if changed.weight is None else changed.weight.value
                volume = volume if changed.displaced is None else changed.displaced.value
            elif home[0] in (*PARTS, "paint"):
                share = self._share(home)
                if share is None:
                    whole = weigh(replaced(self.design, changes))
                    return _density(replaced(self.design, changes)) * whole.volume - whole.mass
                after = weigh(replaced(share.design, group))
                mass += after.mass - share.mass if measured.weight is None else 0.0
                volume += after.volume - share.volume if measured.displaced is None else 0.0
        return density * volume - mass

    def with_value(self, path: str, value: float, dimension: str) -> float | None:
        """Spare lift with one value (SI) replaced, kg; None if that cannot be built."""
        try:
            return self.with_changes({path: Quantity(value, 0.0, dimension, "")})
        except BuildError:
            return None

    def _home(self, kind: str, name: str) -> tuple[str, str]:
        """The part that a change concerns: of what sits in a body, the body."""
        if kind == "ballast":
            spec = self.design.ballast[name]
            return (kind, name) if spec.place == "outside" else self._home("body", self._body(spec.body))
        if kind == "rattle":
            return self._home("body", self._body(self.design.rattle[name].body))
        if kind == "body" and (together := home_of(self.design.assembly, name)) is not None:
            return "assembly", together
        return (kind, name) if kind in PARTS else (kind, "")

    def _body(self, named: str | None) -> str:
        return named or next(iter(self.design.body), "")

    def _share(self, home: tuple[str, str]) -> _Share | None:
        """The parts concerned, weighed by themselves; None where they cannot be, or where it is all of them."""
        if home not in self._shares:
            self._shares[home] = self._weighed(*home)
        return self._shares[home]

    def _weighed(self, kind: str, name: str) -> _Share | None:
        if kind == "paint":
            return None
        design = self.design
        inside = {
            key: spec for key, spec in design.ballast.items() if self._home("ballast", key) == (kind, name)
        }
        loose = {
            key: spec for key, spec in design.rattle.items() if self._home("rattle", key) == (kind, name)
        }
        # paint lies on the bodies, so one of them stays where there is any
        body = name if kind == "body" else self._body(None)
        together = name if kind == "assembly" else home_of(design.assembly, body)
        own = {} if kind in ("body", "ballast") else {kind: {name: getattr(design, kind)[name]}}
        if together is not None:
            own["assembly"] = {together: design.assembly[together]}
        bodies = [body] if together is None else design.assembly[together].bodies
        parts = {
            **{group: {} for group in PARTS},
            **own,
            "body": {body: design.body[body] for body in bodies if body in design.body},
            "ballast": inside,
            "rattle": loose,
        }
        part = design.model_copy(update={**parts, "measured": Measured()})
        try:
            weighed = weigh(part)
        except BuildError:
            return None
        return _Share(part, weighed.mass, weighed.volume)


def _density(design: Design) -> float:
    """Of its water, kg/m3.

    Raises:
        BuildError: no such water, frozen or hotter than the law goes.
    """
    try:
        return medium(design).density
    except ValueError as error:
        raise BuildError(f"water: {error}") from error
