"""What a sheet can take from the machine's sensors; on a machine without any, nothing shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from surveyapp.model import NorthReference, Picture, Reading, Source
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.session import Session
from surveyapp.ui.words import clock_text, joined, number

if TYPE_CHECKING:
    from surveyapp.geometry.pointing import SteadyHeading, SteadyTilt
    from surveyapp.sensors.phone_radio import RadioReport

TAKE_HEADING = Choice(value="take heading", label="Take heading", icon="heading")
TAKE_ELEVATION = Choice(value="take elevation", label="Take elevation", icon="heading")
TAKE_PICTURE = Choice(value="take a picture", label="Take a picture", icon="photo")
FILL_FROM_PHONE = Choice(value="from this phone", label="Fill from this phone", icon="device")
PHONE_SAID = "phone_said"
WAVERED = "wavered"


def sensed(session: Session, *choices: Choice) -> tuple[Choice, ...]:
    """These choices where the machine has sensors."""
    return choices if session.senses.there else ()


def take_bearing(sheet: Any) -> None:
    """The heading into a sighting: bearing, against which north, and how good it is."""

    def take(heading: SteadyHeading) -> None:
        keep_heading(sheet.session, heading)
        if sheet in sheet.router.sheets:
            sheet.put_all(
                {
                    "bearing": f"{heading.magnetic_deg:.1f}",
                    "reference": NorthReference.MAGNETIC.value,
                    "sigma": f"{heading.sigma_deg:.1f}",
                    WAVERED: f"{heading.spread_deg:.1f}",
                }
            )

    sheet.session.senses.take_heading(take)


def take_heading(sheet: Any) -> None:
    """The heading into the sheet that asks for it alone."""

    def take(heading: SteadyHeading) -> None:
        keep_heading(sheet.session, heading)
        if sheet in sheet.router.sheets:
            told = {"heading": f"{heading.magnetic_deg:.1f}"}
            sheet.put_all({**told, "reference": NorthReference.MAGNETIC.value})

    sheet.session.senses.take_heading(take)


def take_elevation(sheet: Any) -> None:
    """How steeply the phone points, into a sighting."""

    def take(tilt: SteadyTilt) -> None:
        if tilt.doubts:
            sheet.session.say(joined(tilt.doubts))
        if sheet in sheet.router.sheets:
            sheet.put("elevation", f"{tilt.elevation_deg:.1f}")

    sheet.session.senses.take_tilt(take)


def take_picture(sheet: Any) -> None:
    """The camera's picture is kept at once; then its own sheet asks what it shows."""
    from surveyapp.ui.senses.taken import keep_taken

    def take(picture: Picture) -> None:
        kept = keep_taken(sheet.session, picture)
        if sheet in sheet.router.sheets:
            sheet.drop()
            sheet.close()
        sheet.router.open_entry("photo", kept.id)

    sheet.session.senses.take_picture(take)


def fill_from_phone(sheet: Any) -> None:
    """This phone's own cells into a reading, with their age."""
    from surveyapp.ui.entries.one_line import carriers_texts

    def take(report: RadioReport) -> None:
        texts, left = carriers_texts(report.mode, report.carriers)
        session = sheet.session
        zone = session.survey.time_zone if session.survey else "UTC"
        age = "of unknown age" if report.age_s is None else f"{number(report.age_s, 0)} s old"
        said = joined([f"{age} at {clock_text(session.clock(), zone)}", *report.left_out, *left])
        if sheet in sheet.router.sheets:
            texts = {**texts, "mode": report.mode.value, "source": Source.PHONE.value}
            sheet.put_all({**texts, PHONE_SAID: said})

    sheet.session.senses.read_radio(take)


def reading_of(mode: Any, carriers: Any) -> Reading:
    """Carriers as a reading of nothing in particular, for the sheet's own words."""
    return Reading(stop_id="", device_id="", time_utc=None, mode=mode, carriers=tuple(carriers))


def keep_heading(session: Session, heading: SteadyHeading) -> None:
    """Keep which way the surveyor looks; say what is doubtful about it."""
    session.set_heading(heading.magnetic_deg, NorthReference.MAGNETIC)
    if heading.doubts:
        session.say(joined(heading.doubts))
