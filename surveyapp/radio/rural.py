"""Rural macro path loss: 3GPP TR 38.901 V19.4.0, table 7.4.1-1, rows PL_RMa.

Called through `propagation.path_loss_db`, which checks the ranges.
"""

from __future__ import annotations

import numpy as np

from surveyapp.radio.arrays import FloatArray

BUILDING_HEIGHT_M = 5.0  # TR 38.901 table 7.4.1-1, default average building height
STREET_WIDTH_M = 20.0  # TR 38.901 table 7.4.1-1, default average street width
REPORT_LIGHT_M_S = 3.0e8  # TR 38.901 table 7.4.1-1 note 5


def rural_los_db(
    distance: FloatArray, slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """Loss with line of sight, two slopes around the breakpoint; metres and GHz."""
    breakpoint_m = 2.0e9 * np.pi * base * user * ghz / REPORT_LIGHT_M_S
    after = _one_slope_db(breakpoint_m, ghz) + 40.0 * np.log10(slant / breakpoint_m)
    return np.where(distance <= breakpoint_m, _one_slope_db(slant, ghz), after)


def rural_nlos_db(
    slant: FloatArray, ghz: FloatArray, base: FloatArray, user: FloatArray
) -> FloatArray:
    """PL'_RMa-NLOS, before the larger of this and the line-of-sight loss is taken."""
    return np.asarray(
        161.04
        - 7.1 * np.log10(STREET_WIDTH_M)
        + 7.5 * np.log10(BUILDING_HEIGHT_M)
        - (24.37 - 3.7 * (BUILDING_HEIGHT_M / base) ** 2) * np.log10(base)
        + (43.42 - 3.1 * np.log10(base)) * (np.log10(slant) - 3.0)
        + 20.0 * np.log10(ghz)
        - (3.2 * np.log10(11.75 * user) ** 2 - 4.97)
    )


def _one_slope_db(metres: FloatArray, ghz: FloatArray) -> FloatArray:
    """PL_1 of the table."""
    spread = BUILDING_HEIGHT_M**1.72
    return np.asarray(
        20.0 * np.log10(40.0 * np.pi * metres * ghz / 3.0)
        + min(0.03 * spread, 10.0) * np.log10(metres)
        - min(0.044 * spread, 14.77)
        + 0.002 * np.log10(BUILDING_HEIGHT_M) * metres
    )
