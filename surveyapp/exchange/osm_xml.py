"""OpenStreetMap XML (.osm, .osm.gz), read piece by piece with no compiled package.

Source: OpenStreetMap wiki, page 'OSM XML', API version 0.6 (from memory). Documents that
declare a type or entities are refused unread, so no entity can grow.
"""

from __future__ import annotations

import gzip
import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, Protocol
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import iterparse

from surveyapp.errors import FormatError
from surveyapp.exchange.ground import (
    BAD_POSITION,
    OSM_ATTRIBUTION,
    GroundBuilder,
    GroundRead,
    Place,
    is_building,
    is_position,
    is_street,
)
from surveyapp.exchange.osm_outlines import Outline, add_outlines, building_outline
from surveyapp.model import LatLon

MOST_BYTES = 64_000_000  # unpacked: some 750,000 points, then about 240 MB in memory
MOST_CHILDREN = 100_000  # of one object; the OpenStreetMap API allows 32,000 members
_ID = re.compile(r"-?[0-9]{1,18}")


def read_osm_xml(path: Path) -> GroundRead:
    """The ground in an OpenStreetMap XML file, plain or packed with gzip.

    Raises FormatError with the line where the file is no well-formed OpenStreetMap XML, is
    cut short, declares entities, is too large, or holds no ground.
    """
    gathered = _Gathered(GroundBuilder(str(path)))
    try:
        with path.open("rb") as file:
            for element in _objects(_Bounded(_unpacked(file), path), path):
                gathered.take(element)
    except ParseError as error:
        line, column = error.position
        raise FormatError(
            f"{path} is no complete XML (line {line}, column {column + 1}): fetch the file again.",
            path=str(path),
            place=f"line {line}, column {column + 1}",
        ) from error
    except DefusedXmlException as error:
        raise FormatError(
            f"{path} declares a document type or entities, which OpenStreetMap XML never does: "
            "it was not read.",
            path=str(path),
        ) from error
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise FormatError(
            f"{path} cannot be unpacked ({error}): fetch the file again.", path=str(path)
        ) from error
    except (ValueError, LookupError) as error:
        if isinstance(error, FormatError):
            raise
        raise FormatError(
            f"{path} uses a text encoding that cannot be read ({error}): save it as UTF-8.",
            path=str(path),
        ) from error
    return gathered.finish()


class _Readable(Protocol):
    def read(self, size: int = -1, /) -> bytes: ...


class _Bounded:
    """A stream that refuses to give more than MOST_BYTES, however small the file was."""

    def __init__(self, stream: _Readable, path: Path) -> None:
        self._stream = stream
        self._path = path
        self._given = 0

    def read(self, size: int = -1, /) -> bytes:
        data = self._stream.read(size)
        self._given += len(data)
        if self._given > MOST_BYTES:
            raise FormatError(
                f"{self._path} holds more than {MOST_BYTES // 1_000_000} MB of XML: "
                "cut it to the area you survey.",
                path=str(self._path),
            )
        return data


def _unpacked(file: IO[bytes]) -> _Readable:
    """The stream itself, or unpacked where it begins as gzip does (RFC 1952)."""
    start = file.read(2)
    file.seek(0)
    return gzip.GzipFile(fileobj=file) if start == b"\x1f\x8b" else file


def _objects(stream: _Readable, path: Path) -> Iterator[Element]:
    """Each node, way and relation in turn; nothing of those before stays in memory."""
    root: Element | None = None
    depth = children = 0
    for event, element in iterparse(stream, events=("start", "end"), forbid_dtd=True):
        if event == "start":
            if root is None:
                root = element
                _refuse_other_root(root, path)
            depth += 1
            children += 1
            if depth > 3 or children > MOST_CHILDREN:
                raise FormatError(
                    f"{path} holds a {element.tag} too deep or too large for OpenStreetMap XML.",
                    path=str(path),
                )
            continue
        depth -= 1
        if depth == 1 and root is not None:
            yield element
            root.clear()
            children = 0


def _refuse_other_root(root: Element, path: Path) -> None:
    if root.tag != "osm":
        raise FormatError(
            f"{path} is XML but not OpenStreetMap XML: it begins with {root.tag[:40]}, not osm.",
            path=str(path),
            place="line 1",
        )


class _Gathered:
    """Positions and ways of one file, kept until the last object has been seen."""

    def __init__(self, builder: GroundBuilder) -> None:
        self._builder = builder
        self._positions: dict[int, LatLon] = {}
        self._ways: dict[int, tuple[dict[str, str], list[int]]] = {}
        self._outlines: list[Outline] = []

    def take(self, element: Element) -> None:
        """Take one node, way or relation; deleted and unreadable ones are left out."""
        number = _id(element.get("id"))
        deleted = element.get("action") == "delete" or element.get("visible") == "false"
        if number is None or deleted:
            return
        if element.tag == "node":
            self._take_node(number, element)
        elif element.tag == "way":
            references = [_id(child.get("ref")) for child in element.iter("nd")]
            self._ways[number] = (_tags(element), [ref or 0 for ref in references])
        elif element.tag == "relation":
            outline = building_outline(_tags(element), _way_members(element))
            if outline is not None:
                self._outlines.append(outline)

    def finish(self) -> GroundRead:
        """Put lines and areas together and give the ground."""
        members = {
            way for outline in self._outlines for way in outline.outer_ids + outline.inner_ids
        }
        points: dict[int, list[Place]] = {}
        for number, (tags, references) in self._ways.items():
            a_building, a_street = is_building(tags), is_street(tags)
            if not (a_building or a_street or number in members):
                continue
            places = [self._positions.get(reference) for reference in references]
            if number in members:
                points[number] = places
            if a_building and references and references[0] == references[-1]:
                self._builder.add_area(tags, [places])
            elif a_street:
                self._builder.add_line(tags, places)
        add_outlines(self._builder, self._outlines, points)
        return self._builder.finish(OSM_ATTRIBUTION)

    def _take_node(self, number: int, element: Element) -> None:
        position = _position(element)
        if position is None:
            self._builder.skip(BAD_POSITION)
            return
        self._positions[number] = position
        if len(element):
            self._builder.add_point(_tags(element), *position)


def _id(text: Any) -> int | None:
    return int(text) if text is not None and _ID.fullmatch(text) else None


def _position(element: Element) -> LatLon | None:
    try:
        lat_deg, lon_deg = float(element.get("lat", "")), float(element.get("lon", ""))
    except ValueError:
        return None
    return (lat_deg, lon_deg) if is_position(lat_deg, lon_deg) else None


def _tags(element: Element) -> dict[str, str]:
    return {child.get("k", ""): child.get("v", "") for child in element.iter("tag")}


def _way_members(element: Element) -> list[tuple[int, str]]:
    return [
        (number, member.get("role", ""))
        for member in element.iter("member")
        if member.get("type") == "way" and (number := _id(member.get("ref"))) is not None
    ]
