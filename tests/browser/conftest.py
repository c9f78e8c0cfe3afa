"""The system's Chromium by way of Playwright, and pages that remember what they fetched and complained about."""

import os
import shutil
from functools import cache
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
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
    """A window of a width, in CSS pixels, the same one each time; a narrow one is a phone's, worked by touch."""

    @cache
    def window_(width, scripts):
        phone = width < 600
        size = {"width": width, "height": 900}
        return browser.new_context(
            viewport=size, is_mobile=phone, has_touch=phone, java_script_enabled=scripts
        )

    return window_


@pytest.fixture
def open_file(window):
    """Open a file as a page of a width; closed afterwards."""
    pages = []

    def open_(path, width, scripts=True):
        page = window(width, scripts).new_page()
        pages.append(page)
        page.fetched, page.complaints = [], []
        page.on("request", lambda request: page.fetched.append(request.url))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on(
            "console",
            lambda line: page.complaints.append(line.text) if line.type in ("error", "warning") else None,
        )
        page.goto(Path(path).resolve().as_uri())
        return page

    yield open_
    for page in pages:
        page.close()


@pytest.fixture(scope="session")
def pictures(tmp_path_factory):
    """Where screenshots go: the folder named by DRYTANK_SCREENSHOTS, or one that is thrown away."""
    folder = Path(os.environ.get("DRYTANK_SCREENSHOTS") or tmp_path_factory.mktemp("screenshots"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder
