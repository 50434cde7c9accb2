"""Attenuation by air: Recommendation ITU-R P.676, shipped as a table.

At sea level, 15 degrees and 7.5 g/m3 of water vapour; edition and conditions stand in
`assets/data/gas_attenuation.csv`. Below 0.1 dB over 200 m everywhere but around 60 GHz.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from surveyapp.radio.arrays import FloatArray, Values, plain, within
from surveyapp.radio.tables import rows


def gas_db_per_km(mhz: Values) -> FloatArray:
    """Attenuation in dB/km at 1 to 100 GHz, straight between the table's logarithms.

    Below 1 GHz the value at 1 GHz, 0.005 dB/km, is an upper bound and returned. Raises
    OutOfRange above 100 GHz. Source: ITU-R P.676-12 annex 1 (as P.676-13).
    """
    frequency = within(mhz, 1.0, 100_000.0, "frequency in air", "MHz")
    known_mhz, known_log = _table()
    return plain(np.asarray(np.exp(np.interp(frequency, known_mhz, known_log))))


def gas_loss_db(distance_m: Values, mhz: Values) -> FloatArray:
    """Loss in dB over `distance_m` of air."""
    metres = within(distance_m, 0.0, 1e6, "distance", "m")
    return plain(gas_db_per_km(mhz) * metres / 1000.0)


@lru_cache(maxsize=1)
def _table() -> tuple[FloatArray, FloatArray]:
    """Frequencies in MHz and the logarithms of their attenuations."""
    table = rows("gas_attenuation")
    mhz = np.array([1000.0 * float(row["ghz"]) for row in table])
    return mhz, np.log([float(row["db_per_km"]) for row in table])
