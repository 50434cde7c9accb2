"""The verdict on a level or a download with its chief cause, in a few words.

Where a cause is already counted in what is expected, it says why so little is; any other says
why the value departs from that.
"""

from __future__ import annotations

from collections.abc import Sequence

from surveyapp.analysis.expected import Cause, Certainty, Expected, Reason

ORDINARY, UNUSUAL = 1.0, 2.0  # standard deviations
EVEN = 0.5  # a likelihood from which a cause is told as likely, a sector as the one
HARDLY = 0.01
COSTLY_DB = 10.0  # a counted loss from which a level is weak, be it as expected
LEVELS = {
    0: "As expected",
    1: "Rather strong", 2: "Unusually strong",
    -1: "Rather weak", -2: "Unusually weak",
}  # fmt: skip
UNSTEADY = {
    Cause.WILD_JITTER: "but the jitter was wild: leave it out or repeat",
    Cause.LOSS: "but packets were lost",
}
HOLDING = {Cause.FEW_CARRIERS, Cause.NO_5G, Cause.SHARED}


def grade(value: Expected) -> int:
    """How far a value lies off: 0, 1 or 2, negative below what was expected."""
    sigmas = value.sigmas
    if sigmas is None or abs(sigmas) <= ORDINARY:
        return 0
    size = 2 if abs(sigmas) > UNUSUAL else 1
    return size if sigmas > 0 else -size


def level_headline(
    level: Expected, sector: str, probability: float, reasons: Sequence[Reason]
) -> str:
    """'Rather strong for Node Linden S2: likely azimuth noted wrong'."""
    if level.mean is None:
        return "Cannot tell what to expect"
    if level.measured is None:
        return "No RSRP noted yet"
    if not level.low <= level.measured <= level.high:
        return "Outside the range of an RSRP"
    off, seldom = grade(level), probability < EVEN
    who = of_sector(sector, probability)
    if off == 0:
        told = f"As expected of {who}" if seldom else LEVELS[0]
        costly = [
            one
            for one in reasons
            if one.counted and one.effect <= -COSTLY_DB and one.probability >= EVEN
        ]
        return f"{told}, but weak here: {_cause(costly[0])}" if costly else told
    chief = next((one for one in reasons if not one.counted), None)
    if chief is None or chief.cause is Cause.FADING:
        return f"{LEVELS[off]} for {who}"
    return f"{LEVELS[off]} for {who}: {_cause(chief)}"


def of_sector(sector: str, probability: float) -> str:
    """The sector, with its likelihood where it is less likely than not."""
    if probability >= EVEN:
        return sector
    if probability < HARDLY:
        return f"{sector}, itself hardly likely"
    return f"{sector}, itself only {probability:.0%} likely"


def rate_headline(down: Expected, peak_mbps: float | None, reasons: Sequence[Reason]) -> str:
    """'Less than expected: far server', 'As expected, but held back: only 100 of 400 MHz'."""
    if peak_mbps is not None and down.measured is not None and down.measured > peak_mbps:
        return "More than these carriers can carry"
    if down.mean is None or down.least is None or down.most is None:
        return "Cannot tell what to expect"
    if down.measured is None:
        return "No download noted yet"
    held = next((one for one in reasons if one.counted and one.cause in HOLDING), None)
    if down.measured < down.least:
        chief = next((one for one in reasons if not one.counted), None)
        because = _cause(chief) if chief else "cannot tell why"
        if held is None:
            return f"Less than expected: {because}"
        return f"Held back: {held.title}. Less still came: {because}"
    told = "Better than expected" if down.measured > down.most else "As expected"
    unsteady = next((UNSTEADY[one.cause] for one in reasons if one.cause in UNSTEADY), "")
    if unsteady:
        return f"{told}, {unsteady}"
    return f"{told}, but held back: {held.title}" if held else told


def _cause(reason: Reason) -> str:
    """A cause as it ends a headline."""
    if reason.certainty in (Certainty.SURE, Certainty.NONE):
        return reason.title
    likely = reason.certainty is Certainty.LIKELY and reason.probability >= EVEN
    return f"likely {reason.title}" if likely else f"perhaps {reason.title}"
