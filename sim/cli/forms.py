"""The commands that the page of `open` offers as short forms, in the words of the commands themselves."""

from __future__ import annotations

from collections.abc import Sequence

from sim.cli import bench, calibrate, explain, log, mixing, random_builds, redesign, report, sheet
from sim.cli.options import Option
from sim.cli.runner import Command
from sim.page.forms import Form, Input

AT_HAND = ("weight", "cavity", "length", "width", "height", "material", "displaced", "hooks")
"""Readings of a found thing that most makers have; the others are asked for when they want to say more."""
CALLED = {
    "observed": "what you saw",
    "want": "what you want",
    "said": "what you saw or measured",
    "part": "parts",
    "strike_out": "number of the test",
    "because": "why",
    "about": "what matters to you",
    "conditions": "what was different",
}
"""Key of an option -> its label, where the option's own word is none for a form."""
AGAIN = "may be given again"
PARTED = "part several with a semicolon"


def forms() -> tuple[Form, ...]:
    """Every form, in the order of the page."""
    about = ("about",)
    kinds = {name: _readings(name) for name in bench.KINDS if name != "thing"}
    return (
        _form("tolerance", random_builds, "studies", "How sure?", "tolerance FILE", (), about),
        _form("explain", explain, "studies", "Why did it do that?", "explain FILE", ("observed",)),
        _form(
            "remedy", redesign, "studies", "What is the smallest change?", "remedy FILE", ("want",), ("keep", "allow"),
        ),
        _form("advise", random_builds, "studies", "Which test next?", "advise FILE", (), about),
        _form(
            "log", log, "water", "Write down a test", "log FILE --log=LOG", ("said", "water", "note"),
            ("date", "conditions"),
        ),
        _form("logged", log, "water", "What do the tests say?", "log FILE --log=LOG",
              does="Every test of the log, held against the design as it is on the page."),
        _form("calibrate", calibrate, "water", "What do the tests teach?", "calibrate FILE --log=LOG --write",
              proposes=True),
        _form("strike", log, "water", "Leave a test out", "log FILE --log=LOG", ("strike_out", "because"),
              does="A test that went wrong stays in the log, and nothing uses it."),
        Form("thing", "bench", "Does a found thing float?", _sentence(bench.kind_of("thing").__doc__ or ""),
             ("measure", "thing"), _readings("thing", AT_HAND)),
        Form("reading", "bench", "A reading", _sentence(_command(bench, "measure").does), ("measure",), variants=kinds),
        _form(
            "mix", mixing, "bench", "Mixing", "mix", ("part", "fill", "weight", "density", "count", "poured"),
            ("over", "scale", "waste", "by_volume", "rise", "packing"), otherwise=("--file=FILE",),
        ),
        _form("pour", mixing, "bench", "Pouring", "pour FILE", ("share", "weight", "raised", "belly_up"), ("body",)),
        _form("sheet", sheet, "paper", "The sheet for the bench", "sheet FILE --output=sheet.pdf", ("paper",),
              makes="sheet.pdf"),
        _form("report", report, "paper", "The report", "report FILE --output=report.html", makes="report.html"),
    )  # fmt: skip


def _form(
    name: str,
    module: object,
    place: str,
    title: str,
    words: str,
    first: Sequence[str] = (),
    more: Sequence[str] = (),
    does: str = "",
    **settings: object,
) -> Form:
    """A form of a command: options by their keys, those that come `first` and those for who wants `more`."""
    command = _command(module, words.split()[0])
    every = {option.key: option for option in command.options}
    inputs = [_input(every[key]) for key in first] + [_input(every[key], True) for key in more]
    return Form(
        name, place, title, does or _sentence(command.does), tuple(words.split()), tuple(inputs), **settings  # type: ignore[arg-type]
    )  # fmt: skip


def _command(module: object, name: str) -> Command:
    return next(command for command in module.COMMANDS if command.name == name)  # type: ignore[attr-defined]


def _input(option: Option, more: bool = False) -> Input:
    settings = option.settings
    flag = option.flags[-1] if option.flags[-1].startswith("-") else ""
    metavar = str(settings.get("metavar") or "")
    told = str(settings.get("help") or "").replace("%%", "%")
    return Input(
        option.key,
        CALLED.get(option.key) or flag.lstrip("-").replace("-", " ") or option.key,
        _told(told),
        metavar.strip('"') if metavar.upper() != metavar or any(map(str.isdigit, metavar)) else "",
        flag,
        tuple(settings.get("choices") or ()),
        option.repeats,
        settings.get("action") == "store_true",
        more,
    )


def _readings(name: str, first: Sequence[str] = ()) -> tuple[Input, ...]:
    from sim.show.pages.bench import kind_as_data

    kind = bench.kind_of(name)
    rows = kind_as_data(kind)
    rows.sort(key=lambda row: first.index(row["reading"]) if row["reading"] in first else len(first))
    return tuple(
        Input(
            row["reading"], row["reading"], _told(row["what"]), row["example"], f"{row['reading']}=",
            many="list" in str(kind.model_fields[row["reading"]].annotation),
            more=bool(first) and row["reading"] not in first,
        )
        for row in rows
    )  # fmt: skip


def _told(help: str) -> str:
    """The help of an option, for who fills in a form and types no options."""
    return "" if " --" in help else help.replace(AGAIN, PARTED)


def _sentence(words: str) -> str:
    line = words.strip().splitlines()[0].rstrip(".")
    return f"{line[0].upper()}{line[1:]}{'' if line.endswith('?') else '.'}"
