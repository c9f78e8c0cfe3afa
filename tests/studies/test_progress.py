"""The bar and its estimate."""

import io

import pytest

from sim.show.progress import MARK, Marked, bar, counting, followed, time_left


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("done", "rest", "seconds", "words"),
    [
        (0, 100, 0.0, "time left not known yet"),
        (4, 100, 60.0, "time left not known yet"),
        (50, 100, 1.0, "time left not known yet"),
        (100, 10, 50.0, "a few seconds left"),
        (100, 80, 50.0, "about 40 s left"),
        (100, 1000, 30.0, "about 5 min left"),
        (100, 100_000, 30.0, "about 8.3 h left"),
        (100, 1_000_000, 30.0, "about 83 h left"),
        (100, 0, 30.0, ""),
    ],
)
def test_the_time_left_is_no_finer_than_it_can_be_known(done, rest, seconds, words):
    assert time_left(done, rest, seconds) == words


def test_nothing_is_written_where_there_is_no_terminal():
    stream = io.StringIO()
    assert list(followed("Running", range(5), 5, stream)) == list(range(5))
    assert stream.getvalue() == ""


def test_a_terminal_sees_how_far_it_is_and_the_time_left():
    stream, clock = Terminal(), iter(range(100))
    with bar("Running\x1b[2J", 20, stream, clock=lambda: float(next(clock)), before=5) as one_more:
        for _ in range(8):
            one_more()
    shown = stream.getvalue()
    assert "13/20" in shown
    assert "about 10 s left" in shown or "a few seconds left" in shown
    assert "Running\x1b[2J" not in shown


def test_runs_of_an_earlier_time_do_not_flatter_the_estimate():
    stream, clock = Terminal(), iter(float(t) for t in range(0, 1000, 10))
    with bar("Running", 1000, stream, clock=lambda: next(clock), before=900) as one_more:
        for _ in range(10):
            one_more()
    assert "about 15 min left" in stream.getvalue()  # 90 more at 10 s each, not 90 of 910


def test_a_file_that_is_complete_shows_no_bar():
    stream = Terminal()
    with bar("Running", 5, stream, before=5) as one_more:
        one_more()
    assert stream.getvalue() == ""


def test_a_program_is_told_in_marked_lines_how_far_it_is_not_too_often_and_remarks_stay_apart():
    text = io.StringIO()
    stream = Marked(text)
    with bar("Running\x1b[2J", 400, stream) as one_more:
        for _ in range(300):
            one_more()
    print("Look again", file=stream)
    stream._last = 0.0
    with counting("Fitting", stream) as another:
        another()
    lines = text.getvalue().strip("\n").split("\n")
    assert lines[0].startswith(f"{MARK}Running")
    assert lines[0].endswith("1 of 400, time left not known yet")
    assert lines[-2:] == ["Look again", f"{MARK}Fitting: 1"]
    assert len(lines) < 20
    assert "\x1b" not in text.getvalue()


def test_a_count_says_how_many_and_for_how_long():
    stream, clock = Terminal(), iter(float(t) for t in range(0, 100, 10))
    with counting("Running", stream, clock=lambda: next(clock)) as one_more:
        one_more()
        one_more()
    assert "Running: 2 in 20 s" in stream.getvalue()
    assert stream.getvalue().endswith("\r")
