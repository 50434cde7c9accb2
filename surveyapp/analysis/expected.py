"""What every expectation is told with: a strip, readable lines, and reasons with numbers.

Plain values, so that a sheet, a page and the command line show the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, kw_only=True, slots=True)
class Expected:
    """One value against what was expected of it, over its physical range.

    `low` and `high` end the range; `mean` and `sigma` are None where nothing could be
    expected, `measured` where nothing was noted. All in `unit`.
    """

    quantity: str
    unit: str
    low: float
    high: float
    mean: float | None = None
    sigma: float | None = None
    measured: float | None = None

    @property
    def difference(self) -> float | None:
        """Measured less expected, in `unit`."""
        if self.mean is None or self.measured is None:
            return None
        return self.measured - self.mean

    @property
    def sigmas(self) -> float | None:
        """Measured less expected, in standard deviations."""
        difference = self.difference
        return None if difference is None or not self.sigma else difference / self.sigma

    def band(self, sigmas: float = 1.0) -> tuple[float, float] | None:
        """From and to of the band that many standard deviations wide on either side."""
        if self.mean is None or self.sigma is None:
            return None
        half = sigmas * self.sigma
        return max(self.mean - half, self.low), min(self.mean + half, self.high)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a make-up: a term, its number (None: not known) with its unit, a note."""

    term: str
    number: float | None
    unit: str
    note: str = ""


class Cause(StrEnum):
    """What may lie behind a level or a rate."""

    BLOCKED = "blocked"
    CLEAR = "clearer view than counted"
    OFF_BEAM = "off the beam"
    BEHIND = "behind the panel"
    WRONG_AZIMUTH = "wrong azimuth"
    OTHER_SECTOR = "another sector"
    UNLISTED = "unlisted sector"
    WRONG_EIRP = "wrong EIRP"
    RAIN = "rain"
    FOLIAGE = "foliage"
    PHONE = "the phone"
    DISTANCE = "distance"
    FADING = "fading"
    RADIO = "radio"
    FEW_CARRIERS = "few carriers"
    NO_5G = "no 5G leg"
    FAR_SERVER = "far server"
    UPLINK = "uplink"
    SHARED = "shared cell"
    ONE_STREAM = "one stream"
    WILD_JITTER = "wild jitter"
    LOSS = "packet loss"
    UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """One likely reason: what, how sure (0 to 1), how much it moved the value, and why.

    `effect` is in dB for a level (negative lowers it), and for a rate the factor it leaves
    (0.25: a quarter). `evidence` are the numbers behind it.
    """

    cause: Cause
    words: str
    probability: float
    effect: float
    evidence: tuple[Line, ...] = ()
