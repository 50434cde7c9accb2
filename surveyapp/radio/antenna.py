"""Radiation pattern of one panel: 3GPP TR 38.901 V19.4.0, table 7.3-1.

The table's element (65 degrees both ways, 30 dB floor, 8 dBi) is also how a whole panel is
drawn here, with the panel's own beamwidths and gains counted from its peak.
"""

from __future__ import annotations

import numpy as np

from surveyapp.radio.arrays import FloatArray, Values, finite, plain, within

PEAK_GAIN_DBI = 8.0  # TR 38.901 table 7.3-1, G_E,max
FLOOR_DB = 30.0  # TR 38.901 table 7.3-1, SLA_V and A_max


def pattern_db(
    azimuth_off_deg: Values,
    elevation_off_deg: Values,
    *,
    beamwidth_deg: Values = 65.0,
    vertical_beamwidth_deg: Values = 65.0,
) -> FloatArray:
    """Gain in dB against the peak of the beam, from 0 down to -30; arguments broadcast.

    `azimuth_off_deg` and `elevation_off_deg` are the angles between the direction asked for
    and the boresight, in degrees of any turn (370 counts as 10). The beamwidths are those
    between the half-power points, above 0 and up to 360 degrees. Raises OutOfRange for other
    beamwidths and InvalidValue for what is no number.
    Source: TR 38.901 V19.4.0 table 7.3-1, combined pattern.
    """
    horizontal = within(beamwidth_deg, 0.1, 360.0, "beamwidth", "degrees")
    vertical = within(vertical_beamwidth_deg, 0.1, 360.0, "vertical beamwidth", "degrees")
    azimuth = _folded(finite(azimuth_off_deg, "azimuth off boresight", "degrees"))
    elevation = _folded(finite(elevation_off_deg, "elevation off boresight", "degrees"))
    loss = np.minimum(12.0 * (azimuth / horizontal) ** 2, FLOOR_DB) + np.minimum(
        12.0 * (elevation / vertical) ** 2, FLOOR_DB
    )
    return plain(0.0 - np.minimum(loss, FLOOR_DB))


def element_gain_dbi(theta_deg: Values, phi_deg: Values) -> FloatArray:
    """Gain in dBi of the table's own element; arguments broadcast.

    `theta_deg` is the zenith angle (90 is the horizon), `phi_deg` the azimuth off boresight.
    Source: TR 38.901 V19.4.0 table 7.3-1.
    """
    theta = within(theta_deg, 0.0, 180.0, "zenith angle", "degrees")
    return plain(PEAK_GAIN_DBI + pattern_db(phi_deg, theta - 90.0))


def _folded(angle_deg: FloatArray) -> FloatArray:
    """The angle turned into -180 to 180 degrees."""
    return np.asarray(np.remainder(angle_deg + 180.0, 360.0) - 180.0, dtype=np.float64)
