"""Reasons of a level that lie with the panel: its beam, its azimuth, or that it is another."""

from __future__ import annotations

from collections.abc import Iterator

from surveyapp.analysis.expected import Cause, Certainty, Expected, Line, Reason
from surveyapp.analysis.leg_levels import LegLevels
from surveyapp.analysis.leg_links import LegLink, off_deg
from surveyapp.analysis.levels import TURNED_PRIOR
from surveyapp.analysis.turned_panels import TurnedPanel
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.serving_words import BEHIND_DEG

WORTH_TELLING_DB = 2.0  # real panels depart from the pattern by as much; our assumption
UNDOUBTED = 0.25  # likelihood of a wrong azimuth up to which an angle off the beam is a fact
_SIGHT = "Sight the panel again, and how it is turned."


def beam(leg: LegLink, found: LegLevels, turned: float) -> Iterator[Reason]:
    """Off the middle of the beam, or behind the panel."""
    off = leg.ranked.off_boresight_deg
    if off is None or -found.gain_db < WORTH_TELLING_DB:
        return
    behind = off > BEHIND_DEG
    where = "behind the panel" if behind else "off the middle of the beam"
    yield Reason(
        cause=Cause.BEHIND if behind else Cause.OFF_BEAM,
        title=where,
        certainty=Certainty.SURE if turned < UNDOUBTED else Certainty.MAY_BE,
        counted=True,
        next_step="Read again in front of it." if behind else "",
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


def turned_panel(leg: LegLink, found: LegLevels, turn: TurnedPanel | None) -> Iterator[Reason]:
    """A panel that hangs otherwise than noted: by all its readings, else by this one."""
    noted, name = leg.candidate.azimuth_deg, leg.candidate.name
    if noted is None:
        return
    if turn is not None:
        fits = f"yet {turn.basis} fit {turn.likely_deg:.0f}° better"
        change = turn.gain_change_db(off_deg(leg), off_deg(leg, turn.likely_deg))
        gives = f"{abs(change):.0f} dB {'more' if change > 0 else 'less'}"
        yield Reason(
            cause=Cause.WRONG_AZIMUTH,
            title="azimuth noted wrong",
            words=f"For {name} {noted:.0f}° is noted, {fits}: turned so, it gives {gives} here.",
            certainty=Certainty.LIKELY,
            next_step=_SIGHT,
            probability=turn.probability,
            effect=change,
            evidence=turn.evidence,
        )
        return
    change = found.turned_gain_db - found.gain_db
    way = (
        f"towards you it would give {-found.gain_db:.0f} dB more"
        if change > 0
        else ("away from you it would give less")
    )
    yield Reason(
        cause=Cause.WRONG_AZIMUTH,
        title="azimuth noted wrong",
        words=f"{noted:.0f}° is noted for {name}: turned {way} here.",
        probability=found.turned,
        certainty=Certainty.LIKELY,
        next_step=_SIGHT,
        effect=change,
        evidence=(
            Line("gain as noted", found.gain_db, "dB", f"azimuth {noted:.0f}°"),
            Line("likelihood before the reading", 100.0 * TURNED_PRIOR, "%", "assumed"),
        ),
    )


def other_sector(leg: LegLink, expected: Expected) -> Iterator[Reason]:
    """The runner-up of the serving answer where its own level fits, and one not noted."""
    ranking = leg.answer.answer.ranking
    listed = 100.0 * leg.ranked.probability
    apart = expected.difference or 0.0
    for other in ranking[1:]:
        unlisted = other.name == NONE_NAME
        if other.probability < 0.05 or not (unlisted or other is ranking[1]):
            continue
        if not unlisted and not _is_nearer(other.predicted_rsrp_dbm, expected):
            continue
        words = "A sector that the notebook does not list may serve here."
        if other.predicted_rsrp_dbm is not None and not unlisted:
            words = (
                f"{other.name} may serve here: of it {other.predicted_rsrp_dbm:.0f} ± "
                f"{other.predicted_sigma_db or 0.0:.0f} dBm would be expected."
            )
        yield Reason(
            cause=Cause.UNLISTED if unlisted else Cause.OTHER_SECTOR,
            title="an unlisted sector" if unlisted else f"it is {other.name}",
            words=words,
            probability=other.probability,
            effect=apart,
            certainty=Certainty.LIKELY,
            next_step="Read the PCI, and look round for a panel not noted yet."
            if unlisted
            else "Read the PCI.",
            evidence=(
                Line(leg.candidate.name, listed, "%", "likely to serve, the first of the listed"),
                Line(other.name, 100.0 * other.probability, "%", "likely to serve"),
            ),
        )


def _is_nearer(level_dbm: float | None, expected: Expected) -> bool:
    """Whether another level lies nearer to that read than the one expected does."""
    apart, read = expected.difference, expected.measured
    if level_dbm is None or apart is None or read is None:
        return True
    return abs(read - level_dbm) < abs(apart)
