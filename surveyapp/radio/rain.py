"""Attenuation by rain: Recommendation ITU-R P.838-3 (2005), tables 1 to 4."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from surveyapp.radio.arrays import FloatArray, Values, plain, within

LIGHT_RAIN_MM_H = 2.5  # common practice: up to here rain is called light
HEAVY_RAIN_MM_H = 25.0  # a thunder shower in temperate climates; common practice


@dataclass(frozen=True, slots=True)
class _Curve:
    """Sum of bell curves over log10 of GHz, plus a straight line."""

    height: tuple[float, ...]
    centre: tuple[float, ...]
    width: tuple[float, ...]
    slope: float
    level: float

    def at(self, log_ghz: FloatArray) -> FloatArray:
        """The curve's value at log10 of the frequency in GHz."""
        bells = (
            height * np.exp(-(((log_ghz - centre) / width) ** 2))
            for height, centre, width in zip(self.height, self.centre, self.width, strict=True)
        )
        return np.asarray(sum(bells) + self.slope * log_ghz + self.level)


_LOG_K_HORIZONTAL = _Curve(  # P.838-3 table 1
    (-5.33980, -0.35351, -0.23789, -0.94158),
    (-0.10008, 1.26970, 0.86036, 0.64552),
    (1.13098, 0.45400, 0.15354, 0.16817),
    -0.18961,
    0.71147,
)
_LOG_K_VERTICAL = _Curve(  # P.838-3 table 2
    (-3.80595, -3.44965, -0.39902, 0.50167),
    (0.56934, -0.22911, 0.73042, 1.07319),
    (0.81061, 0.51059, 0.11899, 0.27195),
    -0.16398,
    0.63297,
)
_ALPHA_HORIZONTAL = _Curve(  # P.838-3 table 3
    (-0.14318, 0.29591, 0.32177, -5.37610, 16.1721),
    (1.82442, 0.77564, 0.63773, -0.96230, -3.29980),
    (-0.55187, 0.19822, 0.13164, 1.47828, 3.43990),
    0.67849,
    -1.95537,
)
_ALPHA_VERTICAL = _Curve(  # P.838-3 table 4
    (-0.07771, 0.56727, -0.20238, -48.2991, 48.5833),
    (2.33840, 0.95545, 1.14520, 0.791669, 0.791459),
    (-0.76284, 0.54039, 0.26809, 0.116226, 0.116479),
    -0.053739,
    0.83433,
)


def rain_db_per_km(
    mhz: Values, rain_mm_h: Values, *, elevation_deg: Values = 0.0, tilt_deg: Values = 45.0
) -> FloatArray:
    """Attenuation in dB/km by rain of `rain_mm_h`; arguments broadcast.

    `tilt_deg` is that of the polarisation: 0 horizontal, 90 vertical, 45 for slant or
    circular. Valid from 1 GHz to 1000 GHz, refused outside with OutOfRange.
    Source: ITU-R P.838-3 equations 1 to 5.
    """
    log_ghz = np.log10(within(mhz, 1000.0, 1e6, "frequency in rain", "MHz") / 1000.0)
    rate = within(rain_mm_h, 0.0, 500.0, "rain rate", "mm/h")
    elevation = np.radians(within(elevation_deg, -90.0, 90.0, "elevation", "degrees"))
    tilt = np.radians(within(tilt_deg, -180.0, 180.0, "tilt of the polarisation", "degrees"))
    k_h, k_v = 10.0 ** _LOG_K_HORIZONTAL.at(log_ghz), 10.0 ** _LOG_K_VERTICAL.at(log_ghz)
    alpha_h, alpha_v = _ALPHA_HORIZONTAL.at(log_ghz), _ALPHA_VERTICAL.at(log_ghz)
    turn = np.cos(elevation) ** 2 * np.cos(2.0 * tilt)
    k = (k_h + k_v + (k_h - k_v) * turn) / 2.0
    alpha = (k_h * alpha_h + k_v * alpha_v + (k_h * alpha_h - k_v * alpha_v) * turn) / (2.0 * k)
    return plain(k * rate**alpha)


def rain_loss_db(distance_m: Values, mhz: Values, rain_mm_h: Values) -> FloatArray:
    """Loss in dB over a street-length path that is all in the same rain, slant polarisation.

    Below 1 GHz, where the recommendation ends and 100 mm/h cost less than 0.01 dB/km, it is 0.
    """
    frequency = within(mhz, 1.0, 1e6, "frequency", "MHz")
    metres = within(distance_m, 0.0, 1e5, "distance", "m")
    each_km = rain_db_per_km(np.maximum(frequency, 1000.0), rain_mm_h)
    return plain(np.where(frequency < 1000.0, 0.0, each_km * metres / 1000.0))
