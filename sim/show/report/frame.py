"""The frame that every page of drytank has: head with style and policy, links to the sections, sections, foot."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from importlib.resources import files

from sim import __version__
from sim.show.writers.markup import Html, code, join, keyed, tag

Part = tuple[str, str, object]
"""One section: its key in links, its heading, its content."""


def frame(
    title: str,
    header: Html,
    parts: Sequence[Part],
    foot: str,
    *,
    script: str = "",
    data: Mapping[str, str] | None = None,
) -> str:
    """A whole page as text, which stands alone and fetches nothing.

    Args:
        title: of the window. header: stands over the links. foot: the last sentence, after the version.
        script: the one script that the page may run, a file of this folder; without one it may run none.
        data: JSON texts for the script, by the id under which it finds them.
    """
    own = read(script) if script else ""
    written = [
        tag("script", Html(text), type="application/json", id=name) for name, text in (data or {}).items()
    ]
    if own:
        written.append(tag("script", Html(own)))
    body = tag(
        "body",
        header,
        tag("nav", *(tag("a", name, href=f"#{key}") for key, name, _ in parts), aria_label="On this page"),
        tag("main", *(_section(*part) for part in parts)),
        tag("footer", tag("p", f"drytank {__version__}. {foot}")),
        *written,
    )
    return "<!DOCTYPE html>\n" + tag("html", _head(title, own), body, lang="en") + "\n"


def read(name: str) -> str:
    """The text of a file of this folder."""
    return files("sim.show.writers").joinpath(name).read_text(encoding="utf-8")


def _head(title: str, script: str) -> Html:
    """Title, style, and a policy that lets the page run its own script, if it has one, and fetch nothing."""
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    may_run = f"script-src 'sha256-{digest}'; " if script else ""
    policy = (
        f"default-src 'none'; {may_run}style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    return tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="generator", content=f"drytank {__version__}"),
        tag("link", rel="icon", href="data:,"),
        tag("title", f"{title}: drytank report"),
        tag("style", Html(read("style.css"))),
    )


def heading(title: str, *content: object) -> Html:
    """The top of a page: what it is about, then `content`."""
    return tag("header", tag("p", "From the dry tank", class_="kicker"), tag("h1", title), *content)


def _section(key: str, title: str, content: object) -> Html:
    return tag(
        "section", tag("h2", keyed(title), id=f"{key}-head"), tag("div", content, class_="body"), id=key,
        aria_labelledby=f"{key}-head",
    )  # fmt: skip


def design_files(sources: Sequence[tuple[str, str]]) -> Html:
    """Each design, (name, text), as it was written, to be copied into a file."""
    return join(
        join([tag("h3", name), tag("pre", code(text), tabindex=0, aria_label=f"Design file of {name}")])
        for name, text in sources
    )
