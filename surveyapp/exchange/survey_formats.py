"""The formats of a survey's rows, and how a file's own is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from surveyapp.errors import FormatError
from surveyapp.exchange.bundle import write_bundle
from surveyapp.exchange.bundle_reading import read_bundle
from surveyapp.exchange.content import Brought, Content
from surveyapp.exchange.files import reading
from surveyapp.exchange.geopackage import read_geopackage, write_geopackage
from surveyapp.exchange.gpx_track import read_gpx_track, track_points
from surveyapp.exchange.nmea import read_nmea
from surveyapp.exchange.survey_csv import is_survey_csv, read_survey_csv, write_survey_csv
from surveyapp.exchange.survey_geojson import (
    is_survey_geojson,
    read_survey_geojson,
    write_survey_geojson,
)
from surveyapp.exchange.survey_gpx import has_survey_rows as has_gpx_rows
from surveyapp.exchange.survey_gpx import read_survey_gpx, write_survey_gpx
from surveyapp.exchange.survey_kml import has_survey_rows as has_kml_rows
from surveyapp.exchange.survey_kml import read_survey_kml, write_survey_kml
from surveyapp.exchange.xml_text import children, load_root

Writer = Callable[[Content, Path], None]
Reader = Callable[[Path, Path], Brought]
Recogniser = Callable[[Path], bool]


@dataclass(frozen=True, kw_only=True, slots=True)
class SurveyFormat:
    """A format of a survey's rows. `key` names it on the command line; `suffixes` are in lower
    case, the usual one first; `is_own` tells whether a file of that suffix is of this kind.

    `read` takes the file and a folder to unpack pictures into; `read` or `write` is None where
    this program does not do it.
    """

    key: str
    name: str
    suffixes: tuple[str, ...]
    carries: str
    loses: str
    is_own: Recogniser
    write: Writer | None = None
    read: Reader | None = None
    has_pictures: bool = False  # whether photos go along, not only their rows


TRACK = "track"
_ALL_ROWS = "every row with all its fields, places as points"
_NO_PICTURES = "the pictures of photos"


def _always(path: Path) -> bool:
    return True


def _is_only_a_track(path: Path) -> bool:
    root = load_root(path, "gpx")
    return bool(track_points(root)) and not children(root, "wpt")


SURVEY_FORMATS = (
    SurveyFormat(
        key="bundle",
        name="Bundle",
        suffixes=(".zip",),
        carries="every row with all its fields, and the pictures, each proven by its hash",
        loses="nothing of a survey (undo history, drafts, settings and ground stay behind)",
        has_pictures=True,
        is_own=_always,
        write=write_bundle,
        read=read_bundle,
    ),
    SurveyFormat(
        key="geojson",
        name="GeoJSON",
        suffixes=(".geojson", ".json"),
        carries=_ALL_ROWS,
        loses=_NO_PICTURES,
        is_own=is_survey_geojson,
        write=write_survey_geojson,
        read=read_survey_geojson,
    ),
    SurveyFormat(
        key="gpkg",
        name="GeoPackage",
        suffixes=(".gpkg",),
        carries="every row with all its fields, one table a kind, places as points",
        loses=_NO_PICTURES,
        is_own=_always,
        write=write_geopackage,
        read=read_geopackage,
    ),
    SurveyFormat(
        key="csv",
        name="CSV",
        suffixes=(".csv",),
        carries="every row with all its fields, one line a row or carrier",
        loses=_NO_PICTURES,
        is_own=is_survey_csv,
        write=write_survey_csv,
        read=read_survey_csv,
    ),
    SurveyFormat(
        key="gpx",
        name="GPX",
        suffixes=(".gpx",),
        carries="surveys, sites and stops as waypoints with all their fields, entries as text",
        loses="panels, sightings, readings, speed runs and remarks but for a line of text each; "
        "phones, photos, checks before the runs and of the compass",
        is_own=lambda path: has_gpx_rows(load_root(path, "gpx")),
        write=write_survey_gpx,
        read=read_survey_gpx,
    ),
    SurveyFormat(
        key="kml",
        name="KML",
        suffixes=(".kml",),
        carries="surveys, sites, panels and stops with all their fields, entries as text",
        loses="sightings, readings, speed runs and remarks but for a line of text each; phones, "
        "photos, checks before the runs and of the compass; control characters in texts",
        is_own=lambda path: has_kml_rows(load_root(path, "kml")),
        write=write_survey_kml,
        read=read_survey_kml,
    ),
    SurveyFormat(
        key=TRACK,
        name="GPX track",
        suffixes=(".gpx",),
        carries="the places where the walker stood still, as stops of a survey of their own",
        loses="the way between, heights and waypoints",
        is_own=_is_only_a_track,
        read=read_gpx_track,
    ),
    SurveyFormat(
        key="nmea",
        name="NMEA log",
        suffixes=(".nmea", ".nma", ".log"),
        carries="the places where the receiver stood still, as stops of a survey of their own",
        loses="the way between, and all sentences but RMC",
        is_own=_always,
        read=read_nmea,
    ),
)


def survey_format(key: str) -> SurveyFormat:
    """The format of a name on the command line; raises FormatError where it cannot be written."""
    for known in SURVEY_FORMATS:
        if known.key == key and known.write is not None:
            return known
    keys = ", ".join(known.key for known in SURVEY_FORMATS if known.write is not None)
    raise FormatError(f"'{key}' is no format to write: use one of {keys}.")


def format_of_file(path: Path, *, tracks: bool = False) -> SurveyFormat | None:
    """The format a file is in, by its suffix and a look inside; None where it is no survey's.

    A GPX file with waypoints of another program is none, for these are leads; with `tracks`
    its tracks are asked for. Raises FormatError where the file cannot be read.
    """
    for known in SURVEY_FORMATS:
        if known.read is not None and path.name.lower().endswith(known.suffixes):
            with reading(path):
                if known.is_own(path) or (tracks and known.key == TRACK):
                    return known
    return None


def read_survey(path: Path, workspace: Path, *, tracks: bool = False) -> Brought:
    """The rows in a file of any of the formats, told as by `format_of_file`; pictures are
    unpacked into `workspace`.

    Raises FormatError where it is in none of them or cannot be read.
    """
    known = format_of_file(path, tracks=tracks)
    if known is None or known.read is None:
        suffixes = ", ".join(dict.fromkeys(one for form in SURVEY_FORMATS for one in form.suffixes))
        raise FormatError(
            f"{path} holds no survey, track or log that can be read: one of {suffixes} would do.",
            path=str(path),
        )
    with reading(path):
        return known.read(path, workspace)
