"""Log-distance fit of a sector's readings, with the sector's own pattern taken out first.

RSRP = intercept + pattern - 10 n log10(distance / 10 m) - blocked + fading: the log-distance
model with log-normal shadowing (T. S. Rappaport, Wireless Communications: Principles and
Practice, 2nd edition 2002, section 4.9; from memory), by ordinary least squares. Distances go
through the air. Readings of one stop share their fading, so a stop counts once.

What it cannot know: a phone shows a sector only while that sector serves, so weak readings
are rarer than weak places, and levels far out come out somewhat high.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from surveyapp.analysis.intervals import chi_square_quantile, student_quantile
from surveyapp.analysis.level_model import (
    BLOCKED_SIGMA_DB,
    Levels,
    Part,
    blocked_loss_db,
)
from surveyapp.analysis.sector_panel import BoolArray, FloatArray, SectorPanel, Ways
from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane

REFERENCE_M = 10.0
LEAST_PLACES = 4  # two figures are fitted, and their spread needs two places more
LEAST_OF_A_KIND = 2  # places in sight, and out of sight, from which the difference is fitted
LEAST_SPAN = 1.5  # farthest over nearest distance
USUAL_EXPONENT = (1.5, 5.0)  # T. S. Rappaport (2002), table 4.2: streets to built-up areas


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredPlace:
    """The level of one sector where somebody stood: the mean of `readings` readings.

    `clear` tells whether buildings leave the sight to the panel free, None where not known.
    """

    lat_deg: float
    lon_deg: float
    rsrp_dbm: float
    readings: int = 1
    stop_id: str = ""
    clear: bool | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class SectorFit:
    """The fit with what it was made from: `measured`, and the residual of each, in dB.

    A residual is measured less fitted. `intercept_dbm` is the level on boresight at 10 m.
    `blocked_db` is what a blocked sight takes, None where that was not fitted.
    `covariance` is that of (intercept, exponent, blocked) as far as they were fitted.
    `remarks` are sentences on what weakens the fit.
    """

    panel: SectorPanel
    measured: tuple[MeasuredPlace, ...]
    residuals_db: tuple[float, ...]
    intercept_dbm: float
    exponent: float
    blocked_db: float | None
    sigma_db: float
    degrees: int
    covariance: FloatArray = field(repr=False)
    mhz: float = 3500.0
    by_sight: bool = False
    remarks: tuple[str, ...] = ()
    on_air: float = 1.0

    @property
    def intercept_sigma_db(self) -> float:
        """Standard error of the intercept."""
        return math.sqrt(self.covariance[0, 0])

    @property
    def exponent_sigma(self) -> float:
        """Standard error of n."""
        return math.sqrt(self.covariance[1, 1])

    @property
    def blocked_sigma_db(self) -> float | None:
        """Standard error of what a blocked sight takes."""
        return None if self.blocked_db is None else math.sqrt(self.covariance[2, 2])

    def exponent_interval(self, chance: float = 0.95) -> tuple[float, float]:
        """Interval that holds n with this chance (Student's t)."""
        reach = student_quantile(0.5 + chance / 2.0, self.degrees) * self.exponent_sigma
        return self.exponent - reach, self.exponent + reach

    def sigma_interval_db(self, chance: float = 0.95) -> tuple[float, float]:
        """Interval that holds sigma with this chance (chi-square)."""
        squares = self.degrees * self.sigma_db**2
        low, high = (
            math.sqrt(squares / chi_square_quantile(tail, self.degrees))
            for tail in (0.5 + chance / 2.0, 0.5 - chance / 2.0)
        )
        return low, high

    @property
    def farthest_m(self) -> float:
        """How far along the ground the farthest reading was taken; beyond, it is a guess."""
        ground, _ = offsets(self.panel, self.measured)
        return float(np.max(ground))

    def levels(self, ways: Ways, clear: BoolArray | None = None) -> Levels:
        """Levels at places, with what the fit leaves uncertain (see LevelModel).

        Where sight is blocked and the fit does not tell what that takes, TR 38.901's figures
        are taken.
        """
        hidden = np.zeros(ways.slant_m.shape) if clear is None else (~clear).astype(np.float64)
        if not self.by_sight:
            hidden = np.zeros(ways.slant_m.shape)
        mean, variance = self.expected(ways, hidden if self.blocked_db is not None else None)
        fading = np.full(ways.slant_m.shape, self.sigma_db)
        if self.by_sight and self.blocked_db is None:
            mean = mean - hidden * blocked_loss_db(ways.ground_m, self.panel.height_m, self.mhz)
            fading = np.where(hidden > 0.0, max(self.sigma_db, BLOCKED_SIGMA_DB), fading)
        one = np.ones(ways.slant_m.shape)
        return Levels((Part(one, mean, fading, np.sqrt(variance), self.degrees),))

    def expected(self, ways: Ways, hidden: FloatArray | None = None) -> tuple[FloatArray, ...]:
        """Mean level at places, and the variance that the fit leaves in that mean."""
        decades = -10.0 * np.log10(ways.slant_m / REFERENCE_M)
        mean = self.intercept_dbm + ways.gain_db + self.exponent * decades
        c = self.covariance
        variance = c[0, 0] + decades * (2.0 * c[0, 1] + decades * c[1, 1])
        if hidden is not None and self.blocked_db is not None:
            mean = mean - hidden * self.blocked_db
            variance = variance + hidden * (
                c[2, 2] * hidden - 2.0 * c[0, 2] - 2.0 * decades * c[1, 2]
            )
        return mean, np.maximum(variance, 0.0)


def fit_sector(
    panel: SectorPanel, measured: Sequence[MeasuredPlace], *, mhz: float = 3500.0
) -> SectorFit:
    """Fit the readings of one sector; `mhz` is used only where sight is blocked untried.

    Raises NoAnswer, with the reason, for fewer than LEAST_PLACES places, for places at nearly
    one distance, and for a panel without an azimuth.
    """
    panel.known_azimuth_deg()
    kept, by_sight, remarks = _usable(panel, measured)
    _check_enough(panel, kept)
    east, north = _offsets_en(panel, kept)
    ways = panel.ways_over(east, north)
    _check_span(panel, ways.ground_m)
    columns = [np.ones(len(kept)), -10.0 * np.log10(ways.slant_m / REFERENCE_M)]
    hidden = np.array([place.clear is False for place in kept])
    with_blocked = by_sight and bool(hidden.any())
    if with_blocked:
        columns.append(-hidden.astype(np.float64))
    design = np.column_stack(columns)
    level = np.array([place.rsrp_dbm for place in kept]) - ways.gain_db
    degrees = len(kept) - design.shape[1]
    found, *_ = np.linalg.lstsq(design, level, rcond=None)
    residuals = level - design @ found
    sigma_db = math.sqrt(float(residuals @ residuals) / degrees)
    covariance = sigma_db**2 * np.linalg.inv(design.T @ design)
    return SectorFit(
        panel=panel,
        measured=tuple(kept),
        residuals_db=tuple(residuals.tolist()),
        intercept_dbm=float(found[0]),
        exponent=float(found[1]),
        blocked_db=float(found[2]) if with_blocked else None,
        sigma_db=sigma_db,
        degrees=degrees,
        covariance=covariance,
        mhz=mhz,
        by_sight=by_sight,
        remarks=(*remarks, *_remarks(float(found[1]))),
    )


def offsets(panel: SectorPanel, measured: Sequence[MeasuredPlace]) -> tuple[FloatArray, FloatArray]:
    """Distance along the ground in metres and azimuth in degrees from the panel to each place."""
    east, north = _offsets_en(panel, measured)
    return np.hypot(east, north), np.degrees(np.arctan2(east, north)) % 360.0


def _offsets_en(panel: SectorPanel, measured: Sequence[MeasuredPlace]) -> tuple[FloatArray, ...]:
    return Plane(panel.lat_deg, panel.lon_deg).to_plane(
        [place.lat_deg for place in measured], [place.lon_deg for place in measured]
    )


def _usable(
    panel: SectorPanel, measured: Sequence[MeasuredPlace]
) -> tuple[list[MeasuredPlace], bool, list[str]]:
    """The places to fit, whether by sight, and what was left out.

    Places in and out of sight are told apart where there are enough of both; a single one of
    the rarer kind is left out.
    """
    free = [place for place in measured if place.clear is not False]
    blocked = [place for place in measured if place.clear is False]
    if any(place.clear is None for place in measured):
        return list(measured), False, []
    if len(blocked) >= LEAST_OF_A_KIND and len(free) >= LEAST_OF_A_KIND:
        if len(measured) > LEAST_PLACES:
            return list(measured), True, []
    elif len(free) >= LEAST_PLACES:
        count = len(blocked)
        told = f"{count} place out of sight of {panel.name} is too few to tell what that takes."
        return free, True, [told] if count else []
    return list(measured), False, []


def _check_enough(panel: SectorPanel, measured: Sequence[MeasuredPlace]) -> None:
    if len(measured) < LEAST_PLACES:
        count = len(measured)
        have = "no place" if count == 0 else f"{count} place{'s' if count > 1 else ''}"
        raise NoAnswer(
            f"{panel.name} was read at {have}, and a fit needs {LEAST_PLACES}: "
            "read it at some more, near and far."
        )


def _check_span(panel: SectorPanel, ground_m: FloatArray) -> None:
    slant = panel.slant_m(ground_m)
    near, far = float(np.min(slant)), float(np.max(slant))
    if far < LEAST_SPAN * near:
        raise NoAnswer(
            f"All places where {panel.name} was read lie {near:.0f} to {far:.0f} m from it, "
            "at nearly one distance: read it nearer or farther too."
        )


def _remarks(exponent: float) -> tuple[str, ...]:
    low, high = USUAL_EXPONENT
    if low <= exponent <= high:
        return ()
    return (
        f"n is {exponent:.1f}, outside the usual {low:g} to {high:g}: "
        "too few places, a wrong azimuth, or readings of another sector.",
    )
