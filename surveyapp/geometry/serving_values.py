"""Plain values of the serving answer, that screens import without the mathematics."""

from __future__ import annotations

NONE_NAME = "none"
RSRP_RANGE_DBM = (-156.0, -29.0)  # TS 38.133 clause 10.1.6, SS-RSRP from -156 to -29 dBm
