"""Verdicts on readings and speed runs, from what the analysis expects of them. No Kivy here."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from surveyapp.analysis.headlines import LEVELS, grade
from surveyapp.ui.expectation_words import (
    SUMS,
    Matter,
    Table,
    Verdict,
    asides,
    doubt_views,
    ends_of,
    figures,
    reason_views,
    strip_of,
    with_minus,
)
from surveyapp.ui.words import number, share

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.analysis.expected import Expected
    from surveyapp.analysis.reading_expectation import LegExpectation
    from surveyapp.analysis.run_expectation import RunExpectation
    from surveyapp.analysis.value_doubts import Doubt

DOWN, PING = "down", "ping"
COUNTED = "Why no more is expected here"
PINGS = {
    0: "As expected",
    1: "Rather slow", 2: "Unusually slow",
    -1: "Rather quick", -2: "Unusually quick",
}  # fmt: skip
SPREAD = (
    "± is one standard deviation: about two of three such readings lie within it, nineteen of "
    "twenty within twice as much."
)
MODEL = (
    "Path loss, blocking and fading are those of TR 38.901 for a street canyon, the medians of "
    "many streets: this street may differ."
)
RATE_BAND = (
    "The band is what these carriers should carry: least when moving among reflections, most "
    "when standing still in free sight."
)
PING_BAND = (
    "Light in fibre sets the lowest ping; detours and the radio network are usual amounts "
    "(common practice), not measured ones."
)


def verdicts(
    found: StopExpectations, doubts: Sequence[Doubt], accepted: Collection[str] = ()
) -> dict[str, Verdict]:
    """The verdict on every reading and run of a stop, by the row's id.

    `accepted` are the doubts the surveyor has accepted, as `acceptance_of` names them.
    """
    told = {}
    for reading_id in dict.fromkeys(leg.reading_id for leg in found.legs):
        legs = tuple(_level(leg) for leg in found.of_reading(reading_id))
        told[reading_id] = Verdict(legs, doubt_views(doubts, reading_id, accepted))
    for run in found.runs:
        views = doubt_views(doubts, run.run_id, accepted)
        told[run.run_id] = Verdict((_rate(run), _ping(run)), views)
    return told


def _level(leg: LegExpectation) -> Matter:
    """One leg: the level, and where the decibels went."""
    off = grade(leg.rsrp) if _is_in_range(leg.rsrp) else 0
    low_or_high = {True: "Why it is weak", False: "Why it is strong"}[off < 0]
    asked = low_or_high if off else "What stands out"
    tables = [Table("Where the decibels went", figures(leg.budget, SUMS))] if leg.budget else []
    if leg.quality:
        tables.append(Table("What the values say together", figures(leg.quality)))
    if leg.signalled:
        tables.append(Table("How the phone reports them", figures(leg.signalled)))
    return Matter(
        key=leg.leg,
        label=leg.leg,
        verdict=_level_verdict(leg.rsrp, off),
        headline=with_minus(leg.headline),
        words=with_minus(leg.words),
        strip=strip_of(leg.rsrp, leg.leg.removesuffix(" leg")),
        ends=ends_of(leg.rsrp),
        off=off,
        asked=asked,
        held=COUNTED,
        reasons=reason_views(leg.reasons),
        tables=tuple(tables),
        notes=_level_notes(leg),
        rules=tuple(map(with_minus, leg.rules)),
    )


def _level_verdict(rsrp: Expected, off: int) -> str:
    if rsrp.mean is None:
        return "Cannot tell what to expect"
    if not _is_in_range(rsrp):
        return "Outside the range of an RSRP"
    return LEVELS[off] if rsrp.measured is not None else "No RSRP noted yet"


def _is_in_range(value: Expected) -> bool:
    """Whether a value is one that can be; one not noted may yet be."""
    return value.measured is None or value.low <= value.measured <= value.high


def _level_notes(leg: LegExpectation) -> tuple[str, ...]:
    """Which sector it is taken to come from, what ± means, what model was used."""
    if not leg.sector:
        return ()
    taken = f"It is taken to come from {leg.sector}, which is {share(leg.probability)} likely."
    return taken, SPREAD, MODEL


def _rate(run: RunExpectation) -> Matter:
    """The download: what its carriers should carry, and what held it back."""
    low = _is_low(run)
    lines = figures(run.rate_lines, SUMS)
    return Matter(
        key=DOWN,
        label="Download",
        verdict=_rate_verdict(run),
        headline=with_minus(run.headline),
        words=with_minus(run.words),
        strip=strip_of(run.down),
        ends=ends_of(run.down),
        off=-1 if low else 2 if _is_above_peak(run) else 0,
        asked="Why less came" if low else "What stands out",
        held=COUNTED,
        reasons=reason_views(run.limits),
        tables=(Table("What the rate is made of", lines),) if lines else (),
        notes=(*asides(run.rate_lines), *([RATE_BAND] if run.likely_mbps else [])),
        rules=tuple(map(with_minus, run.rules)),
    )


def _is_low(run: RunExpectation) -> bool:
    low, down = run.low_mbps, run.down.measured
    return low is not None and down is not None and down < low


def _is_above_peak(run: RunExpectation) -> bool:
    down, peak = run.down.measured, run.peak_mbps
    return down is not None and peak is not None and down > peak


def _rate_verdict(run: RunExpectation) -> str:
    down, high = run.down.measured, run.high_mbps
    if _is_above_peak(run):
        return "More than these carriers can carry"
    if run.likely_mbps is None or high is None:
        return "Cannot tell what to expect"
    if down is None:
        return "No download noted yet"
    if _is_low(run):
        return "Less than expected"
    return "Better than expected" if down > high else "As expected"


def _ping(run: RunExpectation) -> Matter:
    """The ping against the server's distance."""
    value, off = run.ping, grade(run.ping)
    if value.mean is None:
        verdict = "Cannot tell what to expect"
    else:
        verdict = PINGS[off] if value.measured is not None else "No ping noted yet"
    return Matter(
        key=PING,
        label="Ping",
        verdict=verdict,
        words=_ping_words(run),
        strip=strip_of(value),
        ends=ends_of(value),
        off=off,
        tables=(Table("What the ping is made of", figures(run.ping_lines, SUMS)),),
        notes=(PING_BAND, SPREAD.replace("readings", "runs")) if value.mean else (),
    )


def _ping_words(run: RunExpectation) -> str:
    """How the ping lies to what was expected, and what no ping can beat."""
    value, lowest = run.ping, run.lowest_ping_ms
    if lowest is None or value.mean is None:
        return "Cannot tell what to expect: the server's place is not known."
    floor = f"no ping below {number(lowest)} ms is possible over that distance."
    foreseen = f"{number(value.mean, 0)} ± {number(value.sigma or 0.0, 0)} ms expected"
    if value.measured is None or value.difference is None:
        return f"{foreseen}; {floor}"
    way = "slower" if value.difference > 0 else "quicker"
    size = f"{number(abs(value.difference), 0)} ms {way} than the {foreseen}"
    return f"{number(value.measured)} ms is {size}; {floor}"
