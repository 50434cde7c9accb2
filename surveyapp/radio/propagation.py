"""Outdoor path loss and line-of-sight probability: 3GPP TR 38.901 V19.4.0, and free space.

Losses are positive decibels. Valid for 0.5 to 100 GHz (rural macro 30 GHz) and for 10 m to
5 km (rural macro with line of sight 10 km). Nearer than 10 m the same formulas are used with
the true slant distance, taken as at least 1 m: an extrapolation of ours, continuous at 10 m.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from surveyapp.errors import InvalidValue
from surveyapp.radio.arrays import Flags, FloatArray, Values, plain, within
from surveyapp.radio.rural import rural_los_db, rural_nlos_db

LIGHT_M_S = 299_792_458.0  # exact, SI
REPORT_LIGHT_M_S = 3.0e8  # TR 38.901 table 7.4.1-1 note 1, used in its breakpoint distances
ENVIRONMENT_HEIGHT_M = 1.0  # TR 38.901 table 7.4.1-1 note 1, for users below 13 m
NEAREST_M = 1.0


class Scenario(StrEnum):
    """Surroundings of a site, as TR 38.901 names them."""

    UMI = "urban micro, street canyon"
    UMA = "urban macro"
    RMA = "rural macro"


# (with line of sight, without): TR 38.901 V19.4.0 table 7.4.1-1, and RMa within its breakpoint
_SHADOW_SIGMA_DB = {
    Scenario.UMI: (4.0, 7.82),
    Scenario.UMA: (4.0, 6.0),
    Scenario.RMA: (4.0, 8.0),
}
# TR 38.901 table 7.4.1-1, h_UT; urban macro stops at 13 m, where its environment height turns
# random. Base heights: the table fixes 10 m (UMi) and 25 m (UMa); others are an extrapolation.
_USER_HEIGHT_M = {Scenario.UMI: (1.5, 22.5), Scenario.UMA: (1.5, 13.0), Scenario.RMA: (1.0, 10.0)}
_BASE_HEIGHT_M = {
    Scenario.UMI: (2.0, 150.0),
    Scenario.UMA: (2.0, 150.0),
    Scenario.RMA: (10.0, 150.0),
}


def free_space_db(distance_m: Values, mhz: Values) -> FloatArray:
    """Free-space loss in dB over `distance_m` (above 0) at `mhz`; arguments broadcast.

    Source: ITU-R P.525-4, equation 3, with the exact speed of light.
    """
    distance = within(distance_m, 1e-3, 1e9, "distance", "m")
    frequency = within(mhz, 1.0, 1e6, "frequency", "MHz")
    return plain(20.0 * np.log10(4.0e6 * np.pi * distance * frequency / LIGHT_M_S))


def path_loss_db(
    scenario: Scenario,
    distance_2d_m: Values,
    mhz: Values,
    *,
    los: Flags,
    base_height_m: Values = 10.0,
    user_height_m: Values = 1.5,
) -> FloatArray:
    """Median path loss in dB from a site to a user outdoors; all arguments broadcast.

    `distance_2d_m` is measured along the ground. `los` tells whether the line of sight is
    free. Raises OutOfRange outside the ranges of this module's first lines and of the heights
    of the scenario. Source: TR 38.901 V19.4.0 table 7.4.1-1.
    """
    scenario = _scenario(scenario)
    rural = scenario is Scenario.RMA
    far_m = 10_000.0 if rural and np.all(los) else 5_000.0
    distance = within(distance_2d_m, 0.0, far_m, "distance", "m")
    ghz = within(mhz, 500.0, 30_000.0 if rural else 100_000.0, "frequency", "MHz") / 1000.0
    base = within(base_height_m, *_BASE_HEIGHT_M[scenario], "height of the site", "m")
    user = within(user_height_m, *_USER_HEIGHT_M[scenario], "height of the user", "m")
    slant = np.maximum(np.hypot(distance, base - user), NEAREST_M)
    loss_with = _WITH_LOS[scenario](distance, slant, ghz, base, user)
    loss_without = np.maximum(loss_with, _WITHOUT_LOS[scenario](slant, ghz, base, user))
    return plain(np.where(los, loss_with, loss_without))


def los_probability(scenario: Scenario, distance_2d_m: Values) -> FloatArray:
    """Probability of a free line of sight over `distance_2d_m` for a user below 13 m.

    Source: TR 38.901 V19.4.0 table 7.4.2-1.
    """
    scenario = _scenario(scenario)
    distance = within(distance_2d_m, 0.0, 1e7, "distance", "m")
    if scenario is Scenario.RMA:
        return plain(np.exp(-np.maximum(distance - 10.0, 0.0) / 1000.0))
    sure = 18.0 / np.maximum(distance, 18.0)
    scale_m = 36.0 if scenario is Scenario.UMI else 63.0
    return plain(sure + np.exp(-distance / scale_m) * (1.0 - sure))


def shadow_sigma_db(scenario: Scenario, los: Flags) -> FloatArray:
    """Standard deviation in dB of shadow fading around the median loss.

    Rural macro with line of sight is that before its breakpoint (some kilometres).
    Source: TR 38.901 V19.4.0 table 7.4.1-1.
    """
    free, hidden = _SHADOW_SIGMA_DB[_scenario(scenario)]
    return plain(np.where(los, free, hidden))


def _scenario(scenario: Scenario) -> Scenario:
    """The scenario, refused with the allowed ones where it is none."""
    try:
        return Scenario(scenario)
    except ValueError:
        allowed = ", ".join(Scenario)
        raise InvalidValue(
            f"There is no scenario '{scenario}': take one of {allowed}.",
            value=scenario,
            allowed=allowed,
        ) from None


def _breakpoint_m(ghz: FloatArray, base_m: FloatArray, user_m: FloatArray) -> FloatArray:
    """Effective breakpoint distance, TR 38.901 table 7.4.1-1 note 1."""
    effective = (base_m - ENVIRONMENT_HEIGHT_M) * (user_m - ENVIRONMENT_HEIGHT_M)
    return np.asarray(4.0e9 * effective * ghz / REPORT_LIGHT_M_S)


def _urban_los_db(
    distance: FloatArray,
    slant: FloatArray,
    ghz: FloatArray,
    base: FloatArray,
    user: FloatArray,
    *,
    at_one_metre: float,
    slope: float,
    turn: float,
) -> FloatArray:
    """Two slopes around the breakpoint; the three figures tell the scenario."""
    level = at_one_metre + 20.0 * np.log10(ghz)
    breakpoint_m = _breakpoint_m(ghz, base, user)
    before = level + slope * np.log10(slant)
    after = level + 40.0 * np.log10(slant) - turn * np.log10(breakpoint_m**2 + (base - user) ** 2)
    return np.where(distance <= breakpoint_m, before, after)


def _umi_los_db(
    distance: FloatArray, slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """Street canyon, PL_UMi-LOS."""
    return _urban_los_db(distance, slant, ghz, base, user, at_one_metre=32.4, slope=21.0, turn=9.5)


def _uma_los_db(
    distance: FloatArray, slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """Urban macro, PL_UMa-LOS."""
    return _urban_los_db(distance, slant, ghz, base, user, at_one_metre=28.0, slope=22.0, turn=9.0)


def _umi_nlos_db(
    slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """Street canyon, PL'_UMi-NLOS (the table's own form, not the optional one)."""
    return np.asarray(22.4 + 35.3 * np.log10(slant) + 21.3 * np.log10(ghz) - 0.3 * (user - 1.5))


def _uma_nlos_db(
    slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """Urban macro, PL'_UMa-NLOS."""
    return np.asarray(13.54 + 39.08 * np.log10(slant) + 20.0 * np.log10(ghz) - 0.6 * (user - 1.5))


_WITH_LOS = {
    Scenario.UMI: _umi_los_db,
    Scenario.UMA: _uma_los_db,
    Scenario.RMA: rural_los_db,
}
_WITHOUT_LOS = {
    Scenario.UMI: _umi_nlos_db,
    Scenario.UMA: _uma_nlos_db,
    Scenario.RMA: rural_nlos_db,
}
