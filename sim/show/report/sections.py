"""The sections of a report: what each says, from the results."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from sim.show import builds, sentences
from sim.show.pages.builds import first_of as first
from sim.show.replay import MOST_SECONDS, Motion
from sim.show.report.gather import Entry, assumptions, left_ranges
from sim.show.units import Units, figures
from sim.show.writers.markup import Html, join, listed, table, tag
from sim.show.writers.terms import Terms
from sim.trials import retrieve
from sim.trials.results import Behaviour, BudgetResult, DropResult, RetrieveResult, Verdict

MEASURES = 2  # named at the most
BEHAVIOURS = tuple(behaviour.value for behaviour in Behaviour if behaviour is not Behaviour.UNKNOWN)


def verdict(entry: Entry, units: Units) -> list[str]:
    """The three sentences at the head: does it float, how it lies or sinks, what it does when pulled."""
    result = entry.result
    floats = sentences.verdict(result.budget.model_copy(update={"chance_floats": None}), units)
    if result.budget.verdict is Verdict.FLOATS:
        lies = sentences.rest(result.floating, units)
    else:
        lies = sentences.drop(result.drop, units)
    return [floats, lies, _pulled_in_one(result.retrieve)]


def _pulled_in_one(runs: Sequence[RetrieveResult]) -> str:
    """One sentence for all tie-on points, the speeds rising."""
    if not runs:
        return "It has no tie-on point, so it was not pulled."
    points = []
    for point in dict.fromkeys(run.tie_on for run in runs):
        mine = sorted((run for run in runs if run.tie_on == point), key=lambda run: run.speed_m_s)
        does = [_word(behaviour) for behaviour, _ in groupby(mine, key=lambda run: run.behaviour)]
        points.append(f"from {point} it {', then '.join(does)}")
    faster = " (slow to fast)" if len({run.speed_m_s for run in runs}) > 1 else ""
    return f"Pulled{faster}, {'; '.join(points)}."


def _word(behaviour: Behaviour) -> str:
    return "could not be followed" if behaviour is Behaviour.UNKNOWN else behaviour.value


def head_figures(entry: Entry, units: Units, terms: Terms) -> Html:
    """The figures that a maker looks for first."""
    budget, drop, cast = entry.result.budget, entry.result.drop, entry.result.cast
    pairs: list[tuple[object, str]] = [
        ("Weight", units.text("mass", budget.mass_g)),
        (terms.term("Displacement", "Pushes aside"), units.text("volume", budget.displaced_ml)),
        (terms.term("Margin", "To spare"), _signed(budget, units)),
    ]
    if drop.sink_rate_m_s:
        word = "Sink rate" if drop.sink_rate_m_s > 0 else "Rises"
        pairs.append((terms.term(word), _rate(drop, units)))
    if cast.range_m is not None:
        pairs.append(("Cast", units.text("distance", cast.range_m, 2)))
    return tag(
        "dl", *(tag("div", tag("dt", name), tag("dd", value)) for name, value in pairs), class_="figures"
    )


def _signed(budget: BudgetResult, units: Units) -> str:
    spare = units.text("mass", budget.margin_g)
    give = f" \u00b1 {units.text('mass', budget.margin_sd_g)}" if budget.margin_sd_g > 0 else ""
    return f"{spare}{give}"


def _rate(drop: DropResult, units: Units) -> str:
    rate = abs(drop.sink_rate_m_s or 0.0)
    return (
        f"{figures(100 * rate, 1, 2)}\u00a0cm/s" if units.name == "metric" else units.text("speed", rate, 2)
    )


def rest(entry: Entry, units: Units, terms: Terms) -> Html:
    """How it sits."""
    floating = entry.result.floating
    return join(
        [
            tag("p", terms.marked(sentences.rest(floating, units), "suspends", "hangs")),
            tag("p", terms.marked(sentences.balance(entry.result.budget, units), "balance point", "lift")),
            _paragraph(terms.marked(sentences.righting(floating, units), "Stiffness", "metacentric height")),
            _paragraph(" ".join(floating.other_rests)),
        ]
    )


def let_go(entry: Entry, units: Units, terms: Terms) -> Html:
    """How it sinks or rises, with a table to count down by."""
    drop = entry.result.drop
    said = [
        tag("p", terms.marked(sentences.drop(drop, units), "gliding", "spiralling", "tumbling")),
        _paragraph(sentences.timing(drop)),
    ]
    if drop.countdown:
        said.append(
            table(
                "Count-down: depth after so many seconds",
                ("Seconds", f"Depth, {units.unit('distance')}"),
                [(f"{seconds:g}", units.number("distance", depth)) for seconds, depth in drop.countdown],
                numbers=(0, 1),
            )
        )
    return join(said)


def cast(entry: Entry, units: Units, terms: Terms) -> Html:
    """How far it flies."""
    return tag("p", terms.marked(sentences.cast(entry.result.cast, units), "tumbling"))


def pulled(entry: Entry, units: Units, terms: Terms) -> Html:
    """A sentence for each tie-on point, and all the runs side by side."""
    runs = entry.result.retrieve
    said = [tag("p", sentence) for sentence in sentences.pulled(runs, units)]
    heads = (
        "Tie-on",
        f"Speed, {units.unit('speed')}",
        "It",
        f"Depth, {units.unit('distance')}",
        "Nose, \u00b0",
        "Roll, \u00b1\u00b0",
        "Yaw, \u00b1\u00b0",
        "Swings, /s",
        f"Pull, {units.unit('force')}",
    )
    rows = [
        (
            run.tie_on,
            units.number("speed", run.speed_m_s),
            terms.marked(_does(run), *BEHAVIOURS),
            units.number("distance", run.depth_m),
            _whole(run.pitch_deg, sign=True),
            _swing(run.roll_amplitude_deg),
            _swing(run.yaw_amplitude_deg),
            "-" if run.wobble_hz is None else f"{run.wobble_hz:.1f}",
            units.number("force", run.tension_n),
        )
        for run in runs
    ]
    if rows:
        caption = terms.marked("What each tie-on point does at each speed", "tie-on point")
        said.append(table(caption, heads, rows, (1, 3, 4, 5, 6, 7, 8), broad=2))
        key = "Nose: its pitch, + is up. Roll and yaw: either way. Pull: on the line at the lure."
        said.append(tag("p", terms.marked(key, "pitch", "roll", "yaw", "pull"), class_="quiet"))
    if entry.programmes:
        said.append(tag("h3", "Programmes"))
        said.append(
            listed(f"Tied at {run.tie_on}, {run.programme}: {run.sentence}" for run in entry.programmes)
        )
    return join(said)


def causes(entry: Entry, motion: Motion) -> Html:
    """Why it does what it does in one of the retrieves."""
    runs = [r for r in entry.result.retrieve if (r.tie_on, r.speed_m_s) == (motion.tie_on, motion.speed)]
    told = [
        f"{seen.behaviour.value}: {seen.cause}" if seen.cause else seen.behaviour.value
        for run in runs[:1]
        for seen in run.seen
    ]
    return join([listed(told), tag("p", sentences.SHARES, class_="quiet") if told else ""])


def _does(run: RetrieveResult) -> str:
    words = (run.behaviour, *run.also)
    return ", ".join("no action" if k and b is Behaviour.DRAGS else _word(b) for k, b in enumerate(words))


def _whole(angle: float | None, sign: bool = False) -> str:
    if angle is None:
        return "-"
    whole = round(angle)
    return f"{whole:+d}" if sign and whole else str(whole)


def _swing(angle: float | None) -> str:
    return "round" if angle is not None and angle > 180.0 else _whole(angle)


def weights(entry: Entry, units: Units, terms: Terms) -> Html:
    """Every part."""
    budget = entry.result.budget
    size = units.unit("size")
    heads = (
        "Part",
        f"Weight, {units.unit('mass')}",
        f"Pushes aside, {units.unit('volume')}",
        f"Back, {size}",
        f"Up, {size}",
        f"Left, {size}",
        "From",
    )
    rows = [
        (
            part.name,
            units.number("mass", part.mass_g),
            units.number("volume", part.displaced_ml),
            *(units.number("size", place) for place in (part.back_mm, part.up_mm, part.left_mm)),
            part.source,
        )
        for part in budget.parts
    ]
    places = (budget.gravity_back_mm, budget.gravity_up_mm, budget.gravity_left_mm)
    rows.append(
        (
            "Whole lure",
            units.number("mass", budget.mass_g),
            units.number("volume", budget.displaced_ml),
            *(units.number("size", place) for place in places),
            "",
        )
    )
    notes = [f"{part.name}: {part.note}" for part in budget.parts if part.note]
    return join(
        [
            tag("p", sentences.weights(budget, units)),
            table("Weight and volume, part by part", heads, rows, range(1, 6), foot=1, broad=0),
            tag("p", terms.marked("From: measured, computed or handbook.", "measured"), class_="quiet"),
            listed(notes),
        ]
    )


def how_sure(entry: Entry, units: Units, terms: Terms) -> Html:
    """What the figures rest on: the inputs' own spread, what was assumed, where a law was stretched."""
    budget = entry.result.budget
    said: list[object] = []
    if budget.margin_sd_g > 0:
        said.append(terms.marked(sentences.verdict(budget, units), "give or take"))
    else:
        said.append(
            "The file gives no \u00b1, so the margin carries none: write what your scale and calliper leave open, "
            'as in "18.4 +- 0.2 g".'
        )
    if budget.settled_by:
        said.append(budget.settled_by.replace("`", ""))
    said += _over_builds(entry, units)
    said.append(sentences.sure(entry.result))
    said += [
        "Weight, floating and attitude follow from geometry: they are as good as the measurements.",
        "Sink rate, flight and depth rest on measured laws for simple shapes: the order of things is to be trusted "
        "more than the figures, which may be some tens of per cent out.",
        "Wobble, rolling over and spinning hang on small differences: take them as indications.",
    ]
    ranges = [f"{label(motion, units)}: {sentence}" for motion, sentence in left_ranges(entry)]
    taken = assumptions(entry.design)
    handbook = [part.name for part in budget.parts if part.source == "handbook"]
    return join(
        [
            listed(said),
            _headed("Ranges left", listed(ranges))
            if ranges
            else tag("p", "No run left the range of the laws it used."),
            _headed(
                "Taken as usual, not in the file",
                join([listed(taken, class_="keys"), _from_handbook(handbook)]),
            )
            if taken or handbook
            else "",
        ]
    )


def _from_handbook(parts: Sequence[str]) -> Html:
    return _paragraph(f"Weights from a table of materials: {', '.join(parts)}." if parts else "")


def _over_builds(entry: Entry, units: Units) -> list[str]:
    """In how many builds of a hundred it floats, and what to measure first."""
    spread = entry.spread
    if spread is None:
        return []
    told = sum(one.told for one in spread.inputs)
    floats = next(one for one in spread.questions if one.name == "budget.verdict")
    known = f"{told} of the {len(spread.inputs)} inputs drawn as the file tells them, the others as is usual"
    out = [f"{builds.capital(builds.sentence(floats, units))}: of {spread.builds} builds tried, {known}."]
    causes = first(spread.causes, units)[:MEASURES]
    if causes:
        out.append("Measure this first. " + " ".join(causes).replace("`", ""))
    out.append(
        "drytank tolerance does the same for the cast and every pull; drytank advise names the next test."
    )
    return out


def to_change(entry: Entry, units: Units) -> Html:
    """Single values at which the verdict turns, and input to look at again."""
    budget = entry.result.budget
    return join(
        [
            _headed("What would turn the verdict", listed(sentences.turns(budget, units))),
            _headed("Look again", listed(budget.warnings)) if budget.warnings else "",
            tag(
                "p",
                'drytank remedy looks for the smallest change that does what you want, as in --want "floats with 2 g '
                'to spare"; drytank explain says what could be behind what you saw at the water.',
                class_="quiet",
            ),
        ]
    )


def comparison(one: Entry, other: Entry, units: Units) -> Html:
    """Two designs side by side: what differs at rest, in the air and on the line."""
    rows: list[tuple[str, str, str]] = []

    def row(name: str, *cells: str) -> None:
        rows.append((name, cells[0], cells[1]))

    both = (one, other)
    row("Weight", *(units.text("mass", entry.result.budget.mass_g) for entry in both))
    row("To spare", *(_signed(entry.result.budget, units) for entry in both))
    row("At rest", *(sentences.rest(entry.result.floating, units) for entry in both))
    row("Let go", *(sentences.drop(entry.result.drop, units) for entry in both))
    row("Cast", *(sentences.cast(entry.result.cast, units) for entry in both))
    for mine, theirs in zip(one.motions, other.motions, strict=True):
        if mine.kind == "pull" and not mine.programme:
            row(label(mine, units), _run(one, mine, units), _run(other, theirs, units, mine.tie_on))
    return table("The two designs", ("", one.design.name, other.design.name), rows, broad=0)


def _run(entry: Entry, motion: Motion, units: Units, asked: str = "") -> str:
    run = retrieve.describe(motion.run, entry.lure, motion.tie_on, motion.speed)
    depth = "" if run.depth_m is None else f", {units.depth(max(run.depth_m, 0.0))} down"
    point = f" (tied at {motion.tie_on})" if asked and asked != motion.tie_on else ""
    return f"{_does(run)}{depth}{point}"


def label(motion: Motion, units: Units) -> str:
    """What a motion is called where it is chosen."""
    if motion.programme:
        return f"Pulled from {motion.tie_on}, {motion.programme}"
    if motion.kind == "pull":
        return f"Pulled from {motion.tie_on} at {units.text('speed', motion.speed)}"
    return "Let go" if motion.kind == "drop" else "Cast"


def cut_short(motions: Sequence[Motion]) -> Html:
    """Says so where a replay ends before the run does."""
    if all(float(motion.run.t[-1]) <= MOST_SECONDS for motion in motions):
        return Html()
    return tag("p", f"Of longer runs, the first {MOST_SECONDS:g} s are shown.", class_="quiet")


def _headed(head: str, body: Html) -> Html:
    return join([tag("h3", head), body])


def _paragraph(sentence: str) -> Html:
    return tag("p", sentence) if sentence else Html()
