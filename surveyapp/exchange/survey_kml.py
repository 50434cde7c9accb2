"""Surveys, sites, panels and stops as KML 2.2 (OGC 07-147r2), for maps and globes, and back.

One folder a kind, one placemark a row. A panel is a line along its boresight. The row's fields
stand in the placemark's ExtendedData, from which reading takes the rows again.
"""

from __future__ import annotations

import html
import json
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, ElementTree, SubElement, indent

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Content, Gatherer, whole_file
from surveyapp.exchange.files import refused
from surveyapp.exchange.places_of_rows import PlacesOfRows
from surveyapp.exchange.plain_rows import (
    ROW_KINDS,
    fields_of,
    from_plain,
    kind_name,
    time_text,
    to_plain,
)
from surveyapp.exchange.words_of_rows import WordsOfRows
from surveyapp.exchange.xml_text import children, load_root, local, printable
from surveyapp.geometry.geodesy import destination
from surveyapp.model import Row, Sector, Site, Stop, Survey

NAMESPACE = "http://www.opengis.net/kml/2.2"
KIND = "row"
BORESIGHT_M = 60.0  # length of a panel's line, our choice
_FOLDERS = ((Survey, "Surveys"), (Site, "Sites"), (Sector, "Panels"), (Stop, "Stops"))


def write_survey_kml(content: Content, path: Path) -> None:
    """Write surveys, sites, panels and stops. Raises NotebookError where the disk refuses."""
    root = Element("kml", xmlns=NAMESPACE)
    document = SubElement(root, "Document")
    _add(document, "name", ", ".join(one.title for one in content.of(Survey)) or "Survey")
    words, places = WordsOfRows(content), PlacesOfRows(content)
    for kind, title in _FOLDERS:
        rows = content.of(kind)
        if rows:
            folder = SubElement(document, "Folder")
            _add(folder, "name", title)
            for row in rows:
                _placemark(folder, row, words, places)
    indent(root)
    with whole_file(path) as temporary:
        ElementTree(root).write(temporary, encoding="UTF-8", xml_declaration=True)


def _placemark(parent: Element, row: Row, words: WordsOfRows, places: PlacesOfRows) -> None:
    """A row as a placemark; the order of its parts is the schema's."""
    mark = SubElement(parent, "Placemark")
    name = getattr(row, "title", None) or getattr(row, "label", None) or words.name(row)
    _add(mark, "name", name or kind_name(type(row)))
    lines = words.lines(row) if isinstance(row, Site | Stop) else [name or kind_name(type(row))]
    _add(mark, "description", _as_html("\n".join(lines)))  # or viewers show the values raw
    if isinstance(row, Stop):
        _add(SubElement(mark, "TimeStamp"), "when", time_text(row.time_utc))
    data = SubElement(mark, "ExtendedData")
    for field, value in {KIND: kind_name(type(row)), **to_plain(row)}.items():
        text = value if isinstance(value, str) else json.dumps(value)
        _add(SubElement(data, "Data", name=field), "value", text)
    place = places.of(row)
    if place is None:
        return
    if not isinstance(row, Sector):
        _add(SubElement(mark, "Point"), "coordinates", f"{place[1]!r},{place[0]!r}")
    elif row.azimuth_deg is not None:
        end = destination(*place, row.azimuth_deg, BORESIGHT_M)
        line = f"{place[1]!r},{place[0]!r} {end[1]!r},{end[0]!r}"
        _add(SubElement(mark, "LineString"), "coordinates", line)


def _as_html(text: str) -> str:
    """The text as the HTML that a description is shown as, with nothing in it live; '$[' would
    be replaced by a value (OGC KML 2.3, 07-147r2: description, BalloonStyle; from memory)."""
    return html.escape(text).replace("$[", "&#36;[")


def _add(parent: Element, name: str, text: str) -> None:
    SubElement(parent, name).text = printable(text)


def has_survey_rows(root: Element) -> bool:
    """Whether a document holds rows as this program writes them."""
    return any(_held(mark).get(KIND) in ROW_KINDS for mark in _placemarks(root))


def read_survey_kml(path: Path, workspace: Path) -> Brought:
    """The surveys, sites, panels and stops in a file of ours; FormatError for any other."""
    root = load_root(path, "kml")
    if not has_survey_rows(root):
        raise refused(path, "holds no rows of a survey")
    gatherer: Gatherer[Row] = Gatherer(path)
    for count, mark in enumerate(_placemarks(root), start=1):
        gatherer.take(f"placemark {count}", partial(_row, _held(mark)))
    return Brought(rows=tuple(gatherer.good), troubles=tuple(gatherer.troubles))


def _placemarks(root: Element) -> list[Element]:
    return [element for element in root.iter() if local(element) == "Placemark"]


def _held(mark: Element) -> dict[str, str]:
    """The named values of a placemark."""
    return {
        data.get("name", ""): value.text or ""
        for extended in children(mark, "ExtendedData")
        for data in children(extended, "Data")
        for value in children(data, "value")
    }


def _row(held: dict[str, str]) -> Row:
    made = ROW_KINDS.get(held.get(KIND, ""))
    if made is None:
        raise InvalidValue("its data name no kind of row")
    is_text = {field.name: issubclass(field.held, str) for field in fields_of(made)}
    values: dict[str, Any] = {}
    for name, text in held.items():
        if name not in is_text:
            continue
        values[name] = text if is_text[name] or name.endswith("_utc") else _json(text)
    row: Row = from_plain(made, values)
    return row


def _json(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InvalidValue(f"'{text[:40]}' cannot be read ({error})") from error
