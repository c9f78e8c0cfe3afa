"""A design turned into mass properties, hulls and an immutable table of elements."""

from sim.lure.assemble import build, outside
from sim.lure.profile import BuildError
from sim.lure.weigh import weigh

__all__ = ["BuildError", "build", "outside", "weigh"]
