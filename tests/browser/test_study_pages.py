"""The pages of the studies in a real browser, on a phone and on a desk, with plain and with hostile words.

Pictures of what was seen are kept in the folder named by DRYTANK_SCREENSHOTS, if it is set.
"""

import os
from pathlib import Path

import pytest

from tests.browser.chromium import Chromium, installed
from tests.browser.fits import (
    CLIPPED,
    CROWDED,
    DESK,
    LEAST_LETTERS,
    LETTERS,
    LOST,
    PHONE,
    SIDEWAYS,
    UNEVEN,
)
from tests.show import decided
from tests.show import pages as made

pytestmark = pytest.mark.skipif(
    installed() is None, reason="no Chromium on this machine: apt-get install -y chromium"
)


NAMES = (*made.NAMES, *decided.NAMES)
TOLD = dict.fromkeys(decided.NAMES, ("How sure this is",))


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("studies")
    for source in (made, decided):
        for name in source.NAMES:
            (folder / f"{name}.html").write_text(source.page(name), encoding="utf-8")
            (folder / f"hostile_{name}.html").write_text(source.page(name, made.EVIL), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    with Chromium(tmp_path_factory.mktemp("profile")) as chromium:
        yield chromium


@pytest.fixture
def open_page(browser, files):
    """Open a page at a width; closed afterwards."""
    pages = []

    def open_(name, width=DESK, scripts=True):
        pages.append(browser.page(width, scripts=scripts))
        pages[-1].open(files / f"{name}.html")
        return pages[-1]

    yield open_
    for page in pages:
        page.close()


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("name", [*NAMES, *(f"hostile_{name}" for name in NAMES)])
def test_a_study_opens_fits_and_can_be_read(name, width, open_page, files, tmp_path):
    page = open_page(name, width)
    assert page.value("document.documentElement.scrollWidth") <= width, "sideways scrolling"
    assert page.value(CLIPPED) == []
    assert page.value(LOST) == []
    assert page.value(CROWDED) == []
    assert page.value(SIDEWAYS) == []
    if page.value("document.querySelectorAll('figure svg').length"):
        assert page.value(LETTERS) >= LEAST_LETTERS
    folder = Path(os.environ.get("DRYTANK_SCREENSHOTS") or tmp_path)
    folder.mkdir(parents=True, exist_ok=True)
    page.picture(folder / f"study-{name}-{width}.png")
    assert page.heard() == []
    assert page.asked() == [(files / f"{name}.html").as_uri()], "no outside request"
    assert page.value("window.broken") is None
    assert page.value("document.querySelectorAll('img, script').length") == 0


@pytest.mark.parametrize("name", NAMES)
def test_no_table_of_a_study_needs_sideways_scrolling_on_a_phone_and_its_values_stand_in_line(
    name, open_page
):
    page = open_page(name, PHONE)
    assert page.value("document.querySelectorAll('table').length") > 0
    assert page.value(SIDEWAYS) == []
    assert page.value(UNEVEN) == []


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_of_a_study_stands_on_the_first_screen_of_a_phone(name, open_page):
    page = open_page(name, PHONE)
    assert page.value("document.querySelector('.verdict').getBoundingClientRect().bottom") <= 844


@pytest.mark.parametrize("name", NAMES)
def test_a_study_prints_and_needs_no_script(name, open_page, tmp_path):
    page = open_page(name, scripts=False)
    page.print_to(tmp_path / "page.pdf")
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
    snapshot = page.send("DOMSnapshot.captureSnapshot", computedStyles=[])
    shown = " ".join(snapshot["strings"][k] for k in snapshot["documents"][0]["layout"]["text"] if k >= 0)
    for words in ("Reed Runner", "[body.main]", *TOLD.get(name, ("What was asked", "Take care"))):
        assert words in shown


@pytest.mark.parametrize("name", NAMES)
def test_a_printed_picture_fits_on_one_page_with_its_heading(name, open_page):
    page = open_page(name)
    page.send("Emulation.setEmulatedMedia", media="print")
    tall = page.value(
        "[...document.querySelectorAll('figure svg')].map((e) => e.getBoundingClientRect().height)"
    )
    assert all(height <= 22.0 / 2.54 * 96.0 for height in tall)


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_word_is_explained_when_the_keyboard_comes_to_it(width, open_page):
    page = open_page("windows", width)
    assert page.value("document.querySelectorAll('.term').length") >= 3
    shown = page.value(
        """(() => {
          const term = document.querySelector(".term");
          term.focus();
          const note = document.getElementById(term.getAttribute("aria-describedby"));
          const { left, right } = note.getBoundingClientRect();
          return [getComputedStyle(note).visibility, left, right];
        })()"""
    )
    assert shown[0] == "visible"
    assert shown[1] >= 0
    assert shown[2] <= width
