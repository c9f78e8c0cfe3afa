"""Pages as a terminal shows them."""

from sim.show.layout import Look
from sim.show.writers import text

PLAIN = Look()


def terminal(page, *given, look=PLAIN, **more):
    """What a page function says, written as text."""
    return text.write(page(*given, units=look.units, **more), look)
