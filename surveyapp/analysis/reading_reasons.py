"""Why a level is what it is: the likely reasons, those that moved it most first.

A reason counts with the decibels it moved the level by, times how likely it is; what concerns
the most likely sector, times its probability too. Fading, which is what nothing else explains,
comes last. Probabilities come from the serving answer (which sector) and from `levels`
(blocked, turned). When the level is stronger than expected only what raises it counts,
otherwise only what lowers it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from surveyapp.analysis.expected import Cause, Expected, Line, Reason
from surveyapp.analysis.leg_links import LegLink, line_of_sight, off_deg
from surveyapp.analysis.turned_panels import TurnedPanel
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.serving_words import BEHIND_DEG
from surveyapp.model import View
from surveyapp.radio.carrier_sets import frequency_words

WORTH_TELLING_DB = 0.5
ORDINARY = 1.0  # standard deviations within which a level is as expected
MOST = 6
PROBABLE = 0.5
WHATEVER_SERVES = {Cause.OTHER_SECTOR, Cause.UNLISTED, Cause.RAIN, Cause.PHONE}


@dataclass(frozen=True, kw_only=True, slots=True)
class LegLevels:
    """The row of `Levels` that belongs to one leg, as plain numbers in dB and dBm."""

    loss_seen_db: float
    loss_hidden_db: float
    gain_db: float
    level_seen_dbm: float
    level_hidden_dbm: float
    sigma_seen_db: float
    sigma_hidden_db: float
    eirp_sigma_db: float
    blocked: float
    turned: float
    turned_gain_db: float

    @property
    def blocking_db(self) -> float:
        """What a blocked line of sight costs."""
        return self.loss_hidden_db - self.loss_seen_db


def level_reasons(
    leg: LegLink, found: LegLevels, expected: Expected, turn: TurnedPanel | None = None
) -> tuple[Reason, ...]:
    """The reasons in order; `turn` is what all readings say of the panel's azimuth."""
    sigmas = expected.sigmas
    stronger = sigmas is not None and sigmas > ORDINARY
    turned = found.turned if turn is None else turn.probability
    every = [
        *_line_of_sight(leg, found, expected),
        *_beam(leg, found, turned),
        *_turned(leg, found, turn),
        *_other_sector(leg, expected),
        *_rest(leg, found, expected, turned),
        *_weather(leg, found, expected),
        *_phone(leg),
    ]
    fitting = [
        (_weight_db(reason, leg), reason)
        for reason in every
        if _weight_db(reason, leg) >= WORTH_TELLING_DB
        and ((reason.effect > 0.0) == stronger or _is_sure_error(reason))
    ]
    fitting.sort(key=lambda pair: (pair[1].cause is Cause.FADING, -pair[0]))
    return tuple(reason for _, reason in fitting[:MOST])


def _is_sure_error(reason: Reason) -> bool:
    """Whether the notebook itself is probably wrong, which is told whichever way it moves."""
    return reason.cause is Cause.WRONG_AZIMUTH and reason.probability >= PROBABLE


def _weight_db(reason: Reason, leg: LegLink) -> float:
    """The decibels to expect of a reason."""
    sure = 1.0 if reason.cause in WHATEVER_SERVES else leg.ranked.probability
    return abs(reason.effect) * reason.probability * sure


def _line_of_sight(leg: LegLink, found: LegLevels, expected: Expected) -> Iterator[Reason]:
    """Blocked, or freer than the prediction counted on."""
    distance = leg.ranked.distance_m or 0.0
    told = line_of_sight(leg.candidate, distance)
    where = f"at {frequency_words(leg.mhz)}"
    evidence = (
        Line("blocked line of sight", -found.blocking_db, "dB", f"TR 38.901, {distance:.0f} m"),
        Line("blocked, before the reading", 100.0 * (1.0 - told), "%", _who_told(leg)),
        Line("blocked, with the level read", 100.0 * found.blocked, "%", ""),
    )
    site = leg.candidate.site_name or leg.candidate.name
    cost = f"that costs {found.blocking_db:.0f} dB {where}"
    if leg.candidate.view is View.BLOCKED:
        words = f"You noted the view to {site} as blocked: {cost}."
    elif leg.candidate.view is None and leg.candidate.los_probability is not None and told < 0.5:
        words = f"A building stands between you and {site}: {cost}."
    elif found.blocked >= PROBABLE:
        words = f"Most likely something blocks the line to {site} ({found.blocked:.0%}): {cost}."
    else:
        words = f"Something may block the line to {site} ({found.blocked:.0%} likely): {cost}."
    yield Reason(
        cause=Cause.BLOCKED,
        words=words,
        probability=found.blocked,
        effect=-found.blocking_db,
        evidence=evidence,
    )
    if expected.mean is not None and told < 0.9:
        gained = found.level_seen_dbm - expected.mean
        yield Reason(
            cause=Cause.CLEAR,
            words=f"The line to {site} is probably free, though only {told:.0%} was counted on: "
            f"that gives {max(gained, 0.0):.0f} dB more.",
            probability=1.0 - found.blocked,
            effect=max(gained, 0.0),
            evidence=evidence,
        )


def _who_told(leg: LegLink) -> str:
    """Where the chance of a free line comes from."""
    if leg.candidate.view is not None:
        return f"you noted the view as {leg.candidate.view}"
    if leg.candidate.los_probability is not None:
        return "by the buildings of the ground"
    return "TR 38.901 table 7.4.2-1, no ground here"


def _beam(leg: LegLink, found: LegLevels, turned: float) -> Iterator[Reason]:
    """Off the middle of the beam, or behind the panel."""
    off = leg.ranked.off_boresight_deg
    if off is None:
        return
    behind = off > BEHIND_DEG
    where = "behind the panel" if behind else "off the middle of the beam"
    yield Reason(
        cause=Cause.BEHIND if behind else Cause.OFF_BEAM,
        words=f"You stand {off:.0f}° {where} of {leg.candidate.name}, as its azimuth "
        f"{leg.candidate.azimuth_deg or 0.0:.0f}° is noted: {-found.gain_db:.0f} dB less.",
        probability=1.0 - turned,
        effect=found.gain_db,
        evidence=(
            Line("panel's pattern", found.gain_db, "dB", "TR 38.901 table 7.3-1"),
            Line(
                "off boresight", off, "deg", f"azimuth noted {leg.candidate.azimuth_deg or 0:.0f}°"
            ),
            Line("beamwidth", leg.candidate.beamwidth_deg, "deg", ""),
        ),
    )


def _turned(leg: LegLink, found: LegLevels, turn: TurnedPanel | None) -> Iterator[Reason]:
    """A panel that hangs otherwise than noted: by all its readings, else by this one."""
    noted, name = leg.candidate.azimuth_deg, leg.candidate.name
    if noted is None:
        return
    if turn is not None:
        fits = f"{turn.basis} fit {turn.likely_deg:.0f}° better"
        yield Reason(
            cause=Cause.WRONG_AZIMUTH,
            words=f"The azimuth of {name} may be noted wrong: {noted:.0f}° is noted, {fits} "
            f"({turn.probability:.0%} likely).",
            probability=turn.probability,
            effect=turn.gain_change_db(off_deg(leg), off_deg(leg, turn.likely_deg)),
            evidence=turn.evidence,
        )
        return
    change = found.turned_gain_db - found.gain_db
    yield Reason(
        cause=Cause.WRONG_AZIMUTH,
        words=f"The azimuth of {name} may be noted wrong ({noted:.0f}°): turned elsewhere it "
        f"would give {abs(change):.0f} dB {'more' if change > 0 else 'less'} here.",
        probability=found.turned,
        effect=change,
        evidence=(
            Line("gain as noted", found.gain_db, "dB", f"azimuth {noted:.0f}°"),
            Line("gain that fits", found.turned_gain_db, "dB", "any azimuth"),
            Line("chance", 100.0 * found.turned, "%", "5 % before the reading, assumed"),
        ),
    )


def _other_sector(leg: LegLink, expected: Expected) -> Iterator[Reason]:
    """The runner-up of the serving answer, and a sector the notebook lacks."""
    ranking = leg.answer.answer.ranking
    listed = 100.0 * leg.ranked.probability
    apart = expected.difference or 0.0
    for other in ranking[1:]:
        unlisted = other.name == NONE_NAME
        if other.probability < 0.05 or not (unlisted or other is ranking[1]):
            continue
        what = "a sector that the notebook does not list" if unlisted else other.name
        yield Reason(
            cause=Cause.UNLISTED if unlisted else Cause.OTHER_SECTOR,
            words=f"It may come from {what} ({other.probability:.0%} likely).",
            probability=other.probability,
            effect=apart,
            evidence=(
                Line(leg.candidate.name, listed, "%", "likeliest of the listed"),
                Line(other.name, 100.0 * other.probability, "%", "serving answer"),
            ),
        )


def _rest(leg: LegLink, found: LegLevels, expected: Expected, turned: float) -> Iterator[Reason]:
    """What is left over the likelier line of sight, shared by variance: EIRP and fading."""
    if expected.measured is None:
        return
    hidden = found.blocked > 0.5
    level = found.level_hidden_dbm if hidden else found.level_seen_dbm
    sigma = found.sigma_hidden_db if hidden else found.sigma_seen_db
    left = expected.measured - level
    share = (found.eirp_sigma_db / sigma) ** 2
    how = "noted" if leg.candidate.eirp_dbm is not None else "assumed, as none is noted"
    side = "more" if left > 0 else "less"
    line = Line("left unexplained", left, "dB", f"against {level:.0f} ± {sigma:.0f} dBm")
    yield Reason(
        cause=Cause.WRONG_EIRP,
        words=f"The EIRP of {leg.candidate.name}, {leg.eirp_dbm:.0f} dBm {how}, may really be "
        f"{abs(left * share):.0f} dB {side}.",
        probability=1.0 - turned,
        effect=left * share,
        evidence=(line, Line("EIRP", leg.eirp_dbm, "dBm", f"{how}, ±{found.eirp_sigma_db:.0f} dB")),
    )
    rest = left * (1.0 - share)
    yield Reason(
        cause=Cause.FADING,
        words=f"Fading in the street (reflections, people, vehicles): {abs(rest):.0f} dB {side}, "
        f"and ±{sigma:.0f} dB is ordinary.",
        probability=1.0,
        effect=rest,
        evidence=(line,),
    )


def _weather(leg: LegLink, found: LegLevels, expected: Expected) -> Iterator[Reason]:
    """Rain, and leaves on the line."""
    distance = leg.ranked.distance_m or 0.0
    yield Reason(
        cause=Cause.RAIN,
        words=f"Rain of {leg.rain_mm_h:g} mm/h over {distance:.0f} m: {leg.rain_db:.1f} dB less.",
        probability=1.0,
        effect=-leg.rain_db,
        evidence=(Line("rain", -leg.rain_db, "dB", "ITU-R P.838-3"),),
    )
    if not leg.trees or expected.measured is None:
        return
    bare = expected.measured - found.level_seen_dbm
    ratio = _likelihood_ratio(bare + leg.foliage_db, bare, found.sigma_seen_db)
    chance = (1.0 - found.blocked) * ratio / (1.0 + ratio)
    count = f"{leg.trees} trees stand" if leg.trees > 1 else "A tree stands"
    yield Reason(
        cause=Cause.FOLIAGE,
        words=f"{count} near the line ({chance:.0%} that leaves are in it): up to "
        f"{leg.foliage_db:.0f} dB less.",
        probability=chance,
        effect=-leg.foliage_db,
        evidence=(Line("foliage", -leg.foliage_db, "dB", "Weissberger 1982, in leaf"),),
    )


def _phone(leg: LegLink) -> Iterator[Reason]:
    """The phone's own offset, as learned from pairs."""
    offset = leg.offset
    label = leg.device.label if leg.device else "This phone"
    side = "more" if offset.offset_db > 0 else "less"
    yield Reason(
        cause=Cause.PHONE,
        words=f"{label} shows {abs(offset.offset_db):.0f} dB {side} than the others "
        f"({offset.pairs} pairs).",
        probability=1.0,
        effect=offset.offset_db,
        evidence=(
            Line("the phone's own offset", offset.offset_db, "dB", f"±{offset.sigma_db:.1f} dB"),
        ),
    )


def _likelihood_ratio(one: float, other: float, sigma: float) -> float:
    """How much better a residual fits than another, kept within reason."""
    return math.exp(max(min(0.5 * (other**2 - one**2) / sigma**2, 30.0), -30.0))
