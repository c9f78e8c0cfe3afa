"""What a calibration comes to, as data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import NamedTuple

from pydantic import Field

from sim.remark import Remark
from sim.studies.calibration.gross_errors import Slip
from sim.studies.calibration.observations import Struck
from sim.trials.records import Result

LEAST_FELT = 0.005  # of their deviations, by which something has to move the readings to touch them
FITS = 2.0  # of its own deviations within which a reading fits
LEARNT = 0.7  # share of the doubt left up to which it counts as learnt: half of the variance is gone


class Standing(StrEnum):
    """What the tests say of a coefficient."""

    FITTED = "fitted"
    TOGETHER = "only together"
    HARDLY = "hardly told"
    BARELY = "barely touched"
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
    felt: float = Field(
        description="by how many of their deviations it moves all readings together if it is one of its own off, "
        "as far as that is more than chance"
    )
    standing: Standing = Field(description="fitted, or why it is not")
    why: str = Field("", description="why it is not fitted, and what test would tell it; empty if it is")
    partner: str | None = Field(description="the unknown that it goes with most")
    r: float | None = Field(description="their correlation")


class Correlation(Result):
    """Two fitted coefficients that go together."""

    one: str = Field(description="a coefficient")
    other: str = Field(description="another")
    r: float = Field(description="their correlation")


class Residual(Result):
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
    after: float | None = Field(
        description="the same with what is written into the file: what `log` says then"
    )
    fitted: float | None = Field(
        description="the same as fitted, with what is in doubt at the bench turned along"
    )
    off_before: float = Field(description="misfit before, in `sd`; 0 fits")
    off_after: float = Field(description="misfit after, in `sd`")
    off_fitted: float = Field(description="misfit as fitted, in `step`")
    step: float = Field(
        description="deviation that the fit weighs it by: sd and rough together; of a sink rate, of its square"
    )
    outlier: bool = Field(description="all others speak against it, or against it and another")
    left_out: Remark | str = Field(description="why it was not used; empty if it was")


class Outlier(Result):
    """A reading that all others speak against; or two, one of which is off, and nothing says which."""

    readings: list[int] = Field(description="places in `tests`, from 0; the likeliest first")
    off: float = Field(
        description="how far the likeliest is off, in deviations of it and of what the others say"
    )
    others: float | None = Field(description="what the others say of it, in the unit of its figure")


class TurnedAlong(Result):
    """Something that was turned along with the fit and is not written into a file: a finding for the bench."""

    name: str = Field(description="path of the input; or a coefficient that was not asked for")
    lure: int | None = Field(description="which of the files it belongs to; null for a coefficient")
    was: Remark | str = Field(description="its value in the file, or of the model")
    now: Remark | str = Field(description="the value that meets the readings")
    deviations: float = Field(description="how far that is, in its standard deviations")
    left: float = Field(description="share of its standard deviation that is left")
    readings: list[int] = Field(description="places in `tests` of the readings that hang on it")


class WholeLure(Result):
    """A lure of which the tests tell the spare lift: its weight and what it displaces, before and after."""

    lure: int = Field(description="which of the files, from 0")
    weighed: bool = Field(description="whether the log has its weight; else the weight is that of the file")
    weight_g: float = Field(description="its weight after the tests")
    weight_sd_g: float = Field(description="standard deviation of it")
    displaced_ml: float = Field(description="what it displaces after the tests")
    displaced_sd_ml: float = Field(description="standard deviation of it")
    was_displaced_ml: float = Field(description="before")
    was_displaced_sd_ml: float = Field(description="standard deviation before")
    spare_g: float = Field(description="spare lift after the tests")
    spare_sd_g: float = Field(description="standard deviation of it")
    was_spare_g: float = Field(description="before")
    was_spare_sd_g: float = Field(description="standard deviation before")


class Lessons(NamedTuple):
    """What may be written into a file."""

    fitted: Sequence[Fitted]
    whole: Sequence[WholeLure] = ()
    foretold: float = 1.0  # least share of the doubt left in what is foretold of a reading in the water
    farther: bool = False  # the file would fit fewer of the readings with it than without

    @property
    def settled(self) -> bool:
        """Whether the tests settle anything that the file is better with, be it only several coefficients together."""
        return not self.farther and self.learns

    @property
    def learns(self) -> bool:
        """Whether the tests settle anything, be it only several coefficients together."""
        return self.foretold <= LEARNT or any(one.standing is Standing.FITTED for one in self.fitted)


class CalibrationResult(Result):
    """What the logged tests teach."""

    lures: list[str] = Field(description="names of the designs")
    fitted: list[Fitted] = Field(description="every coefficient asked for")
    whole: list[WholeLure] = Field(
        description="lures of which the tests tell the spare lift: written as `measured.displaced`, and, if the log "
        "has it, `measured.weight`"
    )
    foretold: float = Field(
        description="least share of the doubt left in what is foretold of a reading in the water; up to 0.7 the "
        "tests settle something, be it only several coefficients together"
    )
    together: list[Correlation] = Field(description="correlations above 0.3")
    correlations: list[list[float]] = Field(description="between all of `fitted`, in that order")
    tests: list[Residual] = Field(description="every reading, before and after")
    outliers: list[Outlier] = Field(description="readings that all others speak against, the worst first")
    struck: list[Struck] = Field(description="tests that are struck out in the logs, and not used")
    slips: list[Slip] = Field(description="values of the logs that are far from all the designs say")
    along: list[TurnedAlong] = Field(
        description="what was turned along and is not written, what matters most first"
    )
    chi_square_before: float = Field(description="squared misfits of the readings before, added up")
    chi_square: float = Field(description="after, with the squared deviations of what was turned")
    readings: int = Field(description="readings used")
    widened: float = Field(description="factor on all errors because the readings disagree; 1 if they do not")
    notes: list[Remark | str] = Field(description="weights and volumes of the log that contradict the design")
    runs: int = Field(description="runs computed")

    @property
    def lessons(self) -> Lessons:
        """What may be written into the files."""
        used = [one for one in self.tests if not one.left_out]
        before, after, _ = self.unmet
        squares = math.fsum(one.off_after**2 - one.off_before**2 for one in used)
        return Lessons(self.fitted, self.whole, self.foretold, after > before and squares > 0.0)

    @property
    def unmet(self) -> tuple[int, int, int]:
        """How many of the readings used do not fit: before, with what is learnt in the files, as fitted."""
        used = [one for one in self.tests if not one.left_out]
        return (
            sum(abs(one.off_before) > FITS for one in used),
            sum(abs(one.off_after) > FITS for one in used),
            sum(abs(one.off_fitted) > FITS for one in used),
        )
