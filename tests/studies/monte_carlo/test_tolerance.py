"""Many builds of one design: shares, percentiles, causes, stopping, and the page."""

import json

import numpy as np
import pytest
from scipy.special import ndtr

from sim.cli import main
from sim.design.priors import drawn, priors
from sim.show.bench_tests import how, what
from sim.show.pages import builds as pages
from sim.show.units import METRIC
from sim.studies.ensemble import Builds, normal_deviates, touching
from sim.studies.grammar import criteria
from sim.studies.monte_carlo.intervals import percentiles, wilson
from sim.studies.monte_carlo.tolerance import tolerance, widest
from sim.trials.request import Pull, Request, key
from tests.show.terminal import terminal
from tests.studies import toys
from tests.studies.toys import DESIGN, INPUTS, budget
from tests.studies.work import RUNNER, SCENARIOS, TEXT


def work(request=None, seed=1):
    request = request or toys.Scales()
    return Builds(TEXT, DESIGN, INPUTS, request, seed)


def run(builds, most=64, **options):
    return list(builds.run(most, **options))


# ---- shares and percentiles ---------------------------------------------------------------------------


def test_wilson_agrees_with_published_values():
    # Newcombe, Statistics in Medicine 17, 1998, 857-872, Table I, method 3
    for count, of, low, high in ((81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)):
        assert wilson(count, of) == pytest.approx((low, high), abs=5e-5)


def test_the_interval_of_a_share_holds_the_truth_at_least_as_often_as_it_says():
    held = 0
    for seed in range(200):
        z = normal_deviates(64, 5, seed)
        low, high = wilson(int((z.sum(axis=1) > 0.5).sum()), 64)
        held += low <= 0.41153 <= high  # 1 - Phi(0.5 / sqrt 5)
    assert held >= 190


def test_between_the_percentiles_lies_the_next_build_nine_times_in_ten():
    draw = np.random.default_rng(2)
    inside = 0
    for _ in range(2000):
        low, _, high = percentiles(draw.standard_normal(24))
        inside += low <= draw.standard_normal() <= high
    assert inside / 2000 == pytest.approx(0.9, abs=3.0 * (0.09 / 2000) ** 0.5)


def test_evenly_drawn_builds_make_the_percentiles_a_little_wide_and_never_narrow():
    held = []
    for seed in range(60):
        z = normal_deviates(40, 8, seed) @ np.full(8, 8**-0.5)
        low, _, high = percentiles(z)
        held.append(ndtr(high) - ndtr(low))
    assert 0.90 < np.mean(held) < 0.93


def test_shares_count_every_build_and_the_percentiles_lie_around_the_nominal():
    found = tolerance(toys.ensemble(lambda z: budget(0.5 + z[0])))
    (verdict,) = found.questions
    assert sum(share.count for share in verdict.answers) == 256
    assert verdict.answers[0].answer == verdict.nominal == "floats"
    assert verdict.answers[0].share == pytest.approx(0.69146, abs=0.01)  # Phi(0.5)
    margin = next(one for one in found.figures if one.figure == "budget.margin_g")
    assert (margin.low, margin.middle, margin.high) == pytest.approx((-1.145, 0.5, 2.145), abs=0.1)
    assert margin.nominal == 0.5


def test_builds_that_cannot_be_built_are_counted_and_said():
    builds = work(toys.Scales(refuses=3.25))
    run(builds)
    found = tolerance(builds.ensemble())
    assert 0 < found.not_built < 32
    assert found.reasons == {"too heavy for its hooks": found.not_built}
    assert sum(share.count for share in found.questions[0].answers) == 64 - found.not_built
    assert f"{found.not_built} of them cannot be built" in " ".join(
        terminal(pages.tolerance, "toy", found).split()
    )


def test_pulls_that_gave_up_are_an_answer_of_their_own():
    pull = Pull("nose", 0.5)

    def row(z):
        word = "unknown" if z[0] > 1.0 else "wakes"
        return {key("retrieve.behaviour", pull): word, key("retrieve.depth_m", pull): None}

    found = tolerance(toys.ensemble(row, request=Request((), (pull,))))
    (asked,) = found.questions
    assert asked.no_answer == asked.answers[1].count == pytest.approx(0.1587 * 256, abs=4)
    assert f"{asked.no_answer} pulls gave up" in " ".join(terminal(pages.tolerance, "toy", found).split())


def test_fewer_than_two_builds_are_refused():
    with pytest.raises(ValueError, match="fewer than two of the builds can be built"):
        tolerance(toys.ensemble(lambda z: budget(1.0), count=1))


# ---- causes -------------------------------------------------------------------------------------------


def test_the_largest_cause_comes_first_with_its_measurement_and_what_would_remain():
    at = {one.path: k for k, one in enumerate(INPUTS)}
    density, hook = at["body.main.density"], at["hook.tail.weight"]
    found = tolerance(toys.ensemble(lambda z: budget(0.3 + 0.8 * z[density] + 0.6 * z[hook])))
    first, second = found.causes[:2]
    assert first.inputs == ["body.main.density"]
    assert first.share == pytest.approx(0.64, abs=1e-6)
    assert "measure density" in how(first, METRIC)
    assert what(second, METRIC) == "weight of hook tail"
    # the density is known to 38 kg/m3 now and to 1 % of 414 then
    left = (1.0 - 0.64 * (1.0 - (4.14 / 37.528) ** 2)) ** 0.5
    assert first.caused[0].remains == pytest.approx(left, abs=1e-4)


def test_the_page_names_the_number_whose_spread_would_be_left():
    density = next(k for k, one in enumerate(INPUTS) if one.path == "body.main.density")
    found = tolerance(toys.ensemble(lambda z: budget(0.3 + 0.8 * z[density] + 0.6 * z[5])))
    left = round(100 * found.causes[0].caused[0].remains)
    text = " ".join(terminal(pages.tolerance, "toy", found).split())
    assert f"that would leave {left} % of the spread of what decides whether it floats." in text
    assert "Spread is told as the standard deviation that would be left" in text


def test_how_one_number_was_read_is_told():
    ensemble = toys.ensemble(lambda z: budget(1.0 + 0.1 * z[3]))
    text = " ".join(
        terminal(pages.tolerance, "toy", tolerance(ensemble, criteria(DESIGN, "floats with 1 g"))).split()
    )
    assert "Floats with 1 g (read as 0.80 to 1.20 g): in 9" in text
    assert 'write "at least" before it if more is welcome' in text
    more = criteria(DESIGN, "floats with at least 1 g")
    assert "read as" not in terminal(pages.tolerance, "toy", tolerance(ensemble, more))


def test_with_a_question_only_its_own_causes_are_told():
    about = criteria(DESIGN, "floats with at least 1 g to spare")
    found = tolerance(toys.ensemble(lambda z: budget(1.0 + z[3])), about)
    assert [one.name for one in found.found_by] == [about[0].text]
    assert found.questions[0].own
    assert {share.answer for share in found.questions[0].answers} == {"it does", "it does not"}


def test_every_input_is_listed_with_who_told_it():
    found = tolerance(toys.ensemble(lambda z: budget(z[0])))
    assert len(found.inputs) == len(INPUTS)
    assert not any(one.given for one in found.inputs)
    assert all(one.why and one.sd_si > 0.0 for one in found.inputs)


# ---- drawing and stopping -----------------------------------------------------------------------------


def test_it_stops_at_the_first_power_of_two_that_is_enough():
    builds = work()
    done = run(builds, 1024, enough=lambda found: widest(found) <= 7.0)
    total = len(done) - 1  # the design as written is one more
    assert total in (64, 128, 256)
    assert widest(builds.ensemble()) <= 7.0
    assert total == 64 or widest(builds.ensemble(total // 2)) > 7.0


def test_no_more_builds_are_tried_than_asked_for():
    builds = work()
    assert len(run(builds, 100, enough=lambda _: False)) == 101
    assert builds.ensemble().builds == 100


def test_one_seed_gives_the_same_bytes_from_one_worker_or_two():
    answers = []
    for workers in (1, 2):
        builds = work()
        run(builds, 96, workers=workers)
        answers.append(tolerance(builds.ensemble()).model_dump_json())
    assert answers[0] == answers[1]


def test_another_seed_gives_other_builds_and_the_first_builds_do_not_hang_on_how_many_there_are():
    assert not np.allclose(normal_deviates(8, 3, 1), normal_deviates(8, 3, 2))
    assert np.array_equal(normal_deviates(64, 3, 1)[:8], normal_deviates(8, 3, 1))


@pytest.mark.parametrize("name", ["thimble_oar", "last_skittle"])
def test_inputs_that_are_left_out_change_nothing_of_what_is_asked(name):
    from sim.design.load import load
    from sim.studies.engine import changed

    design = load(SCENARIOS / f"{name}.toml")
    for request in (Request(("budget", "float")), Request(("drop",))):
        every = priors(design)
        kept = {one.path for one in touching(every, request)}
        out = [one for one in every if one.path not in kept]
        assert out
        assert request(changed(design, drawn(design, out, [1.0] * len(out)))) == request(design)


# ---- the command --------------------------------------------------------------------------------------

CHEAP = ["--only", "budget", "--count", "32"]


def test_the_page_says_the_verdict_first_and_how_sure_it_is(capsys):
    assert main(["tolerance", str(RUNNER), *CHEAP]) == 0
    out, err = capsys.readouterr()
    text = " ".join(out.split())
    assert text.startswith("Thimble Oar Floats in 100 of 100 builds (89 to 100).")
    assert "Measure this first - Volume of body main" in text
    assert "Wilson" in text
    assert "Seed 1." in err


def test_json_holds_everything_and_the_same_seed_gives_the_same_bytes(capsys):
    answers = []
    for _ in range(2):
        assert main(["tolerance", str(RUNNER), *CHEAP, "--seed", "7", "--json"]) == 0
        answers.append(capsys.readouterr().out)
    assert answers[0] == answers[1]
    found = json.loads(answers[0])["tolerance"]
    assert (found["builds"], found["seed"], found["not_built"]) == (32, 7, 0)


def test_without_the_model_none_of_its_coefficients_is_drawn_and_the_page_says_so(capsys):
    assert main(["tolerance", str(RUNNER), *CHEAP, "--no-model"]) == 0
    assert "the model itself taken as right" in " ".join(capsys.readouterr().out.split())


def test_builds_go_to_a_file_and_are_taken_up_again(tmp_path, capsys):
    file = tmp_path / "builds.csv"
    assert main(["tolerance", str(RUNNER), "--only", "budget", "--count", "16", "-o", str(file)]) == 0
    assert main(["tolerance", str(RUNNER), *CHEAP, "-o", str(file), "--json"]) == 0
    resumed, err = capsys.readouterr()
    assert "17 builds are in" in err
    assert main(["tolerance", str(RUNNER), *CHEAP, "--json"]) == 0
    assert resumed[resumed.index("{") :] == capsys.readouterr().out
    assert len(file.read_text().splitlines()) == 4 + 1 + 33


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--only", "budgte"], "'budgte' is no part of a trial; write any of budget, float"),
        (["--about", "flies like a bird"], '--about: "flies like a bird" is not understood'),
        (["--within", "99"], "write points of a hundred from 0.5 to 50"),
        (["--count", "4"], "--count 4: write a whole number from 16 to"),
        (["--count", "64", "--most", "128"], "--count and --most exclude each other"),
        (
            ["-o", "builds.png"],
            "end the name in .csv, as in -o builds.csv; a picture is asked for with --figure",
        ),
        (["--report", "page.txt"], "end the name in .html"),
    ],
)
def test_what_cannot_be_used_is_refused_with_what_to_write(options, words, capsys):
    assert main(["tolerance", str(RUNNER), *options]) == 2
    assert words in " ".join(capsys.readouterr().err.split())


def test_figure_and_report_are_written_whole(tmp_path):
    picture, report = tmp_path / "spread.svg", tmp_path / "spread.html"
    options = ["--figure", str(picture), "--report", str(report)]
    assert main(["tolerance", str(RUNNER), *CHEAP, *options]) == 0
    assert picture.read_text().rstrip().endswith("</svg>\n<!-- drytank -->")
    text = report.read_text()
    assert "What causes the spread" in text
    assert "body.main.density" in text.replace("<wbr>", "")
