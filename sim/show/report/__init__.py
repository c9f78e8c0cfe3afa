"""The report: one HTML file with everything about one design, or two side by side, that needs no network.

gather(design, source)             ask all the questions about one design
report(entry, other=None, units)   the whole page as text
"""

from sim.show.report.gather import Entry, gather
from sim.show.report.page import report

__all__ = ["Entry", "gather", "report"]
