"""Pages as a terminal shows them, and reports as files."""

from sim.show.layout import Look
from sim.show.pages.report import report
from sim.show.units import METRIC
from sim.show.writers import html, text

PLAIN = Look()


def terminal(page, *given, look=PLAIN, **more):
    """What a page function says, written as text."""
    return text.write(page(*given, units=look.units, **more), look)


def report_page(one, other=None, units=METRIC):
    """The report of one gathered design, or of two, as the command writes it."""
    sources = {each.design.name: each.source for each in (one, other) if each is not None}
    return html.write(report(one, other, units), sources, one.result.cautions)
