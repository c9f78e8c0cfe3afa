"""The pages of the studies in a real browser, on a phone and on a desk, with plain and with hostile words.

Pictures of what was seen are kept in the folder named by DRYTANK_SCREENSHOTS, if it is set.
"""

import pytest

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
def look_at(opened, files):
    """A page of a width, opened once for all tests that only look at it."""
    pages = {}

    def look_at_(name, width):
        if (name, width) not in pages:
            pages[name, width] = opened(files / f"{name}.html", width)
        return pages[name, width]

    yield look_at_
    for page in pages.values():
        page.close()


@pytest.fixture
def open_page(open_file, files):
    """Open a page by its name."""
    return lambda name, width=DESK, scripts=True: open_file(files / f"{name}.html", width, scripts)


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("name", [*NAMES, *(f"hostile_{name}" for name in NAMES)])
def test_a_study_opens_fits_and_can_be_read(name, width, look_at, open_page, files, keep_picture):
    page = (look_at if name in NAMES else open_page)(name, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width, "sideways scrolling"
    assert page.evaluate(CLIPPED) == []
    assert page.evaluate(LOST) == []
    assert page.evaluate(CROWDED) == []
    assert page.evaluate(SIDEWAYS) == []
    if page.evaluate("document.querySelectorAll('figure svg').length"):
        assert page.evaluate(LETTERS) >= LEAST_LETTERS
    keep_picture(page, f"study-{name}-{width}")
    assert page.complaints == []
    assert page.fetched == [(files / f"{name}.html").as_uri()], "no outside request"
    assert page.evaluate("window.broken") is None
    assert page.evaluate("document.querySelectorAll('img, script').length") == 0


@pytest.mark.parametrize("name", NAMES)
def test_no_table_of_a_study_needs_sideways_scrolling_on_a_phone_and_its_values_stand_in_line(name, look_at):
    page = look_at(name, PHONE)
    assert page.evaluate("document.querySelectorAll('table').length") > 0
    assert page.evaluate(SIDEWAYS) == []
    assert page.evaluate(UNEVEN) == []


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_of_a_study_stands_on_the_first_screen_of_a_phone(name, look_at):
    page = look_at(name, PHONE)
    assert page.evaluate("document.querySelector('.verdict').getBoundingClientRect().bottom") <= 844


@pytest.mark.parametrize("name", NAMES)
def test_a_study_prints_and_needs_no_script(name, open_page, tmp_path):
    page = open_page(name, scripts=False)
    page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True, print_background=True)
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
    shown = " ".join(page.inner_text("body").split())
    for words in ("Thimble Oar", "[body.main]", *TOLD.get(name, ("What was asked", "Take care"))):
        assert words in shown


@pytest.mark.parametrize("name", NAMES)
def test_a_printed_picture_fits_on_one_page_with_its_heading(name, look_at):
    page = look_at(name, DESK)
    page.emulate_media(media="print")
    tall = page.evaluate(
        "[...document.querySelectorAll('figure svg')].map((e) => e.getBoundingClientRect().height)"
    )
    assert all(height <= 22.0 / 2.54 * 96.0 for height in tall)


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_word_is_explained_when_the_keyboard_comes_to_it(width, open_page):
    page = open_page("windows", width)
    assert page.evaluate("document.querySelectorAll('.term').length") >= 3
    shown = page.evaluate(
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
