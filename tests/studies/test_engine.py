"""Cases in, outcomes out: on any executor, whatever becomes of a case."""

import gc
import os
import tracemalloc
from concurrent.futures import Executor, Future, ThreadPoolExecutor

import pytest

from sim.design.load import DesignError
from sim.studies import engine
from sim.studies.engine import Case, StudyError, run_cases
from sim.studies.record import opened
from tests.studies import work
from tests.studies.work import TEXT


class Counting(Executor):
    """Runs at once, and remembers how many cases each chunk held."""

    def __init__(self):
        self.chunks = []

    def submit(self, fn, /, *args, **kwargs):
        self.chunks.append(len(args[1]))
        future = Future()
        future.set_result(fn(*args, **kwargs))
        return future


def test_every_case_comes_out_once_with_its_answer():
    outcomes = list(run_cases(TEXT, work.many(20), workers=1))
    assert sorted(outcome.case.number for outcome in outcomes) == list(range(1, 21))
    assert all(outcome.answer == {"angle": 55.0} and not outcome.failure for outcome in outcomes)


def test_a_case_sees_its_own_changes_and_no_others():
    cases = [Case(k, work.lip_angle, {"plate.lip.angle": 0.1 * k}) for k in range(5)]
    outcomes = {
        o.case.number: o.answer["angle"]
        for o in run_cases(TEXT, [*cases, Case(9, work.lip_angle)], workers=1)
    }
    assert outcomes == {**{k: pytest.approx(5.729577951 * k) for k in range(5)}, 9: 55.0}


def test_a_case_names_the_text_it_is_about():
    other = TEXT.replace('angle = "55 deg"', 'angle = "20 deg"')
    outcomes = run_cases(
        [TEXT, other], [Case(1, work.lip_angle), Case(2, work.lip_angle, design=1)], workers=1
    )
    assert [outcome.answer["angle"] for outcome in outcomes] == [55.0, 20.0]


def test_a_case_that_cannot_be_answered_is_an_outcome_with_its_reason():
    first, second = run_cases(TEXT, [Case(1, work.refuses), Case(2, work.breaks)], workers=1)
    assert (first.answer, first.failure) == ({}, "this lure is not for me")
    assert second.failure == "fault in drytank: TypeError: no such thing"


def test_changes_that_make_an_impossible_design_are_refused_by_the_checks_of_the_file():
    frozen = Case(1, work.lip_angle, {"water.temperature": -40.0})
    (outcome,) = run_cases(TEXT, [frozen], workers=1)
    assert outcome.failure.startswith("water.temperature: ")
    assert outcome.answer == {}


def test_a_text_that_is_no_design_is_refused_before_anything_runs():
    with pytest.raises(DesignError):
        list(run_cases("name = 3", work.many(1), workers=1))


def test_any_executor_will_do():
    with ThreadPoolExecutor(3) as threads:
        outcomes = list(run_cases(TEXT, work.many(40), threads, workers=3))
        assert len({outcome.case.number for outcome in outcomes}) == 40
        assert threads.submit(lambda: 1).result() == 1  # it is left open


def test_only_a_few_cases_are_drawn_ahead():
    drawn = 0

    def cases():
        nonlocal drawn
        for case in work.many(1000):
            drawn += 1
            yield case

    ahead = []
    for done, _ in enumerate(run_cases(TEXT, cases(), Counting(), workers=2), start=1):
        ahead.append(drawn - done)
    assert max(ahead) <= 5 * engine.LARGEST_CHUNK
    assert drawn == 1000


def test_quick_cases_travel_together_and_never_too_many():
    counting = Counting()
    list(run_cases(TEXT, work.many(1000), counting, workers=2))
    assert counting.chunks[0] == 1
    assert 1 < max(counting.chunks) <= engine.LARGEST_CHUNK


def test_a_worker_of_another_version_stops_the_study(monkeypatch):
    class Older(Counting):
        def submit(self, fn, /, *args, **kwargs):
            future = super().submit(fn, *args, **kwargs)
            old = Future()
            old.set_result(engine._Report(future.result().outcomes, 0.1, "0.0.1"))
            return old

    with pytest.raises(StudyError, match=r"a worker runs drytank 0\.0\.1 .*install the same version"):
        list(run_cases(TEXT, work.many(3), Older()))


def test_a_worker_that_cannot_do_its_part_says_why():
    class Bare(Executor):
        def submit(self, fn, /, *args, **kwargs):
            future = Future()
            future.set_exception(ModuleNotFoundError("No module named 'sim'"))
            return future

    with pytest.raises(
        StudyError, match=r"No module named 'sim'.*is drytank installed where the workers run"
    ):
        list(run_cases(TEXT, work.many(3), Bare()))


def test_processes_of_its_own_share_the_work_and_hold_memory_flat(tmp_path):
    """10 000 light runs, written to a file: what the parent holds does not grow with their number."""
    seen, at_start = set(), 0
    with opened(tmp_path / "many.csv", "digest", [], ["case", "process"], over=False) as record:
        for done, outcome in enumerate(run_cases(TEXT, work.many(10_000, work.process), workers=2), start=1):
            record.add([outcome.case.number, outcome.answer["process"]])
            seen.add(outcome.answer["process"])
            if done == 1000:
                gc.collect()
                tracemalloc.start()
                at_start = tracemalloc.get_traced_memory()[0]
        gc.collect()
        grown = tracemalloc.get_traced_memory()[0] - at_start
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert len(record.done) == 10_000
    assert os.getpid() not in seen
    assert 1 <= len(seen) <= 2
    assert grown < 2_000_000  # the numbers of the rows that are done, and no rows
    assert peak < 5_000_000


def test_a_worker_process_that_dies_stops_the_study_with_a_sentence():
    with pytest.raises(StudyError, match=r"a worker process died.*fewer --workers"):
        list(run_cases(TEXT, work.many(5, work.dies), workers=2))


def test_what_another_process_is_asked_is_worked_out_here_if_there_is_none_or_it_dies():
    assert engine.asked_beside(None, os.getpid)() == os.getpid()
    with engine.processes(2) as pool:
        assert engine.asked_beside(pool, os.getpid)() != os.getpid()
        pool.submit(os._exit, 1).exception()
        assert engine.asked_beside(pool, os.getpid)() == os.getpid()


def test_few_runs_are_not_worth_a_process():
    assert engine.default_workers(3) == 1
    assert engine.default_workers(10_000) == engine.cores()


def test_a_process_beside_answers_and_a_single_core_has_none(monkeypatch):
    monkeypatch.setattr(engine, "cores", lambda: 2)
    with engine.process_beside() as beside:
        assert beside.submit(os.getpid).result() != os.getpid()
    monkeypatch.setattr(engine, "cores", lambda: 1)
    with engine.process_beside() as beside:
        assert beside is None
