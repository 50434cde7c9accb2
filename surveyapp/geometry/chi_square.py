"""The chi-square distribution, as far as a check of agreement needs it."""

from __future__ import annotations

import math

from surveyapp.errors import OutOfRange


def chi_square_survival(value: float, degrees: int) -> float:
    """Probability that chi-square with `degrees` of freedom exceeds `value` (0 or more).

    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964),
    26.4.4 and 26.4.5. Raises OutOfRange for fewer than one degree of freedom.
    """
    if degrees < 1:
        raise OutOfRange(
            "Chi-square has at least one degree of freedom: add an observation.",
            value=degrees,
            allowed="1 or more",
        )
    half = max(value, 0.0) / 2
    even = degrees % 2 == 0
    total = math.exp(-half) if even else math.erfc(math.sqrt(half))
    term = math.exp(-half) if even else math.exp(-half) * math.sqrt(half) / math.gamma(1.5)
    # The series' terms are half^k e^-half / gamma(k + 1), k whole or halved.
    for order in range(1, (degrees + 1) // 2):
        exponent = order if even else order - 0.5
        if even:
            term *= half / exponent
            total += term
        else:
            total += term
            term *= half / (exponent + 1)
    return min(total, 1.0)
