"""Why a level is what it is: the likely reasons, those that moved it most first.

A reason counts with the decibels it moved the level by, times how likely it is; what concerns
the most likely sector, times its probability too. Fading, which is what nothing else explains,
comes last. Probabilities come from the serving answer (which sector) and from `levels`
(blocked, turned). When the level is stronger than expected only what raises it counts,
otherwise only what lowers it; of a level as expected only what the expectation allows for.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from surveyapp.analysis.expected import Cause, Certainty, Expected, Line, Reason
from surveyapp.analysis.leg_levels import LegLevels
from surveyapp.analysis.leg_links import LegLink, line_of_sight
from surveyapp.analysis.panel_reasons import beam, other_sector, turned_panel
from surveyapp.analysis.turned_panels import TurnedPanel
from surveyapp.model import View
from surveyapp.radio.carrier_sets import frequency_words

WORTH_TELLING_DB = 0.5
LEAST_LIKELY = 0.05
COUNTED_ON = 0.8  # likelihood of a blocked line from which the expectation is that of one
ORDINARY = 1.0  # standard deviations within which a level is as expected
MOST = 6
PROBABLE = 0.5
_LOOK = "Look whether the line is free, and note it."
WHATEVER_SERVES = {Cause.OTHER_SECTOR, Cause.UNLISTED, Cause.RAIN, Cause.PHONE}


def level_reasons(
    leg: LegLink, found: LegLevels, expected: Expected, turn: TurnedPanel | None = None
) -> tuple[Reason, ...]:
    """The reasons in order; `turn` is what all readings say of the panel's azimuth."""
    sigmas = expected.sigmas
    usual = sigmas is not None and abs(sigmas) <= ORDINARY
    stronger = sigmas is not None and sigmas > ORDINARY
    turned = found.turned if turn is None else turn.probability
    every = [
        *_line_of_sight(leg, found, expected),
        *beam(leg, found, turned),
        *turned_panel(leg, found, turn),
        *other_sector(leg, expected),
        *_rest(leg, found, expected),
        *_weather(leg, found, expected),
        *_phone(leg),
    ]
    fitting = [
        (_weight_db(reason, leg), reason)
        for reason in every
        if _weight_db(reason, leg) >= WORTH_TELLING_DB
        and reason.probability >= LEAST_LIKELY
        and ((reason.effect > 0.0) == stronger or _is_sure_error(reason))
        and (not usual or reason.counted or _is_sure_error(reason))
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
    told = line_of_sight(leg.candidate, leg.ranked.distance_m or 0.0)
    noted = leg.candidate.view is View.BLOCKED
    evidence = _sight_lines(leg, found, told)
    words = _blocked_words(leg, found, told)
    counted = expected.mean is not None and 1.0 - told >= COUNTED_ON
    if counted and expected.mean is not None:
        words += _allowed_for(expected.mean, found.level_seen_dbm)
    else:
        words += f" With a blocked view {found.level_hidden_dbm:.0f} dBm would be expected."
    yield Reason(
        cause=Cause.BLOCKED,
        title="view blocked",
        words=words,
        probability=found.blocked,
        effect=-found.blocking_db,
        certainty=Certainty.SURE if noted else Certainty.LIKELY,
        counted=counted,
        next_step="Step to where you see it, and read again." if counted else _LOOK,
        evidence=evidence,
    )
    if expected.mean is not None and found.level_seen_dbm - expected.mean > found.sigma_seen_db:
        site = leg.candidate.site_name or leg.candidate.name
        yield Reason(
            cause=Cause.CLEAR,
            title="view clearer than counted on",
            words=f"A free line to {site} was counted on as only {told:.0%} likely; with one, "
            f"{found.level_seen_dbm:.0f} dBm would be expected.",
            probability=1.0 - found.blocked,
            effect=max(found.level_seen_dbm - expected.mean, 0.0),
            certainty=Certainty.LIKELY,
            next_step=_LOOK,
            evidence=evidence,
        )


def _sight_lines(leg: LegLink, found: LegLevels, told: float) -> tuple[Line, ...]:
    """What blocking costs, and how likely it is unless it was noted; `told` of a free line."""
    note = f"path loss model TR 38.901 at {leg.ranked.distance_m or 0.0:.0f} m"
    loss = Line("blocked line of sight", -found.blocking_db, "dB", note)
    if leg.candidate.view is View.BLOCKED:
        return (loss,)
    return (
        loss,
        Line("likelihood of a blocked line", 100.0 * (1.0 - told), "%", _who_told(leg)),
        Line("the same, given the level read", 100.0 * found.blocked, "%"),
    )


def _blocked_words(leg: LegLink, found: LegLevels, told: float) -> str:
    """What blocks the line, and what it costs."""
    site = leg.candidate.site_name or leg.candidate.name
    cost = f"that costs {found.blocking_db:.0f} dB at {frequency_words(leg.mhz)}"
    if leg.candidate.view is View.BLOCKED:
        return f"You noted the view to {site} as blocked: {cost}."
    if leg.candidate.view is None and leg.candidate.los_probability is not None and told < 0.5:
        return f"A building stands between you and {site}: {cost}."
    return f"Something blocks the line to {site}: {cost}."


def _allowed_for(mean_dbm: float, without_dbm: float) -> str:
    """That the expectation holds a loss already, and what it would be without."""
    return (
        f" The {mean_dbm:.0f} dBm expected allow for it; with a clear view {without_dbm:.0f} dBm "
        "would be."
    )


def _who_told(leg: LegLink) -> str:
    """Where the chance of a free line comes from."""
    if leg.candidate.view is not None:
        return f"you noted the view as {leg.candidate.view}"
    if leg.candidate.los_probability is not None:
        return "by the buildings of the ground"
    return "TR 38.901 table 7.4.2-1, no ground here"


def _rest(leg: LegLink, found: LegLevels, expected: Expected) -> Iterator[Reason]:
    """What is left over the likelier line of sight, shared by variance: EIRP and fading.

    Nothing where what is left is no more than both scatter anyway.
    """
    if expected.measured is None:
        return
    hidden = found.blocked > 0.5
    level = found.level_hidden_dbm if hidden else found.level_seen_dbm
    sigma = found.sigma_hidden_db if hidden else found.sigma_seen_db
    left = expected.measured - level
    if abs(left) <= sigma:
        return
    share = (found.eirp_sigma_db / sigma) ** 2
    how = "noted" if leg.candidate.eirp_dbm is not None else "assumed, as none is noted"
    taken = how.partition(",")[0]
    side = "more" if left > 0 else "less"
    view = "with a blocked view" if hidden else "with a clear view"
    line = Line("left unexplained", left, "dB", f"against {level:.0f} ± {sigma:.0f} dBm {view}")
    yield Reason(
        cause=Cause.WRONG_EIRP,
        title=f"EIRP higher than {taken}" if left > 0 else f"EIRP lower than {taken}",
        words=f"The EIRP of {leg.candidate.name}, {leg.eirp_dbm:.0f} dBm {how}, may really be "
        f"{side}: ±{found.eirp_sigma_db:.0f} dB is ordinary.",
        probability=1.0 - found.turned,
        effect=left * share,
        evidence=(line, Line("EIRP", leg.eirp_dbm, "dBm", f"{how}, ±{found.eirp_sigma_db:.0f} dB")),
    )
    rest = left * (1.0 - share)
    yield Reason(
        cause=Cause.FADING,
        title="fading in the street",
        words=f"Reflections, people and vehicles: ±{sigma:.0f} dB is ordinary.",
        next_step="Read again some metres on.",
        probability=1.0,
        effect=rest,
        evidence=(line,),
    )


def _weather(leg: LegLink, found: LegLevels, expected: Expected) -> Iterator[Reason]:
    """Rain, and leaves on the line."""
    distance = leg.ranked.distance_m or 0.0
    yield Reason(
        cause=Cause.RAIN,
        title="rain",
        certainty=Certainty.SURE,
        counted=True,
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
        title="leaves in the line",
        words=f"{count} near the line: leaves in it take up to {leg.foliage_db:.0f} dB.",
        certainty=Certainty.LIKELY,
        probability=chance,
        effect=-leg.foliage_db,
        evidence=(Line("foliage", -leg.foliage_db, "dB", "Weissberger 1982, in leaf"),),
    )


def _phone(leg: LegLink) -> Iterator[Reason]:
    """The phone's own offset, as learned from pairs; nothing where it may as well be none."""
    offset = leg.offset
    if abs(offset.offset_db) <= offset.sigma_db:
        return
    label = leg.device.label if leg.device else "This phone"
    side = "more" if offset.offset_db > 0 else "less"
    yield Reason(
        cause=Cause.PHONE,
        title=f"{label} itself",
        words=f"{label} shows {abs(offset.offset_db):.0f} dB {side} than the other phones, over "
        f"{offset.pairs} pairs of readings.",
        certainty=Certainty.SURE,
        counted=True,
        probability=1.0,
        effect=offset.offset_db,
        evidence=(
            Line("the phone's own offset", offset.offset_db, "dB", f"±{offset.sigma_db:.1f} dB"),
        ),
    )


def _likelihood_ratio(one: float, other: float, sigma: float) -> float:
    """How much better a residual fits than another, kept within reason."""
    return math.exp(max(min(0.5 * (other**2 - one**2) / sigma**2, 30.0), -30.0))
