"""XML files read safely and in bounded memory, for GPX and KML."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import parse

from surveyapp.exchange.files import refuse_larger, refused

MOST_BYTES = 64_000_000
MOST_MARKS = 4_000_000  # an element may take one mark, and some 150 bytes in memory
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def load_root(path: Path, name: str) -> Element:
    """The root element of an XML file, which must be called `name` in any namespace.

    Raises FormatError, with the place where there is one, for a file that is too large, no
    well-formed XML, declares entities, or is another kind of document.
    """
    refuse_larger(path, MOST_BYTES)
    if _marks(path) > MOST_MARKS:
        raise refused(path, "holds more elements than can be read: cut it to your area")
    try:
        root = parse(path).getroot()
    except DefusedXmlException as error:
        raise refused(path, "declares entities of its own, which is not safe to read") from error
    except ParseError as error:
        place = f"line {error.position[0]}, column {error.position[1] + 1}"
        raise refused(path, f"is no well-formed XML ({place})", place) from error
    except (ValueError, LookupError) as error:
        raise refused(path, f"is in a writing that cannot be read ({error})") from error
    if root is None or local(root) != name:
        raise refused(path, f"is XML but no {name.upper()} document")
    assert isinstance(root, Element)
    return root


def _marks(path: Path) -> int:
    """How many tags a file may hold, counted without reading it as XML."""
    with open(path, "rb") as file:
        return sum(piece.count(b"<") for piece in iter(lambda: file.read(1 << 20), b""))


def local(element: Element) -> str:
    """An element's name without its namespace."""
    return str(element.tag).rpartition("}")[2]


def children(element: Element, name: str) -> list[Element]:
    """The direct children of a name, in any namespace."""
    return [child for child in element if local(child) == name]


def text_of(element: Element, name: str) -> str:
    """The text of the first child of a name, or nothing."""
    found = children(element, name)
    return (found[0].text or "").strip() if found else ""


def printable(text: str) -> str:
    """The text with what XML 1.0 cannot hold (section 2.2) replaced by U+FFFD."""
    return _NOT_XML.sub("\ufffd", text)
