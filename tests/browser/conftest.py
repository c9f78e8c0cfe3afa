"""The system's Chromium by way of Playwright, and pages that remember what they fetched and complained about."""

import os
import shutil
from functools import cache
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
TALLEST = 900  # px of a picture of a part
PLACE = """of => { const box = document.querySelector(of).getBoundingClientRect();
  return { x: box.x + scrollX, y: box.y + scrollY, width: box.width, height: box.height }; }"""
PROGRAM = next((path for name in NAMES if (path := shutil.which(name))), None)


def pytest_collection_modifyitems(items):
    """Without a browser these tests say so; with one, they share it and what it shows."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(
                pytest.mark.skipif(
                    PROGRAM is None, reason="no Chromium on this machine: apt-get install -y chromium"
                )
            )


@pytest.fixture(scope="session")
def browser():
    """One browser for all pages."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=PROGRAM,
            args=["--no-sandbox", "--hide-scrollbars", "--force-color-profile=srgb"],
        )
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def window(browser):
    """A window of a width, in CSS pixels, the same one each time; a narrow one is a phone's, worked by touch.

    A `still` one asks for reduced motion: what swims all the while keeps a processor busy that draws it itself.
    """

    @cache
    def window_(width, scripts, still=False):
        phone = width < 600
        size = {"width": width, "height": 900}
        return browser.new_context(
            viewport=size, is_mobile=phone, has_touch=phone, java_script_enabled=scripts,
            reduced_motion="reduce" if still else "no-preference",
        )  # fmt: skip

    return window_


@pytest.fixture(scope="session")
def opened(window):
    """A new page with a file in it, of a width."""

    def opened_(path, width, scripts=True):
        page = window(width, scripts).new_page()
        page.fetched, page.complaints = [], []
        page.on("request", lambda request: page.fetched.append(request.url))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on(
            "console",
            lambda line: page.complaints.append(line.text) if line.type in ("error", "warning") else None,
        )
        page.goto(Path(path).resolve().as_uri())
        return page

    return opened_


@pytest.fixture
def open_file(opened):
    """Open a file as a page of a width; closed afterwards."""
    pages = []

    def open_(*asked):
        pages.append(opened(*asked))
        return pages[-1]

    yield open_
    for page in pages:
        page.close()


@pytest.fixture
def keep_picture():
    """Keeps what a page, or a part `of` it, looks like in the folder named by DRYTANK_SCREENSHOTS, `when` it shows
    something; draws none that nobody wants."""
    folder = os.environ.get("DRYTANK_SCREENSHOTS")

    def keep(page, name, of="", when=""):
        if not folder:
            return
        path = Path(folder) / f"{name}.png"
        if when:
            page.locator(when).first.wait_for(timeout=300_000)
        if of:
            page.evaluate(
                "document.querySelector('#head').style.position = 'static'"
            )  # it would lie over the part
            box = page.evaluate(PLACE, of)
            page.screenshot(path=path, full_page=True, clip={**box, "height": min(box["height"], TALLEST)})
        else:
            page.screenshot(path=path, full_page=True)

    return keep
