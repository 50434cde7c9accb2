"""Surveys, sites and stops as waypoints of GPX 1.1, for handhelds and maps, and back.

Each waypoint carries its row in an extension under a namespace of ours, so that reading our own
file gives the rows again; other programs pass it over.
"""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from xml.etree.ElementTree import Element

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Content, Gatherer, whole_file
from surveyapp.exchange.files import refused
from surveyapp.exchange.places_of_rows import own_place
from surveyapp.exchange.plain_rows import ROW_KINDS, from_plain, kind_name, to_plain
from surveyapp.exchange.words_of_rows import WordsOfRows
from surveyapp.exchange.xml_text import children, load_root, local, printable
from surveyapp.model import Row, Site, Stop, Survey

NAMESPACE = "https://surveyapp.example/row/1"
PREFIX = "row"
_TAG = f"{{{NAMESPACE}}}row"
_NO_MARKUP = {ord(mark): f"\\u{ord(mark):04x}" for mark in "<>&"}


def write_survey_gpx(content: Content, path: Path) -> None:
    """Write surveys, sites and stops. Raises NotebookError where the disk refuses."""
    from gpxpy.gpx import GPX, GPXWaypoint

    words = WordsOfRows(content)
    document = GPX()
    document.creator = "surveyapp"
    document.nsmap[PREFIX] = NAMESPACE
    surveys = content.of(Survey)
    document.name = printable(", ".join(survey.title for survey in surveys)).strip() or "Survey"
    document.metadata_extensions += [_extension(survey) for survey in surveys]
    located: list[Site | Stop] = [*content.of(Site), *content.of(Stop)]
    for row in located:
        place = own_place(row)
        if place is None:
            document.metadata_extensions.append(_extension(row))
            continue
        point = GPXWaypoint(
            latitude=place[0],
            longitude=place[1],
            time=row.time_utc if isinstance(row, Stop) else None,
            name=printable(words.name(row)),
            description=printable("\n".join(words.lines(row))) or None,
            type=kind_name(type(row)),
        )
        point.extensions.append(_extension(row))
        document.waypoints.append(point)
    with whole_file(path) as temporary:
        temporary.write_text(document.to_xml(version="1.1"), encoding="utf-8")


def _extension(row: Row) -> Element:
    element = Element(_TAG)
    element.set("kind", kind_name(type(row)))
    # gpxpy writes an extension's text as it is, so nothing in it may look like markup
    element.text = json.dumps(to_plain(row)).translate(_NO_MARKUP)
    return element


def has_survey_rows(root: Element) -> bool:
    """Whether a document holds rows as this program writes them."""
    return next(root.iter(_TAG), None) is not None


def read_survey_gpx(path: Path, workspace: Path) -> Brought:
    """The surveys, sites and stops in a file of ours. Raises FormatError for any other."""
    root = load_root(path, "gpx")
    if not has_survey_rows(root):
        raise refused(path, "holds no rows of a survey")
    gatherer: Gatherer[Row] = Gatherer(path)
    waypoint = 0
    for parent in root:
        waypoint += local(parent) == "wpt"
        place = f"waypoint {waypoint}" if local(parent) == "wpt" else "metadata"
        for extension in children(parent, "extensions"):
            for element in extension.iter(_TAG):
                gatherer.take(place, partial(_row, element))
    return Brought(rows=tuple(gatherer.good), troubles=tuple(gatherer.troubles))


def _row(element: Element) -> Row:
    made = ROW_KINDS.get(element.get("kind", ""))
    if made is None:
        raise InvalidValue("its extension names no kind of row")
    try:
        held = json.loads(element.text or "")
    except (ValueError, RecursionError) as error:
        raise InvalidValue(f"its extension is no valid JSON ({error})") from error
    if not isinstance(held, dict):
        raise InvalidValue("its extension is no object")
    row: Row = from_plain(made, held)
    return row
