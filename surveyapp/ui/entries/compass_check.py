"""The compass check: something known is sighted, and how far the compass is off is kept."""

from __future__ import annotations

from typing import Any

from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.geometry.compass_check import CompassOffset, bearing_by_two_points, compass_offset
from surveyapp.model import CheckedAgainst, CompassCheck, NorthReference, Row, Site
from surveyapp.ui.compass_now import signed
from surveyapp.ui.entries.devices import device_fields, device_of
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, Told, amount
from surveyapp.ui.entries.places import TAPPED_WITHIN_M
from surveyapp.ui.entries.sensed import TAKE_HEADING, WAVERED, sensed, take_bearing
from surveyapp.ui.entries.sighting import site_choices
from surveyapp.ui.north import declination_at_stop_deg, true_bearing_deg
from surveyapp.ui.preparing import phone_in_hand
from surveyapp.ui.session import Pick, Session
from surveyapp.ui.words import degrees, joined, number

ON_PLAN = "on the plan"
POINT = "point"
NO_PLACE = "Place the stop first: a compass is checked from a known position."


class CompassCheckForm(Form):
    """Which phone, what is sighted, what its compass shows."""

    name = "compass_check"
    title = "Compass check"
    row_kind = CompassCheck

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """A point tapped on the plan stands among the sites once there is one."""
        placed = {site.id for site in session.sites if site.lat_deg is not None}
        sites = tuple(choice for choice in site_choices(session) if choice.value in placed)
        point = (Choice(value=POINT, label="The point tapped"),) if texts.get("lat") else ()
        return (
            *device_fields(session, texts),
            Field(name="against", label="Something known, in sight", kind=Kind.CHOICE,
                  choices=(*point, *sites), needed=True),
            Field(name="bearing", label="The compass shows", unit="°", decimals=1, low=0,
                  high=359.9, needed=True),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """The phone in hand; a compass shows magnetic north."""
        phone = phone_in_hand(session)
        return {"device": phone.id} if phone else {"device": "new"}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """What makes a good check."""
        return "Sight something at least 100 m away, some metres from any steel (common practice)."

    def told(self, session: Session, texts: Texts) -> tuple[Told, ...]:
        """How far the compass is off, as soon as both are there."""
        if amount(texts, "bearing") is None or not texts.get("against"):
            return ()
        try:
            offset, true_deg = offset_of(session, texts)
        except (InvalidValue, NoAnswer) as error:
            return (Told("The check", "No offset yet", str(error)),)
        said = f"off by {signed(offset.offset_deg)}° ± {number(offset.sigma_deg)}°"
        return (Told("The check", joined([f"{degrees(true_deg)} true", said]), offset.doubt),)

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The phone's own compass; a point of the plan."""
        plan = Choice(value=ON_PLAN, label="Tap it on the plan", icon="locate")
        return (*sensed(session, TAKE_HEADING), plan)

    def act(self, sheet: Any, action: str) -> None:
        """Listen to the compass, or ask for a tap."""
        if action == TAKE_HEADING.value:
            take_bearing(sheet)
            return

        def take(lat_deg: float, lon_deg: float) -> None:
            point = {"lat": f"{lat_deg:.7f}", "lon": f"{lon_deg:.7f}", "against": POINT}
            sheet.put_all(point)
            sheet.move_to("bearing")

        stop = sheet.session.stop
        known = Pick("bearing", "Tap what you sight", take, stop.lat_deg, stop.lon_deg)
        sheet.session.ask_on_plan(known)

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """The check, with the phone first where it is new."""
        device_id, new = device_of(texts)
        offset, _ = offset_of(session, texts)
        against = CheckedAgainst.PLAN if texts.get("against") == POINT else CheckedAgainst.SITE
        check = CompassCheck(
            survey_id=session.need_stop().survey_id,
            device_id=device_id,
            time_utc=session.clock(),
            offset_deg=offset.offset_deg,
            sigma_deg=offset.sigma_deg,
            checked_against=against,
        )
        return (*new, check)


def offset_of(session: Session, texts: Texts) -> tuple[CompassOffset, float]:
    """The offset and the true bearing; raises InvalidValue or NoAnswer with what is missing."""
    stop, read_deg = session.stop, amount(texts, "bearing")
    if stop is None or stop.lat_deg is None or stop.lon_deg is None:
        raise InvalidValue(NO_PLACE)
    if texts.get("against") == POINT:
        lat_deg, lon_deg = float(texts["lat"]), float(texts["lon"])
        sigma_m: float | None = TAPPED_WITHIN_M
    else:
        site = session.notebook.get(Site, texts["against"])
        lat_deg, lon_deg, sigma_m = site.lat_deg, site.lon_deg, site.position_sigma_m
    known = bearing_by_two_points(
        stop.lat_deg, stop.lon_deg, lat_deg, lon_deg,
        from_sigma_m=stop.position_sigma_m or 0.0, to_sigma_m=sigma_m or 0.0,
    )  # fmt: skip
    reference = NorthReference.MAGNETIC
    true_deg = true_bearing_deg(read_deg, reference, declination_at_stop_deg(stop))
    if true_deg is None:
        raise InvalidValue("The declination of this day and place is unknown: see the day's date.")
    return compass_offset(known, true_deg, amount(texts, WAVERED) or 0.0), known.bearing_deg
