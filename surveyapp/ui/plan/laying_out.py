"""Rows of the notebook laid out in the plane: where each mark of the plan stands and points."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import cos, hypot, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.photo_direction import true_direction_deg
from surveyapp.errors import SurveyError
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Photo, Sector, Sighting, Site, Stop
from surveyapp.ui.plan.marks import (
    FixMark,
    PhotoMark,
    Place,
    PlanMarks,
    RayMark,
    SiteMark,
    boresight,
)
from surveyapp.ui.plan.stop_marks import StopColumns, StopMarks

FloatArray = NDArray[np.float64]

FREE_RAY_M = 150.0  # a bearing to something whose place is not known yet
ELLIPSE_CORNERS = 72


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows a plan is drawn from."""

    sites: Sequence[Site] = ()
    sectors: Sequence[Sector] = ()
    stops: StopColumns = field(default_factory=lambda: StopColumns.of([]))
    sightings: Sequence[Sighting] = ()
    sighted_from: Sequence[Stop] = ()  # also other surveys': sightings from there count for a fix
    photos: Sequence[Photo] = ()
    levels: Sequence[tuple[str, float]] = ()  # of each reading, by its stop's id


def lay_out(rows: Rows, plane: Plane) -> PlanMarks:
    """The marks of all rows that have a place."""
    stops = StopMarks(rows.stops, _all_at(rows.stops.at_deg, plane), rows.levels)
    known = {stop.id: stop for stop in rows.sighted_from if _has_place(stop)}
    by_site: dict[str, list[Sighting]] = defaultdict(list)
    for sighting in rows.sightings:
        if sighting.stop_id in known and sighting.bearing_deg is not None:
            by_site[sighting.site_id].append(sighting)
    fixes, refusals = _fixes(rows.sites, by_site, known, plane)
    targets = _targets(rows.sites, fixes, plane)
    names = {site.id: site.name for site in rows.sites}
    return PlanMarks(
        rays=tuple(
            _ray(sighting, known[sighting.stop_id], targets, names, plane)
            for sightings in by_site.values()
            for sighting in sightings
            if stops.position(sighting.stop_id) >= 0
        ),
        fixes=tuple(fixes),
        photos=tuple(_photos(rows.photos, plane)),
        stops=stops,
        sites=tuple(_site_marks(rows, targets)),
        hatches=hatches(rows.sites),
        refusals=refusals,
    )


def hatches(sites: Iterable[Site]) -> dict[str, int]:
    """A number for each operator, by name."""
    operators = sorted({site.operator for site in sites if site.operator})
    return {operator: number for number, operator in enumerate(operators)}


def _has_place(row: Site | Stop | Photo) -> bool:
    return row.lat_deg is not None and row.lon_deg is not None


def _at(row: Site | Stop | Photo, plane: Plane) -> Place:
    east_m, north_m = plane.to_plane(row.lat_deg, row.lon_deg)
    return Place(float(east_m), float(north_m))


def _all_at(at_deg: FloatArray, plane: Plane) -> FloatArray:
    """Places (n, 2) in the plane of latitudes and longitudes (n, 2), by one projection."""
    return np.column_stack(plane.to_plane(*at_deg.T)) if len(at_deg) else np.zeros((0, 2))


def _targets(sites: Iterable[Site], fixes: Iterable[FixMark], plane: Plane) -> dict[str, Place]:
    """Where each site stands: by its own position, else where its sightings meet."""
    targets = {fix.site.id: fix.at for fix in fixes}
    targets.update({site.id: _at(site, plane) for site in sites if _has_place(site)})
    return targets


def _site_marks(rows: Rows, targets: dict[str, Place]) -> Iterable[SiteMark]:
    for site in rows.sites:
        if site.id in targets:
            own = tuple(s for s in rows.sectors if s.site_id == site.id and boresight(s))
            yield SiteMark(site, targets[site.id], own)


def _ray(
    sighting: Sighting,
    stop: Stop,
    targets: dict[str, Place],
    names: dict[str, str],
    plane: Plane,
) -> RayMark:
    """The bearing as it was read, as long as the way to what was sighted."""
    start = _at(stop, plane)
    target = targets.get(sighting.site_id)
    length_m = sighting.distance_m or FREE_RAY_M
    if target is not None:
        length_m = hypot(target.east_m - start.east_m, target.north_m - start.north_m)
    bearing = radians(sighting.bearing_deg or 0.0)
    end = Place(start.east_m + length_m * sin(bearing), start.north_m + length_m * cos(bearing))
    known = target is not None or sighting.distance_m is not None
    return RayMark(sighting, names.get(sighting.site_id, ""), start, end, known)


def _photos(photos: Iterable[Photo], plane: Plane) -> Iterable[PhotoMark]:
    for photo in photos:
        if _has_place(photo):
            yield PhotoMark(photo, _at(photo, plane), true_direction_deg(photo))


def _fixes(
    sites: Iterable[Site],
    by_site: dict[str, list[Sighting]],
    stops: dict[str, Stop],
    plane: Plane,
) -> tuple[list[FixMark], dict[str, str]]:
    """A fix for each site sighted from two stops or more, or the reason why there is none."""
    fixes: list[FixMark] = []
    refusals: dict[str, str] = {}
    for site in sites:
        sightings = by_site.get(site.id, [])
        if len({sighting.stop_id for sighting in sightings}) < 2:
            continue
        try:
            fixes.append(_fix(site, sightings, stops, plane))
        except SurveyError as error:
            refusals[site.id] = str(error)
    return fixes, refusals


def _fix(
    site: Site, sightings: Sequence[Sighting], stops: dict[str, Stop], plane: Plane
) -> FixMark:
    from surveyapp.analysis.site_sightings import site_fix

    answer = site_fix(site, sightings, stops).fix
    east_m, north_m = plane.to_plane(answer.lat_deg, answer.lon_deg)
    at = Place(float(east_m), float(north_m))
    ring = ellipse(at, answer.ellipse_major_m, answer.ellipse_minor_m, answer.ellipse_azimuth_deg)
    return FixMark(site, at, ring, answer.ellipse_major_m, answer.ellipse_minor_m)


def ellipse(at: Place, major_m: float, minor_m: float, azimuth_deg: float) -> FloatArray:
    """The closed ring, shape (corners + 1, 2), of an ellipse by its half axes."""
    turn = np.linspace(0.0, 2 * pi, ELLIPSE_CORNERS + 1)
    along, across = major_m * np.cos(turn), minor_m * np.sin(turn)
    sine, cosine = sin(radians(azimuth_deg)), cos(radians(azimuth_deg))
    east = at.east_m + along * sine + across * cosine
    north = at.north_m + along * cosine - across * sine
    return np.column_stack([east, north])
