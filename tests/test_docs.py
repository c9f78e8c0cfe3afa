"""Every command and every Python example in the documents runs."""

import pickle
import re
import shlex
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from sim.cli import main
from sim.design.starter import STARTER
from sim.studies import engine

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
SHOWN = re.compile(r"^<!-- shows drytank ([^\n]+) -->\n(.+?)\n\n", re.MULTILINE | re.DOTALL)
QUOTED = re.compile(r"(?<![*\w])\*([^*]+?)\*(?![*\w])")
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def blocks(language):
    return [
        (page, text) for page in PAGES for word, text in BLOCK.findall(page.read_text()) if word == language
    ]


def commands():
    """Each `drytank` line of a shell block, told by page and line; a line that ends in \\ goes on."""
    found = {}
    for page, text in blocks("sh"):
        for line in text.replace("\\\n", " ").splitlines():
            if line.startswith("drytank "):
                found.setdefault(line, pytest.param(line, id=f"{page.stem}: {line[8:60]}"))
    return list(found.values())


def links():
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#\s]+)[^)]*\)", page.read_text()):
            if "://" not in target:
                yield page, target


def hurried(text):
    """A design pulled for one second: what a command says is not looked at here, only that it answers."""
    table = "[retrieve]\n"
    return (text if table in text else f"{text}\n{table}").replace(table, f'{table}duration = "1 s"\n', 1)


@pytest.fixture(scope="session")
def project(tmp_path_factory):
    """The designs that the documents speak of, each in its place."""
    folder = tmp_path_factory.mktemp("project")
    shutil.copytree(ROOT / "scenarios", folder / "scenarios")
    shutil.copytree(ROOT / "docs", folder / "docs", ignore=shutil.ignore_patterns("*.md", "*.svg", "*.py"))
    for path in folder.rglob("*.toml"):
        if not path.name.endswith(".log.toml"):
            path.write_text(hurried(path.read_text(encoding="utf-8")), encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def outcomes():
    """What became of the cases of studies, by design, question and changes: several pages ask the same ones."""
    return {}


@pytest.fixture
def copy_of_the_project(project, outcomes, tmp_path, monkeypatch):
    for name in ("scenarios", "docs"):
        (tmp_path / name).symlink_to(project / name)
    (tmp_path / "lure.toml").write_text(hurried(STARTER))  # the file that the reference's examples speak of
    log = '[[test]]\ndate = 2026-11-01\nsaid = "rose 1 m in 4.0 +- 0.4 s"\n'
    (tmp_path / "lure.log.toml").write_text(log)
    monkeypatch.chdir(tmp_path)
    # one process, unless a line asks for more: `tests/studies/test_engine.py` and others start several
    for module in ("sim.compiling", "sim.studies.engine"):
        monkeypatch.setattr(f"{module}.cores", lambda: 1)

    def remembered(sources, case, run=engine._outcome):
        key = pickle.dumps((sources[case.design], case.ask, sorted(case.changes.items())))
        if key not in outcomes:
            outcomes[key] = run(sources, case)
        return replace(outcomes[key], case=case)

    monkeypatch.setattr(engine, "_outcome", remembered)
    # a page is served until it is stopped; that it serves is tried in `tests/page` and in a browser
    monkeypatch.setattr("sim.page.serve.serve", lambda page, port, say, browser: say("http://127.0.0.1/"))
    return tmp_path


@pytest.mark.parametrize("line", commands())
def test_the_commands_of_the_documents_are_answered(line, copy_of_the_project, capsys):
    words = shlex.split(line, comments=True)[1:]
    if words[0] == "new":
        (copy_of_the_project / "lure.toml").unlink()
    assert main(words) == 0, capsys.readouterr().err
    for at, word in enumerate(words):
        if word in ("-o", "--figure"):
            assert (copy_of_the_project / words[at + 1]).stat().st_size > 100


def shown():
    """What the documents quote of an answer, in italics, below a comment with its command: quotes by command."""
    found = {}
    for page in PAGES:
        for command, paragraph in SHOWN.findall(page.read_text()):
            found.setdefault(command, []).extend(numbers_in(paragraph))
    return found


def numbers_in(text):
    """What is quoted, if there is a number in it."""
    return [quote for quote in QUOTED.findall(text) if re.search("[0-9]", quote)]


def in_one_line(text):
    return " ".join(text.replace("\u00a0", " ").replace("`", "").split())


@pytest.mark.parametrize(("command", "quotes"), shown().items(), ids=shown())
def test_what_the_documents_quote_of_an_answer_is_what_it_says(command, quotes, copy_of_the_project, capsys):
    assert main(shlex.split(command)) == 0
    printed = in_one_line("".join(capsys.readouterr()))
    assert quotes
    for quote in quotes:
        assert in_one_line(quote) in printed


def test_every_number_that_the_documents_quote_of_an_answer_stands_below_its_command():
    for page in PAGES:
        if page.parent.name not in ("theory", "notes", "reference") and page.stem not in (
            "changelog",
            "validation",
        ):
            assert numbers_in(SHOWN.sub("\n", BLOCK.sub("", page.read_text()))) == [], page


@pytest.mark.parametrize(
    ("page", "text"), blocks("python"), ids=lambda value: getattr(value, "stem", "")[:30]
)
def test_the_python_examples_of_the_documents_run(page, text, copy_of_the_project):
    exec(compile(text, str(page), "exec"), {})


def test_every_link_between_the_documents_leads_somewhere():
    broken = [f"{page.name}: {target}" for page, target in links() if not (page.parent / target).exists()]
    assert not broken
