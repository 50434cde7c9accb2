"""What a reading should show, leg by leg, against what it shows, and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from surveyapp.analysis.candidates import usable
from surveyapp.analysis.expected import Expected, Line, Reason
from surveyapp.analysis.headlines import level_headline, of_sector
from surveyapp.analysis.leg_levels import LegLevels
from surveyapp.analysis.leg_links import LegLink, as_arrays, line_of_sight
from surveyapp.analysis.levels import Levels, Links, levels
from surveyapp.analysis.reading_quality import quality_lines, rules_of_thumb, signalled_lines
from surveyapp.analysis.reading_reasons import level_reasons
from surveyapp.analysis.standing import LEG_NAME, LegAnswer, leg_carrier
from surveyapp.analysis.turned_panels import TurnedPanel
from surveyapp.geometry.serving_posterior import READING_SIGMA_DB
from surveyapp.geometry.serving_terms import ROOF_M
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import Carrier, Rat, Reading, StopScene
from surveyapp.radio.link_budget import EIRP, PATTERN, Link, link_budget
from surveyapp.radio.propagation import Scenario


@dataclass(frozen=True, kw_only=True, slots=True)
class LegExpectation:
    """One leg of one reading: the strip, a sentence, the reasons, where the decibels went.

    `sector` is the listed sector it most likely came from, '' where there is none; then
    `rsrp` expects nothing and `words` say why. `quality` tells what RSRP, RSRQ and SINR say
    together, `signalled` how the phone reports them, `rules` what surveyors go by.
    """

    reading_id: str
    device_id: str
    leg: str
    sector: str
    probability: float
    rsrp: Expected
    headline: str
    words: str
    reasons: tuple[Reason, ...] = ()
    budget: tuple[Line, ...] = ()
    quality: tuple[Line, ...] = ()
    signalled: tuple[Line, ...] = ()
    rules: tuple[str, ...] = ()


def expect_readings(
    scene: StopScene,
    answers: Sequence[LegAnswer],
    legs: Mapping[tuple[str, str], LegLink],
    turned: Mapping[str, TurnedPanel],
) -> tuple[LegExpectation, ...]:
    """One expectation for each leg that was read at the stop, in the answers' order.

    `legs` are the stop's as `leg_links` gives them.
    """
    found: dict[tuple[str, str], LegExpectation] = {}
    if legs:
        links = as_arrays(scene, legs.values())
        all_levels = levels(links)
        for row, (key, leg) in enumerate(legs.items()):
            numbers = _numbers(links, all_levels, row)
            found[key] = _expectation(leg, numbers, turned.get(leg.sector.id))
    readings = {reading.id: reading for reading in scene.readings}
    told = []
    for answer in answers:
        reading = readings.get(answer.reading_id or "")
        if reading is not None:
            own = found.get((reading.id, answer.leg))
            told.append(own or _cannot_tell(answer, reading))
    return tuple(told)


def _expectation(leg: LegLink, found: LegLevels, turn: TurnedPanel | None) -> LegExpectation:
    """The expectation of one leg that has a listed sector."""
    ranked = leg.ranked
    mean = (ranked.predicted_rsrp_dbm or 0.0) + leg.offset.offset_db - leg.rain_db
    sigma = math.hypot(ranked.predicted_sigma_db or 0.0, READING_SIGMA_DB, leg.offset.sigma_db)
    expected = _strip(leg.carrier, mean, sigma)
    judged = replace(expected, measured=usable(expected.measured, *RSRP_RANGE_DBM))
    reasons = level_reasons(leg, found, judged, turn)
    return LegExpectation(
        reading_id=leg.reading.id,
        device_id=leg.reading.device_id,
        leg=leg.answer.leg,
        sector=ranked.name,
        probability=ranked.probability,
        rsrp=expected,
        headline=level_headline(expected, ranked.name, ranked.probability, reasons),
        words=_words(judged, of_sector(ranked.name, ranked.probability), expected.measured),
        reasons=reasons,
        budget=_budget(leg, found, judged),
        quality=quality_lines(leg.carrier),
        signalled=signalled_lines(leg.carrier),
        rules=rules_of_thumb(leg.carrier),
    )


def _numbers(links: Links, found: Levels, row: int) -> LegLevels:
    """One leg's part of the arrays."""
    return LegLevels(
        loss_seen_db=float(found.loss_db[0, row]),
        loss_hidden_db=float(found.loss_db[1, row]),
        gain_db=float(found.gain_db[row]),
        level_seen_dbm=float(found.level_dbm[0, row]),
        level_hidden_dbm=float(found.level_dbm[1, row]),
        sigma_seen_db=float(found.sigma_db[0, row]),
        sigma_hidden_db=float(found.sigma_db[1, row]),
        eirp_sigma_db=float(links.eirp_sigma_db[row]),
        blocked=float(found.blocked[row]),
        turned=float(found.turned[row]),
        turned_gain_db=float(found.turned_gain_db[row]),
    )


def _strip(carrier: Carrier, mean: float | None = None, sigma: float | None = None) -> Expected:
    """The RSRP's strip."""
    return Expected(
        quantity="RSRP",
        unit="dBm",
        low=RSRP_RANGE_DBM[0],
        high=RSRP_RANGE_DBM[1],
        mean=mean,
        sigma=sigma,
        measured=carrier.rsrp_dbm,
    )


def _words(expected: Expected, sector: str, noted_dbm: float | None) -> str:
    """One sentence that says how the measured level lies; a noted one may be none at all."""
    foreseen = f"{expected.told} expected from {sector}"
    difference = expected.difference
    if difference is None:
        none = "no RSRP is noted" if noted_dbm is None else f"{noted_dbm:g} dBm cannot be an RSRP"
        return f"{foreseen}; {none}."
    if abs(difference) < 0.5:
        return f"{expected.measured:.0f} dBm is just the {foreseen}."
    read = f"{expected.measured:.0f} dBm"
    if difference > 0.0:
        return f"{read} is {difference:.0f} dB stronger than the {foreseen}."
    return f"{read} is {-difference:.0f} dB weaker than the {foreseen}."


def _budget(leg: LegLink, found: LegLevels, expected: Expected) -> tuple[Line, ...]:
    """From the sector's EIRP to the level expected, and on to the level read."""
    told = "noted" if leg.candidate.eirp_dbm is not None else "usual for its kind, none is noted"
    distance = leg.ranked.distance_m or 0.0
    height = leg.candidate.height_m
    link = Link(
        eirp_dbm=leg.eirp_dbm,
        subcarriers=leg.elements,
        mhz=leg.mhz,
        distance_2d_m=distance,
        blocked=1.0 - line_of_sight(leg.candidate, distance),
        pattern_db=found.gain_db,
        scenario=Scenario.UMA if height >= ROOF_M else Scenario.UMI,
        base_height_m=height,
        body_db=0.0,
        air=False,
    )
    notes = {EIRP: told, PATTERN: _beam_note(leg)}
    lines = [
        Line(term.name, term.db, "dBm" if term.name == EIRP else "dB",
             notes.get(term.name, term.why))
        for term in link_budget(link).terms
    ]  # fmt: skip
    if leg.rain_db >= 0.05:
        lines.append(Line("rain", -leg.rain_db, "dB", f"P.838-3, {leg.rain_mm_h:g} mm/h"))
    if leg.offset.pairs:
        note = f"from {leg.offset.pairs} pairs of readings, ±{leg.offset.sigma_db:.1f} dB"
        lines.append(Line("the phone's own offset", leg.offset.offset_db, "dB", note))
    lines.append(Line("RSRP expected", expected.mean, "dBm", "the sum of the lines above"))
    if expected.measured is not None:
        note = "blocked or free, fading, EIRP, azimuth, hand and body"
        lines.append(Line("left over", expected.difference, "dB", note))
        lines.append(Line("RSRP read", expected.measured, "dBm", "expected and left over"))
    return tuple(lines)


def _beam_note(leg: LegLink) -> str:
    """How far off the boresight."""
    off = leg.ranked.off_boresight_deg
    if off is None:
        return "azimuth not known, mean over all directions"
    return f"{off:.0f}° off boresight, TR 38.901 table 7.3-1"


def _cannot_tell(answer: LegAnswer, reading: Reading) -> LegExpectation:
    """A leg for which the notebook lists no sector."""
    rat = next(rat for rat, name in LEG_NAME.items() if name == answer.leg)
    carrier = leg_carrier(reading, rat) or Carrier(rat=Rat.NR)
    return LegExpectation(
        reading_id=reading.id,
        device_id=reading.device_id,
        leg=answer.leg,
        sector="",
        probability=0.0,
        rsrp=_strip(carrier),
        headline="Cannot tell what to expect",
        words=f"Cannot tell what to expect: the notebook lists no sector in reach that may "
        f"hold an {rat} carrier.",
        quality=quality_lines(carrier),
        signalled=signalled_lines(carrier),
        rules=rules_of_thumb(carrier),
    )
