"""Remarks as a reader of metric units has them."""

from sim.show import remarks
from sim.show.units import METRIC


def in_words(every):
    """Each remark of several in words."""
    return remarks.sentences(every, METRIC)
