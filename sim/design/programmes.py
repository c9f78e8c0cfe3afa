"""What a retrieve's programme must satisfy beyond its single values, and how long it takes."""

from __future__ import annotations

from collections.abc import Iterator

from sim.design.fishing import Programme, Step
from sim.design.model import Design
from sim.design.problems import Finding

LONGEST = 120.0  # s: longer than any retrieve
COMES_BACK = ("twitch", "sweep")  # steps in which the rod goes and comes back, each way in its time

_NEEDS = {
    "wind": (("speed", "turns"), 'how fast? Write for example speed = "0.8 m/s"'),
    "twitch": (("pull",), 'how far does the rod tip go? Write for example pull = "0.3 m"'),
    "sweep": (("pull",), 'how far does the rod tip go? Write for example pull = "1 m"'),
    "tip": (("height",), 'where does the rod tip go? Write for example height = "0.2 m"'),
}
_BELONGS = {
    "speed": ("wind",),
    "turns": ("wind",),
    "pull": ("twitch", "sweep"),
    "height": ("tip",),
}


def seconds(step: Step) -> float:
    """How long a step takes, s."""
    return step.time.value * (2.0 if step.do in COMES_BACK else 1.0)


def length(programme: Programme) -> float:
    """How long a programme takes without its count-down, s."""
    return programme.repeat * sum(seconds(step) for step in programme.steps)


def programme_problems(design: Design) -> Iterator[Finding]:
    """Everything impossible in the programmes and the reel of `design`."""
    plan = design.retrieve
    if plan.reel_turns and plan.line_per_turn is None:
        yield Finding(
            ("retrieve", "reel_turns"),
            "",
            'how much line does one turn bring in? Write for example line_per_turn = "0.7 m"',
        )
    for k, turns in enumerate(plan.reel_turns):
        if not 0.01 <= turns <= 20.0:
            yield Finding(
                ("retrieve", "reel_turns", k),
                f"{turns:g}",
                "turns of the handle each second are between 0.01 and 20; write for example 1.2",
            )
    for name, programme in plan.programme.items():
        path = ("retrieve", "programme", name)
        for k, step in enumerate(programme.steps):
            yield from _step((*path, "steps", k), step, plan.line_per_turn is not None)
        if length(programme) > LONGEST:
            yield Finding(
                path,
                "",
                f"it takes {length(programme):.0f} s; {LONGEST:.0f} s is the most that can be looked at",
            )


def _step(path: tuple[str | int, ...], step: Step, has_reel: bool) -> Iterator[Finding]:
    keys, question = _NEEDS.get(step.do, ((), ""))
    if keys and all(getattr(step, key) is None for key in keys):
        yield Finding(path, "", question)
    for key, owners in _BELONGS.items():
        if getattr(step, key) is not None and step.do not in owners:
            yield Finding(
                (*path, key), "", f'this means nothing to a step that does "{step.do}"; leave it out'
            )
    if step.speed is not None and step.turns is not None:
        yield Finding(path, "", "it has both a speed and turns; leave one out")
    if step.turns is not None and not has_reel:
        yield Finding(
            (*path, "turns"),
            f"{step.turns:g}",
            'how much line does one turn bring in? Write under [retrieve] line_per_turn = "0.7 m"',
        )
