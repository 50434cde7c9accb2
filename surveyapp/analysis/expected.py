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
    expected, `measured` where nothing was noted. All in `unit`. What is expected lies `sigma`
    to either side of `mean`, or where `least` and `most` are given, between these.
    """

    quantity: str
    unit: str
    low: float
    high: float
    mean: float | None = None
    sigma: float | None = None
    measured: float | None = None
    least: float | None = None
    most: float | None = None

    @property
    def difference(self) -> float | None:
        """Measured less expected, in `unit`."""
        if self.mean is None or self.measured is None:
            return None
        return self.measured - self.mean

    @property
    def sigmas(self) -> float | None:
        """Measured less expected, in standard deviations; of an uneven band in its half."""
        difference, half = self.difference, self.sigma
        if difference is None or self.mean is None:
            return None
        if self.least is not None and self.most is not None:
            half = self.most - self.mean if difference > 0.0 else self.mean - self.least
        return difference / half if half else None

    def band(self, sigmas: float = 1.0) -> tuple[float, float] | None:
        """From and to of the band that many standard deviations wide on either side.

        An uneven band has no double: where `least` and `most` are given there is one alone.
        """
        if self.least is not None and self.most is not None:
            return (self.least, self.most) if sigmas == 1.0 else None
        if self.mean is None or self.sigma is None:
            return None
        half = sigmas * self.sigma
        return max(self.mean - half, self.low), min(self.mean + half, self.high)

    @property
    def told(self) -> str:
        """What is expected: '-86 ± 8 dBm', or uneven '342 Mbit/s (240 to 545)'; '' if nothing."""
        if self.mean is None:
            return ""
        if self.least is not None and self.most is not None:
            return f"{self.mean:.0f} {self.unit} ({self.least:.0f} to {self.most:.0f})"
        return f"{self.mean:.0f} ± {self.sigma or 0.0:.0f} {self.unit}"


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


class Certainty(StrEnum):
    """How sure a reason is: a fact noted or computed, a likelihood, or nobody's to tell."""

    SURE = "sure"
    LIKELY = "likely"
    MAY_BE = "may be"
    NONE = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """One likely reason: what, how sure (0 to 1), how much it moved the value, and why.

    `title` names it in a few words. `effect` is in dB for a level (negative lowers it), and for
    a rate the factor it leaves (0.25: a quarter); it puts the reasons in order. `counted` says
    that what is expected allows for it already, `next_step` what to do about it. `evidence` are
    the numbers behind it.
    """

    cause: Cause
    title: str
    words: str
    probability: float
    effect: float
    certainty: Certainty = Certainty.MAY_BE
    counted: bool = False
    next_step: str = ""
    evidence: tuple[Line, ...] = ()

    @property
    def how_sure(self) -> str:
        """'sure', '77% likely', 'may be'; '' where the reason says itself that none is known."""
        if self.certainty is not Certainty.LIKELY:
            return self.certainty.value
        return f"{min(max(self.probability, 0.01), 0.99):.0%} likely"

    @property
    def told(self) -> str:
        """The reason with its certainty and the next step, as one text."""
        title = self.title[:1].upper() + self.title[1:]
        words = f"{self.words} {self.next_step}".rstrip()
        return f"{title} ({self.how_sure}): {words}" if self.how_sure else f"{title}: {words}"
