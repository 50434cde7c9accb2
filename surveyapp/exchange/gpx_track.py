"""Tracks in GPX 1.0 and 1.1 files of any origin, as the stops along them."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from xml.etree.ElementTree import Element

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Gatherer
from surveyapp.exchange.plain_rows import number_of_text
from surveyapp.exchange.track import TrackPoint, track_brought
from surveyapp.exchange.xml_text import load_root, local, text_of


def track_points(root: Element) -> list[Element]:
    """The track points of a GPX document."""
    return [element for element in root.iter() if local(element) == "trkpt"]


def read_gpx_track(path: Path, workspace: Path) -> Brought:
    """The stops along all tracks of a file. Raises FormatError for a file that is no GPX."""
    gatherer: Gatherer[TrackPoint] = Gatherer(path)
    for count, element in enumerate(track_points(load_root(path, "gpx")), start=1):
        gatherer.take(f"track point {count}", partial(_point, element))
    return track_brought(path, gatherer.good, gatherer.troubles)


def _point(element: Element) -> TrackPoint:
    lat_deg, lon_deg = _angle(element, "lat", 90.0), _angle(element, "lon", 180.0)
    told = text_of(element, "time")
    if not told:
        return TrackPoint(lat_deg=lat_deg, lon_deg=lon_deg)
    try:
        time_utc = datetime.fromisoformat(told)
        if time_utc.utcoffset() is None:  # GPX 1.1 defines its times as UTC
            time_utc = time_utc.replace(tzinfo=UTC)
        return TrackPoint(lat_deg=lat_deg, lon_deg=lon_deg, time_utc=time_utc.astimezone(UTC))
    except (ValueError, OverflowError):
        raise InvalidValue(f"'{told[:40]}' is no time", value=told) from None


def _angle(element: Element, name: str, most: float) -> float:
    text = element.get(name, "")
    value = number_of_text(text)
    if value is None or abs(value) > most:
        raise InvalidValue(f"{name} '{text[:40]}' is no angle up to {most:g}", value=text)
    return float(value)
