"""What a calibration comes to, as data."""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from sim.trials.results import Result


class Standing(StrEnum):
    """What the tests say of a coefficient."""

    FITTED = "fitted"
    TOGETHER = "only together"
    HARDLY = "hardly told"
    UNTRIED = "not tried"


class Fitted(Result):
    """One coefficient, or the thrower, before and after the tests."""

    name: str = Field(description="key of `calibration`, or cast.speed")
    lure: int | None = Field(description="which of the files it belongs to; null for all")
    does: str = Field(description="what it is")
    value: float = Field(description="after the tests")
    sd: float = Field(description="standard deviation of it")
    was: float = Field(description="before")
    was_sd: float = Field(description="standard deviation before")
    unit: str = Field(description="empty for a factor")
    deviations: float = Field(description="how far it has moved, in its standard deviations before")
    left: float = Field(description="share of its standard deviation that is left")
    standing: Standing = Field(description="fitted, or why it is not")
    why: str = Field(description="why it is not fitted, and what test would tell it; empty if it is")
    partner: str | None = Field(description="the unknown that it goes with most")
    r: float | None = Field(description="their correlation")


class Correlation(Result):
    """Two fitted coefficients that go together."""

    one: str = Field(description="a coefficient")
    other: str = Field(description="another")
    r: float = Field(description="their correlation")


class Held(Result):
    """One reading of a test, and what the model says of it before and after."""

    lure: int = Field(description="which of the files, from 0")
    test: int = Field(description="which test of its log, from 1")
    said: str = Field(description="as it stands in the log")
    figure: str = Field(description="the figure of the results that it speaks of")
    pull: str | None = Field(description="tie-on point; null where nothing is pulled")
    speed_m_s: float | None = Field(description="line speed; null where nothing is pulled")
    low: float | None = Field(description="least value that fits; null for none. For a word: of its margin")
    high: float | None = Field(description="greatest value that fits; null for none")
    sd: float = Field(description="standard deviation of the reading")
    word: str | None = Field(description="the behaviour or verdict seen; null for a number")
    rough: float = Field(description="how much the model throws the value about by chance, same unit")
    before: float | None = Field(description="value by the model as it came; of a word, by how much it holds")
    after: float | None = Field(description="the same as fitted")
    off_before: float = Field(description="misfit before, in `step`; 0 fits")
    off_after: float = Field(description="misfit after")
    step: float = Field(description="deviation that the misfit is told in: sd and rough together")
    outlier: bool = Field(description="it disagrees with what all other tests say")
    left_out: str = Field(description="why it was not used; empty if it was")


class CalibrationResult(Result):
    """What the logged tests teach."""

    lures: list[str] = Field(description="names of the designs")
    fitted: list[Fitted] = Field(description="every coefficient asked for")
    together: list[Correlation] = Field(description="correlations above 0.3")
    correlations: list[list[float]] = Field(description="between all of `fitted`, in that order")
    tests: list[Held] = Field(description="every reading, before and after")
    inputs: list[str] = Field(description="bench inputs that the tests doubt, as sentences")
    chi_square_before: float = Field(description="squared misfits of the readings before, added up")
    chi_square: float = Field(description="after, with the squared deviations of what was turned")
    readings: int = Field(description="readings used")
    widened: float = Field(description="factor on all errors because the readings disagree; 1 if they do not")
    notes: list[str] = Field(description="weights and volumes of the log that contradict the design")
    runs: int = Field(description="runs computed")
