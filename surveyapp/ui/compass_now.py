"""The compass check that counts at this moment, and what it makes of a bearing. No Kivy here."""

from __future__ import annotations

from surveyapp.geometry.compass_check import KeptOffset, corrected_bearing_deg, offset_in_force
from surveyapp.model import CompassCheck
from surveyapp.ui.session import Session
from surveyapp.ui.words import degrees, number


def check_in_force(session: Session) -> KeptOffset | None:
    """The newest check of this survey, where it still counts."""
    if session.survey is None:
        return None
    checks = session.notebook.all(CompassCheck, survey_id=session.survey.id)
    if not checks:
        return None
    newest = max(checks, key=lambda check: check.time_utc)
    return offset_in_force(checks, newest.device_id, session.clock())


def corrected(session: Session, read_deg: float) -> tuple[float, str] | None:
    """A bearing with the offset in force added, and what to call it: '154° by the check ...'."""
    kept = check_in_force(session)
    if kept is None:
        return None
    bearing_deg = round(corrected_bearing_deg(read_deg, kept), 1) % 360
    phone = next((d.label for d in session.devices if d.id == kept.check.device_id), "the phone")
    label = (
        f"{degrees(bearing_deg)} by {phone}'s check: {signed(kept.check.offset_deg)}°, "
        f"{age_text(kept.age_s)}"
    )
    return bearing_deg, label


def signed(value: float) -> str:
    """'+3.2', '−1'."""
    return f"+{number(value)}" if value > 0 else number(value)


def age_text(age_s: float) -> str:
    """'20 min old', '3 h old'."""
    return f"{age_s / 60:.0f} min old" if age_s < 5_400 else f"{age_s / 3600:.0f} h old"
