"""A picture just taken with the phone's camera: kept at once, with its place written into it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from surveyapp.errors import FormatError
from surveyapp.exchange.photo_stamp import Stamp, stamped
from surveyapp.model import NorthReference, Photo, Picture

if TYPE_CHECKING:
    from surveyapp.ui.session import Session


def keep_taken(session: Session, picture: Picture) -> Photo:
    """The picture in the notebook, at the current stop, towards the heading told last."""
    stop, heading = session.need_stop(), session.live_heading
    towards = heading.raw_deg if heading else None
    reference = heading.reference if heading else None
    stamp = Stamp(
        time_utc=picture.time_utc,
        lat_deg=stop.lat_deg,
        lon_deg=stop.lon_deg,
        position_sigma_m=stop.position_sigma_m,
        direction_deg=towards,
        direction_reference=reference or NorthReference.TRUE,
    )
    try:
        content = stamped(picture.content, stamp)
    except FormatError:
        content = picture.content  # a camera that writes no JPEG: the row says where and when
    kept = session.notebook.add_photo(
        content,
        what="photo",
        survey_id=stop.survey_id,
        stop_id=stop.id,
        time_utc=picture.time_utc,
        lat_deg=stop.lat_deg,
        lon_deg=stop.lon_deg,
        direction_deg=towards,
        direction_reference=reference,
    )
    session.refresh(readings=False)
    return kept
