"""The chapter of the validation page on advice: what the planted studies came to, from their written results."""

from __future__ import annotations

import json
from importlib import import_module
from pathlib import Path

from tests.decisions.__main__ import STUDIES

HERE = Path(__file__).parent
OPENING = """\
## Advice

The checks above try single numbers. Here the studies as a whole are tried: a truth is planted that the code
never sees, the code is asked as a maker would ask it, and its answer is held against the truth. The planted
cases are inventions; the lure that is run as the truth is run by the same model, so this says whether the
*advice* is sound, not whether the model is."""
CLOSING = """\
### Older than the model

The planted targets and logs were run before the forces on bodies, plates and hooks changed and before the line moved;
the targets also before `remedy` put first what a bench can do. They have not been run again as a whole: a study takes
an hour or more. Cases of each are run with the present model in every test run. The failures, the wishes, the makers
and the things as found are of the present forces; since the wishes `remedy` may propose a heavier weight for what
floats high, and what hangs at the edge of a blade goes along with it. A record has the digest of the compiled model
that it was run with (`model`).

### What was set after a look at results

- Of the failures of two or three statements some twenty of the same seed were looked at before the study was run: the
  maker then told several things of one look, and `explain` looked at no place nearer than two deviations. A look at one
  deviation was added, and each statement is of another look. What counts as a failure that the water shows (five
  deviations of a reading) was set after some forty trial cases of an older study.
- Of the wishes half were looked at before the record was run: then a bench's changes were put first, more of a change
  was tried where few of its builds hold, builds that do not swim were counted against it, and what a bench does
  was also looked for in pairs. None of the checks changed. One of the sixty (a sink rate) could not be wished of its
  lure, which hardly sinks; it is wished of the next one.
- The recovery study got a new seed after its method was settled; about 28 logs of older seeds had been looked at. Its
  test holds the shares to the fewest hits that chance allows a promise of 90 %, one time in twenty, not to a flat 90 %.
- The failures used to be told in one statement, drawn alike at two to four deviations, and counted by groups of causes
  that no observation tells apart; the tests then asked for 80 % first and 95 % among the first three. The present tests
  ask that the ranking finds as many as it foretells, and a few live cases.
- Two drop times and a weight bring a sink rate to within 5 % for four lures whose model is 10 to 18 % off;
  `gravel_bell`, which glides as it sinks, kept up to 8 % until the last steps of the fit were damped for good.
  `tin_leaf`, which flutters, keeps 27 %.
- The shapes of "a lip of 70 to 90 degrees wakes" had no spare lift to speak of; 8 of 27 woke. They were made light,
  with half the ballast and a shorter lip, as such lures are built, after a look at those results.
- When hydrostatics was made cheaper, the search for the draught began to sum in another order than the one cut at a
  given height. The test that both say the same compared bit for bit and now allows 1e-12. That a symmetric lure sits
  without any lean, to the last bit, is tested as before."""


def chapter(here: Path = HERE) -> str:
    """Every study whose results are there, in one chapter of Markdown; empty if there are none."""
    found = [
        import_module(f"tests.decisions.{name}").section(json.loads(file.read_text(encoding="utf-8")))
        for name in STUDIES
        if (file := here / f"{name}.json").exists()
    ]
    return "\n\n".join([OPENING, *found, CLOSING]) if found else ""
