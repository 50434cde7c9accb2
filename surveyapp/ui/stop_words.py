"""What the Stop place says about the stop itself. Text only, no Kivy."""

from __future__ import annotations

from surveyapp.model import NorthReference, Stop
from surveyapp.ui.north import declination_at_stop_deg, true_bearing_deg
from surveyapp.ui.session import Session
from surveyapp.ui.speech import tr
from surveyapp.ui.told_heading import Heading
from surveyapp.ui.words import (
    clock_text,
    degrees,
    joined,
    number,
    position_from_text,
    position_text,
)


def stop_title(stop: Stop | None) -> tuple[str, str]:
    """Title and second line of the page."""
    if stop is None:
        return tr("No stop yet"), tr("Tap anywhere to start one")
    return f"{tr('Stop')} {stop.number}", ""


def position_lines(session: Session) -> tuple[str, str]:
    """The position, and where it comes from; while the receiver listens, how it settles."""
    stop, standing = session.stop, session.senses.standing
    settling = standing.text() if standing.listening or standing.sentence else ""
    if stop is None or stop.lat_deg is None:
        return tr("No position yet"), settling or tr("Type it, or tap it on the plan")
    where = position_text(stop)
    how = joined([position_from_text(stop.position_from), settling])
    return (stop.place_text, joined([where, how])) if stop.place_text else (where, how)


def heading_lines(session: Session) -> tuple[str, str]:
    """The heading against both norths, and how far they are apart here."""
    told, turn = session.live_heading, declination_at_stop_deg(session.stop)
    apart = f"Declination {number(turn)}°" if turn is not None else ""
    if told is None:
        return _no_heading(session, apart)
    return f"Heading {_both_norths(told, turn)}", apart


def _no_heading(session: Session, apart: str) -> tuple[str, str]:
    """That there is none; where one was told here and has become too old, that and when."""
    past, stop = session.heading, session.stop
    if past is None or stop is None or past.stop_id != stop.id:
        return tr("No heading yet"), apart or tr("Type it from a compass")
    zone = session.survey.time_zone if session.survey else "UTC"
    said = f"{number(past.raw_deg)}° {past.reference.value}"
    when = clock_text(past.time_utc, zone)
    return tr("No heading any more"), f"{said}, told at {when}, lasts ten minutes: take it anew."


def _both_norths(told: Heading, turn: float | None) -> str:
    """'95° true, 90° magnetic'."""
    from surveyapp.geometry.geodesy import normalise_azimuth_deg

    true = true_bearing_deg(told.raw_deg, told.reference, turn)
    magnetic = told.raw_deg if told.reference is NorthReference.MAGNETIC else None
    if magnetic is None and turn is not None:
        magnetic = normalise_azimuth_deg(told.raw_deg - turn)
    said = [
        f"{degrees(v)} {north}"
        for v, north in ((true, "true"), (magnetic, "magnetic"))
        if v is not None
    ]
    return ", ".join(said)
