"""A first start: what is missing is compiled once, while the bench works, and swims wait for it."""

from concurrent.futures import ThreadPoolExecutor

from sim.page import app


def test_what_is_missing_is_compiled_once_however_many_ask(page, monkeypatch) -> None:
    asked = []
    monkeypatch.setattr(app, "prepare", lambda workers: asked.append(workers))
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: page.compile(), range(8)))
    assert asked == [app.cores()]


def test_a_swim_waits_for_it_and_the_bench_does_not(page, monkeypatch) -> None:
    asked = []
    monkeypatch.setattr(app, "prepare", lambda workers: asked.append(workers))
    assert page.state({})["revision"] == 0
    assert asked == []
    told = []
    page.swim({"kind": "drop"}, told.append)
    assert told[-1]["words"]
    assert len(asked) == 1
