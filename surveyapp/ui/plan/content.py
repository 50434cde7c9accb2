"""What the plan shows of a notebook: which rows, which ground, about which centre."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from surveyapp.geometry.date_line import amid, rolled_deg, unrolled_deg
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Photo, Sector, Sighting, Site, Stop
from surveyapp.ui.plan.laying_out import Rows
from surveyapp.ui.plan.stop_marks import StopColumns
from surveyapp.ui.session import Session

REACH_DEG = 2.0  # farther rows are told, not drawn: some 200 km
PLACE_M = 250.0
STREET_M = 60.0  # a place farther off is on no street
ROWS_OF = {
    "sightings": ("sightings",),
    "photos": ("photos",),
    "levels": ("levels",),
}


@dataclass(frozen=True, slots=True)
class Content:
    """Rows to draw, the plane they are laid out in, and how many rows lie too far away."""

    rows: Rows
    plane: Plane
    left_out: int = 0

    def missing_text(self, has_ground: bool, has_file: bool = False) -> str:
        """What the surveyor would look for and does not see, and why."""
        said = []
        if has_file and not has_ground:
            said.append(
                "The streets in this notebook lie far from here: bring in those of this area "
                "under Book, Ground."
            )
        elif not has_ground:
            said.append("No streets here yet: bring some in under Book, Ground.")
        if self.left_out:
            count = "1 thing lies" if self.left_out == 1 else f"{self.left_out} things lie"
            said.append(f"{count} more than 200 km away and cannot be drawn here.")
        return " ".join(said)


def content_of(session: Session, plane: Plane | None = None) -> Content:
    """The rows of the current survey and all sites; a given plane is kept while it still fits."""
    notebook = session.notebook
    stops = _stops(session)
    photos = notebook.all(Photo, survey_id=session.survey.id) if session.survey else []
    sites = session.sites
    sightings = notebook.all(Sighting, site_id=[site.id for site in sites]) if sites else []
    sighted_from = sorted({sighting.stop_id for sighting in sightings})
    centre = _centre(session, stops, sites)
    if plane is None or not _is_near(plane.lat0_deg, plane.lon0_deg, Plane(*centre)):
        plane = Plane(*centre)
    near = [row for row in (*sites, *photos) if _fits(row, plane)]
    drawn = stops.where(_near(*stops.at_deg.T, plane))
    rows = Rows(
        sites=[row for row in near if isinstance(row, Site)],
        sectors=notebook.all(Sector),
        stops=drawn,
        sightings=sightings,
        sighted_from=notebook.all(Stop, id=sighted_from) if sighted_from else [],
        photos=[row for row in near if isinstance(row, Photo)],
    )
    left_out = len(sites) + len(stops.ids) + len(photos) - len(near) - len(drawn.ids)
    return Content(rows, plane, left_out)


def ground_key(session: Session, plane: Plane) -> tuple[object, ...]:
    """Changes when another ground has to be drawn."""
    ground = session.notebook.ground
    return (ground.source, ground.bounds, plane)


def place_text_at(session: Session, lat_deg: float, lon_deg: float) -> str:
    """'Mill Street, between Quay Street and Dock Lane', as far as the ground tells."""
    from surveyapp.geometry.places import place_text

    ground = session.notebook.ground.around(lat_deg, lon_deg, PLACE_M)
    return place_text(lat_deg, lon_deg, ground.streets)


def street_at(session: Session, lat_deg: float, lon_deg: float) -> str:
    """The name of the street a place is on; '' where the ground has none near it."""
    from surveyapp.geometry.places import StreetIndex

    ground = session.notebook.ground.around(lat_deg, lon_deg, STREET_M)
    return StreetIndex(ground.streets).name_at(lat_deg, lon_deg)


def ground_box_m(session: Session, plane: Plane) -> tuple[float, float, float, float] | None:
    """(west, south, east, north) of the ground in the plane; None where none is near enough."""
    box = session.notebook.ground.bounds
    if box is None:
        return None
    east_deg = box.east_deg + 360.0 * (box.east_deg < box.west_deg)
    middle_deg = (box.west_deg + east_deg) / 2
    nearest = (
        min(max(plane.lat0_deg, box.south_deg), box.north_deg),
        min(max(float(unrolled_deg(plane.lon0_deg, middle_deg)), box.west_deg), east_deg),
    )
    if not _is_near(*nearest, plane):
        return None
    corners = [
        plane.to_plane(lat, rolled_deg(lon))
        for lat in (box.south_deg, box.north_deg)
        for lon in (box.west_deg, east_deg)
    ]
    east, north = zip(*((float(e), float(n)) for e, n in corners), strict=True)
    return min(east), min(north), max(east), max(north)


def with_levels(session: Session, rows: Rows) -> Rows:
    """The rows together with what the readings of the current survey tell."""
    told = session.notebook.stop_levels(session.survey.id) if session.survey else []
    return replace(rows, levels=told)


def shown_rows(rows: Rows, hidden: Collection[str]) -> Rows:
    """The rows without those of the layers that are switched off."""
    emptied = {kind: () for name, kinds in ROWS_OF.items() if name in hidden for kind in kinds}
    return replace(rows, **emptied)


def _stops(session: Session) -> StopColumns:
    """The stops of the current survey that have a place."""
    if session.survey is None:
        return StopColumns.of([])
    told = session.notebook.stop_places(session.survey.id)
    at_deg = np.array([place[1:] for place in told], float).reshape(-1, 2)
    ids = [place[0] for place in told]
    return StopColumns(ids, at_deg, lambda ids: session.notebook.all(Stop, id=ids))


def _centre(session: Session, stops: StopColumns, sites: Iterable[Site]) -> tuple[float, float]:
    """Where the survey is: among its stops, else among the sites, else amid the ground."""
    placed = [(site.lat_deg, site.lon_deg) for site in sites if site.lat_deg is not None]
    for places in (stops.at_deg, np.array(placed, float).reshape(-1, 2)):
        if len(places):
            return amid(places, np.median)
    box = session.notebook.ground.bounds
    if box is None:
        return 0.0, 0.0
    return amid([(box.south_deg, box.west_deg), (box.north_deg, box.east_deg)])


def _fits(row: Site | Photo, plane: Plane) -> bool:
    if row.lat_deg is None or row.lon_deg is None:
        return True
    return _is_near(row.lat_deg, row.lon_deg, plane)


def _is_near(lat_deg: float, lon_deg: float, plane: Plane) -> bool:
    return bool(_near(lat_deg, lon_deg, plane))


def _near(lat_deg: Any, lon_deg: Any, plane: Plane) -> Any:
    """Which of some places lie near enough to be drawn in the plane."""
    apart_deg = np.abs(unrolled_deg(lon_deg, plane.lon0_deg) - plane.lon0_deg)
    apart_deg = apart_deg * np.cos(np.radians(plane.lat0_deg))  # degrees as long as latitude's
    return (np.abs(lat_deg - plane.lat0_deg) <= REACH_DEG) & (apart_deg <= REACH_DEG)
