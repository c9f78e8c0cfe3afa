"""From what a maker reads off a scale, a calliper, a cup or a packet to a value with its uncertainty.

Pure functions of quantities and plain numbers; they know nothing of designs.
"""
