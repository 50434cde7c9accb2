"""The expectation strip: a value against what was expected of it, over the value's whole range.

Our own sign: a rule over the physical range, a band for the expected value with one and two
standard deviations (an uneven one has no second, and a line at the likeliest), a tick for what
was measured. The numbers stand beside it in text.
"""

from __future__ import annotations

from markupsafe import Markup

from surveyapp.analysis.expected import Expected
from surveyapp.report.svg import element, group, path
from surveyapp.report.words import number, tidy, with_unit

WIDTH, HEIGHT, FOOT = 320.0, 20.0, 18.0
HEAD = 4.0
EDGE = 1.0


def strip_svg(expected: Expected) -> Markup:
    """The drawing, named by its numbers; empty where there is neither band nor tick."""
    if expected.measured is None and expected.mean is None:
        return Markup("")
    parts = []
    for sigmas, style in ((2.0, "band-far"), (1.0, "band-near")):
        band = expected.band(sigmas)
        if band is not None and band[1] >= band[0]:
            left, right = (place(expected, value) for value in band)
            parts.append(
                element("rect", class_=style, x=round(left, 1), y=6.5,
                        width=round(max(right - left, 0.5), 1), height=FOOT - 7.0)
            )  # fmt: skip
    if expected.mean is not None and expected.least is not None:
        x = place(expected, expected.mean)
        parts.append(element("path", class_="rule", d=path([[(x, 6.5), (x, FOOT)]])))
    ends = [[(x, FOOT - 5.0), (x, FOOT)] for x in (EDGE, WIDTH - EDGE)]
    rule = [[(EDGE, FOOT), (WIDTH - EDGE, FOOT)], *ends]
    parts.append(element("path", class_="rule", d=path(rule)))
    if expected.measured is not None:
        x = place(expected, expected.measured)
        parts.append(element("path", class_="tick", d=path([[(x, 1.5), (x, FOOT + 1.0)]])))
        head = [(x - HEAD, 0.5), (x + HEAD, 0.5), (x, 6.5)]
        parts.append(element("path", class_="head", d=path([head], closed=True)))
    return element(
        "svg", group(parts), class_="strip", role="img", aria_label=told(expected),
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
    )  # fmt: skip


def place(expected: Expected, value: float) -> float:
    """Where a value stands on the strip, kept within its ends."""
    share = (value - expected.low) / (expected.high - expected.low)
    return EDGE + (WIDTH - 2.0 * EDGE) * min(max(share, 0.0), 1.0)


def told(expected: Expected) -> str:
    """The strip in words, for those who do not see it."""
    unit = expected.unit
    read = (
        f"{expected.quantity} {with_unit(expected.measured, unit, 0)}"
        if expected.measured is not None
        else f"{expected.quantity} not noted"
    )
    foreseen = (
        f", expected {tidy(expected.told)}" if expected.mean is not None else ", nothing expected"
    )
    ends = f"{number(expected.low, 0)} to {number(expected.high, 0)} {unit}"
    return f"{read}{foreseen}, on a strip from {ends}"
