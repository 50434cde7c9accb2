"""The one table of formats: what each carries, what it loses, who reads and writes it.

Callers ask here and never import a format's own module, so that documents, commands and
screens can list exactly what there is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from surveyapp.errors import FormatError
from surveyapp.exchange.files import named_format, reading
from surveyapp.exchange.ground import GroundRead
from surveyapp.exchange.ground_geojson import read_ground_geojson
from surveyapp.exchange.lead_formats import LEAD_FORMATS, LeadFormat, lead_format, read_leads
from surveyapp.exchange.osm_pbf import read_pbf
from surveyapp.exchange.osm_xml import read_osm_xml
from surveyapp.exchange.survey_formats import (
    SURVEY_FORMATS,
    SurveyFormat,
    format_of_file,
    read_survey,
    survey_format,
)
from surveyapp.model import Ground

__all__ = [
    "GROUND_FORMATS",
    "LEAD_FORMATS",
    "SURVEY_FORMATS",
    "GroundFormat",
    "LeadFormat",
    "SurveyFormat",
    "format_of_file",
    "ground_format",
    "lead_format",
    "read_ground",
    "read_ground_with_report",
    "read_leads",
    "read_survey",
    "survey_format",
]

GroundReader = Callable[[Path], GroundRead]
GroundWriter = Callable[[Ground, Path], None]


@dataclass(frozen=True, kw_only=True, slots=True)
class GroundFormat:
    """A format of streets, buildings and street furniture.

    `suffixes` are in lower case, the usual one first; `read` or `write` is None where this
    program does not do it.
    """

    name: str
    suffixes: tuple[str, ...]
    carries: str
    loses: str
    read: GroundReader | None = None
    write: GroundWriter | None = None


GROUND_FORMATS = (
    GroundFormat(
        name="OpenStreetMap PBF",
        suffixes=(".osm.pbf", ".pbf"),
        carries="streets with names, buildings with heights and courtyards, lamps, signals, "
        "poles, trees",
        loses="squares without a name, tunnels, indoor ways, canopies, and all other tags",
        read=read_pbf,
    ),
    GroundFormat(
        name="OpenStreetMap XML",
        suffixes=(".osm", ".osm.gz", ".osm.xml"),
        carries="streets with names, buildings with heights and courtyards, lamps, signals, "
        "poles, trees",
        loses="squares without a name, tunnels, indoor ways, canopies, and all other tags",
        read=read_osm_xml,
    ),
    GroundFormat(
        name="GeoJSON",
        suffixes=(".geojson", ".json"),
        carries="lines as streets, polygons as buildings, points tagged as street furniture",
        loses="altitudes and all properties but names, kinds, heights and levels",
        read=read_ground_geojson,
    ),
)


def ground_format(path: str | Path) -> GroundFormat:
    """The format of ground a file's name stands for; raises FormatError where it is none."""
    return named_format(path, GROUND_FORMATS, "streets")


def read_ground(path: str | Path) -> Ground:
    """Streets, buildings and street furniture of a file.

    Raises FormatError where the file cannot be read, and MissingPackage where its format
    needs a package that is not installed.
    """
    return read_ground_with_report(path).ground


def read_ground_with_report(path: str | Path) -> GroundRead:
    """As `read_ground`, with what was skipped in plain words."""
    known = ground_format(path)
    path = Path(path)
    if known.read is None:
        raise FormatError(f"{known.name} can be written but not read.", path=str(path))
    with reading(path):
        return known.read(path)
