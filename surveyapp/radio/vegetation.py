"""Loss through trees in leaf: Weissberger's modified exponential decay.

M. A. Weissberger, An initial critical summary of models for predicting the attenuation of
radio waves by trees, ESD-TR-81-101 (1982): valid 0.23 to 95 GHz, up to 400 m of foliage.
"""

from __future__ import annotations

import numpy as np

from surveyapp.radio.arrays import FloatArray, Values, plain, within

SHALLOW_M = 14.0  # where the two branches meet, to 0.5 %


def foliage_db(depth_m: Values, mhz: Values) -> FloatArray:
    """Loss in dB through `depth_m` of dry trees in leaf; arguments broadcast.

    Raises OutOfRange above 400 m of foliage and outside 230 to 95000 MHz. Bare trees lose
    several dB less (common practice).
    """
    depth = within(depth_m, 0.0, 400.0, "depth of foliage", "m")
    ghz = within(mhz, 230.0, 95_000.0, "frequency in foliage", "MHz") / 1000.0
    shallow = 0.45 * ghz**0.284 * depth
    deep = 1.33 * ghz**0.284 * depth**0.588
    return plain(np.where(depth < SHALLOW_M, shallow, deep))
