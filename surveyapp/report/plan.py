"""The plan laid out in metres: ground, sites with their panels, stops and what was sighted."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.date_line import amid
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Ground, LatLon, Sector, Sighting, Site, Stop, View
from surveyapp.report.look import PATH_WIDTH_M, STREET_WIDTH_M
from surveyapp.report.record import SurveyRecord

FloatArray = NDArray[np.float64]

MARGIN_M = 70.0
LEAST_SIDE_M = 240.0
FARTHEST_MARK_M = 3000.0  # a mark farther than this from the middle is not drawn
FREE_RAY_M = 150.0  # a bearing to something whose place is not known
BORESIGHT_M = 45.0
DEFAULT_BEAMWIDTH_DEG = 65.0  # TR 38.901 table 7.3-1
ARC_STEP_DEG = 5.0


@dataclass(frozen=True, kw_only=True)
class Box:
    """Edges of the picture, in metres of the plane."""

    west_m: float
    south_m: float
    east_m: float
    north_m: float

    @property
    def width_m(self) -> float:
        """West to east."""
        return self.east_m - self.west_m

    @property
    def height_m(self) -> float:
        """South to north."""
        return self.north_m - self.south_m

    def touches(self, line: FloatArray) -> bool:
        """Whether the box of a line (k, 2) touches this one."""
        low, high = line.min(axis=0), line.max(axis=0)
        return bool(
            low[0] <= self.east_m
            and high[0] >= self.west_m
            and low[1] <= self.north_m
            and high[1] >= self.south_m
        )


@dataclass(frozen=True, kw_only=True)
class StreetLine:
    """A street in the plane (k, 2), and how wide it is drawn."""

    name: str
    width_m: float
    points_m: FloatArray


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A panel's line along its boresight, and the arc as wide as its beam, from its site."""

    sector: Sector
    boresight_m: FloatArray
    arc_m: FloatArray


@dataclass(frozen=True, kw_only=True)
class SiteMark:
    """A site at its place, with its panels."""

    site: Site
    at_m: tuple[float, float]
    panels: tuple[Panel, ...]


@dataclass(frozen=True, kw_only=True)
class StopMark:
    """A stop at its place."""

    stop: Stop
    at_m: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Ray:
    """A sighting from its stop to as far as what was sighted; broken where not in clear view."""

    from_m: tuple[float, float]
    to_m: tuple[float, float]
    clear: bool


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Everything the plan draws, in the plane; buildings are closed rings, outline then holes."""

    plane: Plane
    box: Box
    streets: tuple[StreetLine, ...]
    buildings: tuple[tuple[FloatArray, ...], ...]
    sites: tuple[SiteMark, ...]
    stops: tuple[StopMark, ...]
    rays: tuple[Ray, ...]
    attribution: str


def lay_out(record: SurveyRecord, shapes: tuple[float, float] = (0.62, 1.7)) -> Plan | None:
    """The plan of a survey; None where nothing in it has a position.

    `shapes` are the least and greatest width over height that the picture may have.
    """
    rows: tuple[Site | Stop, ...] = (*record.of(Site), *record.of(Stop))
    placed = [row for row in rows if _position(row)]
    if not placed:
        return None
    positions = np.array([_position(row) for row in placed])
    plane = Plane(*amid(positions, np.median))
    east, north = plane.to_plane(*positions.T)
    near = np.hypot(east, north) <= FARTHEST_MARK_M
    places = {
        row.id: (float(x), float(y))
        for row, x, y, kept in zip(placed, east, north, near, strict=True)
        if kept
    }
    sites = tuple(_sites(record, places))
    rays = tuple(_rays(record, places))
    reach = [*places.values(), *(tuple(p.boresight_m[-1]) for s in sites for p in s.panels)]
    box = _box(np.array(reach or [(0.0, 0.0)]), shapes)
    streets, buildings = _ground(record.ground, plane, box)
    return Plan(
        plane=plane,
        box=box,
        streets=streets,
        buildings=buildings,
        sites=sites,
        stops=tuple(
            StopMark(stop=stop, at_m=places[stop.id])
            for stop in record.of(Stop)
            if stop.id in places
        ),
        rays=rays,
        attribution=record.ground.attribution,
    )


def _position(row: Site | Stop) -> LatLon | None:
    if row.lat_deg is None or row.lon_deg is None:
        return None
    return row.lat_deg, row.lon_deg


def _box(points_m: FloatArray, shapes: tuple[float, float]) -> Box:
    """The points with a margin, made wider or higher until the shape is allowed."""
    low, high = points_m.min(axis=0) - MARGIN_M, points_m.max(axis=0) + MARGIN_M
    wide, tall = np.maximum(high - low, LEAST_SIDE_M).tolist()
    wide, tall = max(wide, shapes[0] * tall), max(tall, wide / shapes[1])
    east, north = ((low + high) / 2.0).tolist()
    return Box(
        west_m=east - wide / 2.0,
        south_m=north - tall / 2.0,
        east_m=east + wide / 2.0,
        north_m=north + tall / 2.0,
    )


def along(at_m: tuple[float, float], azimuth_deg: float, length_m: float) -> tuple[float, float]:
    """The place so far from another in a direction."""
    turn = math.radians(azimuth_deg)
    return at_m[0] + length_m * math.sin(turn), at_m[1] + length_m * math.cos(turn)


def panel_at(sector: Sector, at_m: tuple[float, float], length_m: float) -> Panel | None:
    """A panel's lines, or None where its azimuth is not known."""
    if sector.azimuth_deg is None:
        return None
    half = min(sector.beamwidth_deg or DEFAULT_BEAMWIDTH_DEG, 359.0) / 2.0
    count = max(2, math.ceil(2.0 * half / ARC_STEP_DEG) + 1)
    turns = sector.azimuth_deg + np.linspace(-half, half, count)
    return Panel(
        sector=sector,
        boresight_m=np.array([at_m, along(at_m, sector.azimuth_deg, length_m)]),
        arc_m=np.array([along(at_m, float(turn), length_m) for turn in turns]),
    )


def _sites(record: SurveyRecord, places: dict[str, tuple[float, float]]) -> Iterable[SiteMark]:
    for site in record.of(Site):
        if site.id in places:
            at_m = places[site.id]
            own = (s for s in record.of(Sector) if s.site_id == site.id)
            found = (panel_at(sector, at_m, BORESIGHT_M) for sector in own)
            panels = tuple(panel for panel in found if panel is not None)
            yield SiteMark(site=site, at_m=at_m, panels=panels)


def _rays(record: SurveyRecord, places: dict[str, tuple[float, float]]) -> Iterable[Ray]:
    for sighting in record.of(Sighting):
        start = places.get(sighting.stop_id)
        if start is None or sighting.bearing_deg is None:
            continue
        target = places.get(sighting.site_id)
        length = _length(sighting, start, target)
        yield Ray(
            from_m=start,
            to_m=along(start, sighting.bearing_deg, length),
            clear=sighting.view in (None, View.CLEAR),
        )


def _length(
    sighting: Sighting, start: tuple[float, float], target: tuple[float, float] | None
) -> float:
    if target is not None:
        return math.dist(start, target)
    return sighting.distance_m or FREE_RAY_M


def _ground(
    ground: Ground, plane: Plane, box: Box
) -> tuple[tuple[StreetLine, ...], tuple[tuple[FloatArray, ...], ...]]:
    """What of the ground shows in the box, projected in two calls."""
    lines = plane.lines_to_plane([street.points_deg for street in ground.streets])
    streets = tuple(
        StreetLine(
            name=street.name,
            width_m=STREET_WIDTH_M.get(street.kind, PATH_WIDTH_M),
            points_m=points,
        )
        for street, points in zip(ground.streets, lines, strict=True)
        if len(points) > 1 and box.touches(points)
    )
    rings = [(house.outline_deg, *house.holes_deg) for house in ground.buildings]
    flat = iter(plane.lines_to_plane([ring for own in rings for ring in own]))
    houses = [tuple(next(flat) for _ in own) for own in rings]
    return streets, tuple(house for house in houses if box.touches(house[0]))
