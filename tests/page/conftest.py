"""A design in a folder of its own, the page on it, and a browser's questions without a browser."""

import json
import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sim.cli.forms import forms
from sim.disk import write_whole
from sim.page.app import Page
from sim.page.guard import Guard
from sim.page.routes import application

SCENARIOS = Path(__file__).parents[2] / "scenarios"
KEY, PORT = "a-key-for-tests", 8123


@pytest.fixture
def lure(tmp_path):
    folder = tmp_path / "bench"
    folder.mkdir()
    return Path(shutil.copy(SCENARIOS / "cellar_door.toml", folder / "lure.toml"))


@pytest.fixture
def drafts(tmp_path):
    return tmp_path / "drafts"


@pytest.fixture
def page(lure, drafts):
    page = Page(lure.parent, lure, drafts, write_whole, forms=forms())
    yield page
    page.close()


@pytest.fixture
def client(page):
    return browser(page)


def browser(page):
    """What the maker's own browser would send."""
    return TestClient(
        Guard(application(page), KEY, PORT),
        base_url=f"http://127.0.0.1:{PORT}",
        headers={"origin": f"http://127.0.0.1:{PORT}"},
    )


def ask(client, question, /, **given):
    """The answer to a question, its pieces put together, and its status or that of its refusal."""
    response = client.post(f"/{KEY}/ask/{question}", json=given)
    answer = {}
    for line in response.text.splitlines():
        answer |= json.loads(line)
    return answer, answer.get("refused", response.status_code)
