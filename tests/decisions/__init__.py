"""Planted cases: does the advice of the studies hold against truths that it never sees?

Each module here is one study: `COUNT` cases from `SEED`, `case(k)` plants one, asks the code under test as a
maker would, and returns a row of plain values; `summary(rows)` says what the rows come to. `python -m
tests.decisions NAME` runs all of them and writes `NAME.json` beside it, from which `docs/validation.md` is
written. The tests run the first few live and hold the written summary to what is promised.
"""
