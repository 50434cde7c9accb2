"""The formats that leads come in: sites to look for, from a table or a map."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from surveyapp.exchange.files import named_format, reading
from surveyapp.exchange.leads import LeadReader, LeadsRead
from surveyapp.exchange.leads_csv import read_leads_csv
from surveyapp.exchange.leads_geojson import read_leads_geojson
from surveyapp.exchange.leads_xml import read_leads_gpx, read_leads_kml


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadFormat:
    """A format of leads. `suffixes` are in lower case, the usual one first."""

    name: str
    suffixes: tuple[str, ...]
    carries: str
    loses: str
    read: LeadReader


LEAD_FORMATS = (
    LeadFormat(
        name="CSV",
        suffixes=(".csv", ".tsv", ".txt"),
        carries="name, position, operator, kind, height and a note, by the names of the columns",
        loses="all other columns",
        read=read_leads_csv,
    ),
    LeadFormat(
        name="GeoJSON",
        suffixes=(".geojson", ".json"),
        carries="points with name, operator, kind, height and a note",
        loses="lines, areas, and all other properties",
        read=read_leads_geojson,
    ),
    LeadFormat(
        name="GPX",
        suffixes=(".gpx",),
        carries="waypoints with name, type, description and comment",
        loses="tracks, routes, times, altitudes and symbols",
        read=read_leads_gpx,
    ),
    LeadFormat(
        name="KML",
        suffixes=(".kml",),
        carries="placemarks that are points, with name and description",
        loses="lines, areas, altitudes, styles and extended data",
        read=read_leads_kml,
    ),
)


def lead_format(path: str | Path) -> LeadFormat:
    """The format a file's name stands for; raises FormatError where it is none."""
    return named_format(path, LEAD_FORMATS, "leads")


def read_leads(path: str | Path) -> LeadsRead:
    """The leads of a file, good rows as sites and bad rows with their place.

    Raises FormatError where the file as a whole cannot be read.
    """
    known = lead_format(path)
    path = Path(path)
    with reading(path):
        return known.read(path)
