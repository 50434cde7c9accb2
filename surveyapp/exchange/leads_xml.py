"""Leads as waypoints of GPX 1.0 and 1.1, and as placemarks of KML 2.2 (OGC 07-147r2)."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import Element

from surveyapp.exchange.leads import LeadGatherer, LeadRow, LeadsRead
from surveyapp.exchange.xml_text import children, load_root, local, text_of


def read_leads_gpx(path: Path) -> LeadsRead:
    """The waypoints of a file; its tracks and routes are passed over.

    Raises FormatError for a file that is no GPX or holds no waypoint.
    """
    gatherer = LeadGatherer(path)
    for number, waypoint in enumerate(children(load_root(path, "gpx"), "wpt"), start=1):
        notes = [text_of(waypoint, "desc"), text_of(waypoint, "cmt")]
        row = LeadRow(
            lat=waypoint.get("lat", ""),
            lon=waypoint.get("lon", ""),
            name=text_of(waypoint, "name"),
            kind=text_of(waypoint, "type"),
            text="\n".join(dict.fromkeys(note for note in notes if note)),
        )
        gatherer.take(f"waypoint {number}", row)
    return gatherer.finish()


def read_leads_kml(path: Path) -> LeadsRead:
    """The placemarks of a file that are points; others are listed as no leads.

    Raises FormatError for a file that is no KML or holds no placemark.
    """
    gatherer = LeadGatherer(path)
    marks = (one for one in load_root(path, "kml").iter() if local(one) == "Placemark")
    for number, mark in enumerate(marks, start=1):
        _take_placemark(gatherer, number, mark)
    return gatherer.finish()


def _take_placemark(gatherer: LeadGatherer, number: int, mark: Element) -> None:
    name = text_of(mark, "name")
    place = f"placemark {number}" + (f" '{name[:40]}'" if name else "")
    points = children(mark, "Point")
    if not points:
        gatherer.refuse(place, "it is no point")
        return
    parts = text_of(points[0], "coordinates").split(",")
    if len(parts) not in (2, 3):
        gatherer.refuse(place, "its coordinates are not longitude,latitude")
        return
    row = LeadRow(lon=parts[0], lat=parts[1], name=name, text=text_of(mark, "description"))
    gatherer.take(place, row)
