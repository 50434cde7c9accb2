"""A panel's azimuth from readings taken on a walk round its site, with an interval.

Every azimuth is tried: the log-distance model with the pattern turned that way is fitted to
the readings, and the one that leaves least is the answer. The interval is the profile
likelihood's, {azimuth: S <= S_least (1 + t^2 / degrees)} (D. M. Bates and D. G. Watts,
Nonlinear Regression Analysis and Its Applications, 1988, section 6.1; from memory), which
takes distance, level and spread as unknown too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.intervals import student_quantile
from surveyapp.analysis.sector_fit import REFERENCE_M, MeasuredPlace, offsets
from surveyapp.analysis.sector_panel import FloatArray, SectorPanel
from surveyapp.errors import NoAnswer

LEAST_PLACES = 6  # four figures are fitted; two places more tell their spread
LEAST_ROUND_DEG = 60.0  # of the circle about the site, between the outermost readings
WIDEST_DEG = 120.0  # an interval wider than this on the whole is no answer
STEP_DEG = 0.5


@dataclass(frozen=True, kw_only=True, slots=True)
class WalkAzimuth:
    """The azimuth that explains a walk's readings best.

    `interval_deg` goes clockwise from its first to its second end and holds the azimuth with
    `chance`; `sigma_deg` is half the width of the 68 % interval. `residuals_db` are measured
    less fitted, one a place; `sigma_db` their standard deviation.
    """

    azimuth_deg: float
    sigma_deg: float
    interval_deg: tuple[float, float]
    chance: float
    sigma_db: float
    residuals_db: tuple[float, ...]
    places: int


def walk_azimuth(
    panel: SectorPanel, measured: Sequence[MeasuredPlace], chance: float = 0.95
) -> WalkAzimuth:
    """The azimuth of a panel from where and how strongly it was read; its own is not used.

    Raises NoAnswer, with the reason, for too few places, for a walk that shows the site from
    one side only, and where the readings leave the azimuth open.
    """
    _check_enough(panel, measured)
    ground, bearing = offsets(panel, measured)
    _check_round(panel, bearing)
    turns = np.arange(0.0, 360.0, STEP_DEG)
    gain = panel.gain_db(bearing - turns[:, None], ground)
    level = np.array([place.rsrp_dbm for place in measured])
    columns = [np.ones(len(measured)), -10.0 * np.log10(panel.slant_m(ground) / REFERENCE_M)]
    hidden = np.array([place.clear is False for place in measured], dtype=np.float64)
    if 0 < hidden.sum() < len(measured) and len(measured) > LEAST_PLACES:
        columns.append(-hidden)
    basis = _orthonormal(np.column_stack(columns))
    rest = level - gain
    rest = rest - (rest @ basis) @ basis.T
    left = np.sum(rest**2, axis=1)
    best = int(np.argmin(left))
    degrees = len(measured) - basis.shape[1] - 1
    azimuth, least = _refined(turns, left, best)
    wide = _interval(turns, left, best, least * _allowance(chance, degrees))
    near = _interval(turns, left, best, least * _allowance(0.6827, degrees))
    width = None if wide is None else (wide[1] - wide[0])
    if wide is None or near is None or width is None or width > 2.0 * WIDEST_DEG:
        raise NoAnswer(
            f"The readings round {panel.name} leave its azimuth open: read it at more places, "
            "on every side of the site."
        )
    return WalkAzimuth(
        azimuth_deg=azimuth % 360.0,
        sigma_deg=0.5 * (near[1] - near[0]),
        interval_deg=(wide[0] % 360.0, wide[1] % 360.0),
        chance=chance,
        sigma_db=float(np.sqrt(least / degrees)),
        residuals_db=tuple(rest[best].tolist()),
        places=len(measured),
    )


def _allowance(chance: float, degrees: int) -> float:
    """By what factor the squares left may grow within the interval."""
    return 1.0 + student_quantile(0.5 + chance / 2.0, degrees) ** 2 / degrees


def _orthonormal(design: FloatArray) -> FloatArray:
    """An orthonormal basis (places, rank) of the columns; equal distances lower the rank."""
    left, size, _ = np.linalg.svd(design, full_matrices=False)
    return np.asarray(left[:, size > 1e-6 * size[0]])


def _refined(turns: FloatArray, left: FloatArray, best: int) -> tuple[float, float]:
    """The least of a parabola through the best azimuth and its neighbours."""
    before, here, after = (float(left[(best + k) % len(left)]) for k in (-1, 0, 1))
    bend = before - 2.0 * here + after
    shift = 0.0 if bend <= 0.0 else float(np.clip(0.5 * (before - after) / bend, -0.5, 0.5))
    return float(turns[best]) + shift * STEP_DEG, max(here - 0.25 * (before - after) * shift, 1e-12)


def _interval(
    turns: FloatArray, left: FloatArray, best: int, allowed: float
) -> tuple[float, float] | None:
    """The stretch about the best azimuth that holds all that is allowed; None for all round.

    Where other azimuths are allowed too the stretch is widened to hold them: a second dip of
    the squares is as good an answer.
    """
    turned = np.roll(left, len(left) // 2 - best)  # the best in the middle
    inside = np.flatnonzero(turned <= allowed)
    middle = len(left) // 2
    if inside.size == 0:
        inside = np.array([middle])
    first, last = int(min(inside[0], middle)), int(max(inside[-1], middle))
    if first == 0 or last == len(left) - 1:
        return None
    low = first - _share(turned[first - 1], turned[first], allowed)
    high = last + _share(turned[last + 1], turned[last], allowed)
    start = float(turns[best])
    return start + (low - middle) * STEP_DEG, start + (high - middle) * STEP_DEG


def _share(outside: float, inside: float, allowed: float) -> float:
    """How far towards the step outside the limit lies."""
    return float(np.clip((allowed - inside) / max(outside - inside, 1e-12), 0.0, 1.0))


def _check_enough(panel: SectorPanel, measured: Sequence[MeasuredPlace]) -> None:
    if len(measured) < LEAST_PLACES:
        raise NoAnswer(
            f"{panel.name} was read at {len(measured)} places, and an azimuth needs "
            f"{LEAST_PLACES}: read it at some more, round the site."
        )


def _check_round(panel: SectorPanel, bearing_deg: FloatArray) -> None:
    """Refuse a walk that shows the panel from one direction only."""
    sorted_deg = np.sort(bearing_deg)
    gaps = np.diff(np.append(sorted_deg, sorted_deg[0] + 360.0))
    seen_deg = 360.0 - float(np.max(gaps))
    if seen_deg < LEAST_ROUND_DEG:
        raise NoAnswer(
            f"All readings of {panel.name} lie within {seen_deg:.0f} degrees as seen from the "
            f"site, and an azimuth needs {LEAST_ROUND_DEG:.0f}: walk farther round it."
        )
