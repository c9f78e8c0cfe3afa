"""A design turned into mass properties, hulls and an immutable table of elements."""

from sim.build.assemble import build
from sim.build.profile import BuildError
from sim.build.weigh import weigh

__all__ = ["BuildError", "build", "weigh"]
