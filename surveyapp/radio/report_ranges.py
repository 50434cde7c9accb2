"""Report index and interval of a measured value, as a phone signals them.

Sources: 3GPP TS 38.133 V19 tables 10.1.6.1-1 (SS-RSRP), 10.1.11.1-1 (SS-RSRQ) and
10.1.16.1-1 (SS-SINR); TS 36.133 tables 9.1.4-1 (RSRP) and 9.1.7-1 (RSRQ), these two from
memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from surveyapp.errors import OutOfRange
from surveyapp.radio.arrays import finite


@dataclass(frozen=True, slots=True)
class ReportRange:
    """Index 1 starts at `low`, each further one `step` higher; 0 and `last` are open ended."""

    low: float
    step: float
    last: int
    unit: str


class Report(Enum):
    """A reported quantity with its range."""

    SS_RSRP = ReportRange(-156.0, 1.0, 126, "dBm")
    SS_RSRQ = ReportRange(-43.0, 0.5, 127, "dB")
    SS_SINR = ReportRange(-23.0, 0.5, 127, "dB")
    LTE_RSRP = ReportRange(-140.0, 1.0, 97, "dBm")
    LTE_RSRQ = ReportRange(-19.5, 0.5, 34, "dB")


def report_interval(quantity: Report, index: int) -> tuple[float, float]:
    """The values an index stands for: from the first, included, to the second, excluded.

    The lowest index starts at minus infinity, the highest ends at infinity. Raises OutOfRange
    for an index the quantity has not (SS-RSRP 127 is reserved and stands for no value).
    """
    span = quantity.value
    if not 0 <= index <= span.last:
        raise OutOfRange(
            f"{_words(quantity)} has no report index {index}: take 0 to {span.last}.",
            value=index,
            allowed=f"0 to {span.last}",
        )
    low = -math.inf if index == 0 else span.low + span.step * (index - 1)
    high = math.inf if index == span.last else span.low + span.step * index
    return low, high


def report_index(quantity: Report, measured: float) -> int:
    """The index a phone would report for a value in dBm or dB."""
    span = quantity.value
    finite(measured, _words(quantity), span.unit)
    index = min(max(math.floor((measured - span.low) / span.step) + 1, 0), span.last)
    # A value a hair below a step can be rounded onto it by the subtraction.
    return index - 1 if measured < report_interval(quantity, index)[0] else index


def _words(quantity: Report) -> str:
    """'SS-RSRP', 'LTE RSRQ'."""
    return quantity.name.replace("SS_", "SS-").replace("_", " ")
