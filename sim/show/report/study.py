"""The report of a study: the answer first, then figures, tables, what was changed, cautions, the design file.

    terms = Terms()
    page = study_page(
        "Reed Runner: lip angle",
        [terms.marked("At 60 degrees it rolls over.", "rolls over"), "..."],
        [("picture", "The picture", figure_of(drawn, "picture")), ("runs", "Every run", table(...))],
        {"lure.toml": text},
        seed=1,
    )

Nothing here asks anything of a lure: a study hands in what it has found.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.figure import Figure

from sim.show import figures
from sim.show.report.frame import Part, design_files, frame, heading
from sim.show.writers.markup import Html, listed, table, tag, told


def study_page(
    title: str,
    answer: Sequence[str],
    parts: Sequence[Part],
    source: str | Mapping[str, str],
    seed: int | None = None,
    *,
    cautions: Sequence[str] = (),
) -> str:
    """One study as one HTML file that stands alone.

    Args:
        title: what was asked, in a few words; may hold a maker's own.
        answer: sentences, the answer first. Plain text is escaped, with commands between backticks
            as code; `Html` (as `Terms.marked` gives) stands as it is.
        parts: (key, heading, content) of each section, keys in small letters and none twice. `care` and `file` are
            added here.
        source: text of the design file, or of each file by its name.
        seed: what chance started from; None where nothing was drawn by chance.
        cautions: what can hurt in making or fishing it, as `sim.trials.cautions.cautions` gives.
    """
    files = {"The design": source} if isinstance(source, str) else source
    every: list[Part] = [*parts]
    if cautions:
        every.append(("care", "Take care", listed(cautions)))
    every.append(("file", "The file" if len(files) == 1 else "The files", design_files([*files.items()])))
    said = tag("div", *(tag("p", told(sentence)) for sentence in answer), class_="verdict study")
    drawn = (
        "Nothing in this study is drawn by chance, so there is no seed: the same file gives the same answers."
        if seed is None
        else f"Drawn by chance from seed {seed}: the same file and the same seed give the same answers."
    )
    return frame(title, heading(title, said), every, drawn)


def figure_of(figure: Figure, name: str) -> Html:
    """One figure, which carries its own heading; `name` keeps its ids apart from those of others on the page."""
    return tag("figure", Html(figures.as_svg(figure, prefix=name)))


def asked(rows: Sequence[tuple[str, str]], caption: str = "What was asked") -> Html:
    """What a study was given: changed values, tie-on points, speeds, as (what, value)."""
    return tag("div", table(caption, ("What", "Value"), rows), class_="asked")
