"""What a design file may not ask of a programme, a reel, an eye or a leader, and what it is told."""

import pytest

from sim.design.load import read
from sim.design.problems import DesignError
from sim.design.starter import STARTER


def told(extra, **replaced):
    text = STARTER
    for old, new in replaced.get("swap", ()):
        assert old in text
        text = text.replace(old, new)
    with pytest.raises(DesignError) as caught:
        read(text + extra, "lure.toml")
    return str(caught.value)


def steps(*lines):
    return f"\n[retrieve.programme.mine]\nsteps = [{', '.join(lines)}]\n"


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ('{ do = "wind", time = "2 s" }', "how fast?"),
        ('{ do = "twitch", time = "2 s" }', "how far does the rod tip go?"),
        ('{ do = "sweep", time = "2 s" }', "how far does the rod tip go?"),
        ('{ do = "tip", time = "2 s" }', "where does the rod tip go?"),
        ('{ do = "pause", time = "2 s", speed = "1 m/s" }', 'means nothing to a step that does "pause"'),
        ('{ do = "wind", time = "2 s", speed = "1 m/s", turns = 1.0 }', "both a speed and turns"),
        ('{ do = "wind", time = "2 s", turns = 1.0 }', 'line_per_turn = "0.7 m"'),
        ('{ do = "rest", time = "2 s" }', "pause"),
        ('{ do = "pause" }', 'time = "2 s"'),
        ('{ do = "pause", time = 2 }', "2"),
        ('{ do = "pause", tiem = "2 s" }', 'did you mean "time"?'),
    ],
)
def test_a_step_that_cannot_be_done_is_refused_with_what_to_write(step, says):
    message = told(steps(step))
    assert says in message
    assert "lure.toml:" in message
    assert "retrieve.programme.mine.steps" in message


def test_a_programme_has_at_least_one_step():
    message = told("\n[retrieve.programme.mine]\nsteps = []\n")
    assert "write at least one" in message
    assert "do =" in message


def test_a_programme_that_takes_too_long_is_refused():
    message = told('\n[retrieve.programme.mine]\nrepeat = 40\nsteps = [{ do = "pause", time = "9 s" }]\n')
    assert "it takes 360 s; 120 s is the most" in message


def test_repeat_is_a_whole_number():
    message = told('\n[retrieve.programme.mine]\nrepeat = "x"\nsteps = [{ do = "pause", time = "9 s" }]\n')
    assert "a whole number" in message


def test_turns_of_the_reel_need_the_line_they_bring_in():
    message = told("", swap=[("[retrieve]", "[retrieve]\nreel_turns = [1.0]")])
    assert 'line_per_turn = "0.7 m"' in message


def test_turns_of_the_reel_are_within_reason():
    message = told("", swap=[("[retrieve]", '[retrieve]\nline_per_turn = "0.7 m"\nreel_turns = [90.0]')])
    assert "between 0.01 and 20" in message


def test_turns_and_line_per_turn_set_the_speeds():
    text = STARTER.replace("[retrieve]", '[retrieve]\nline_per_turn = "0.7 m"\nreel_turns = [0.5, 1.0]')
    assert read(text, "lure.toml").retrieve.paces() == pytest.approx([0.35, 0.7])
    plan = read(STARTER, "lure.toml").retrieve
    assert plan.paces() == [speed.value for speed in plan.speeds]


def test_a_bent_eye_needs_its_length():
    message = told('\n[tie_on.bent]\nbend = "10 deg"\n')
    assert 'arm = "5 mm"' in message


def test_an_eye_is_bent_by_a_quarter_turn_at_most():
    assert "90 deg at most" in told('\n[tie_on.bent]\nbend = "100 deg"\narm = "5 mm"\n')


def test_a_leader_as_thick_as_a_rope_is_refused():
    message = told('\n[line.leader]\ndiameter = "8 mm"\nlength = "1 m"\n')
    assert "rope" in message
    assert "line.leader.diameter" in message
