"""Student's t distribution without scipy, which the phone does not carry.

Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4:
the probability as a finite series in the cosine, for whole degrees of freedom.
"""

from __future__ import annotations

import math
from functools import cache

from surveyapp.errors import OutOfRange

_HALVINGS = 200


def t_inside(t: float, freedom: int) -> float:
    """Probability that |T| is at most `t`, for `freedom` degrees of freedom from 1.

    Raises OutOfRange for fewer.
    """
    if freedom < 1:
        raise OutOfRange(
            f"Student's t has at least one degree of freedom, not {freedom}.",
            value=freedom,
            allowed="1 or more",
        )
    angle = math.atan2(abs(t), math.sqrt(freedom))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2 == 1
    term, total = (cosine if odd else 1.0), 0.0
    for power in range(1 if odd else 0, freedom - 1, 2):
        total += term
        term *= cosine * cosine * (power + 1) / (power + 2)
    if odd:
        return (angle + sine * total) * 2.0 / math.pi
    return sine * total


def t_p_value(t: float, freedom: int) -> float:
    """Two-sided p of a measured `t`."""
    return max(0.0, 1.0 - t_inside(t, freedom))


@cache
def t_limit(confidence: float, freedom: int) -> float:
    """The t that |T| does not exceed with probability `confidence`, within 0 to 1.

    Raises OutOfRange outside that.
    """
    if not 0.0 < confidence < 1.0:
        raise OutOfRange(
            f"A confidence lies between 0 and 1, not {confidence}.",
            value=confidence,
            allowed="0 to 1",
        )
    high = 1.0
    while t_inside(high, freedom) < confidence:
        high *= 2.0
    low = 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (middle, high) if t_inside(middle, freedom) < confidence else (low, middle)
    return high
