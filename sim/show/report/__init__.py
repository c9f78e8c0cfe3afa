"""The report: one HTML file with everything about one design, or two side by side, that needs no network.

gather(design, source)             ask all the questions about one design
report(entry, other=None, units)   the whole page as text
study_page(title, answer, parts, source, seed=None, cautions=())    a study's page in the same frame
"""

from sim.show.report.gather import Entry, gather
from sim.show.report.page import report
from sim.show.report.study import study_page

__all__ = ["Entry", "gather", "report", "study_page"]
