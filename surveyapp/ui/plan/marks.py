"""What the notebook knows, laid out in the plane: the marks of the plan and nothing of ink."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import cos, hypot, pi, radians, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import SurveyError
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import NorthReference, Photo, Sector, Sighting, Site, Stop, View

FloatArray = NDArray[np.float64]

FREE_RAY_M = 150.0  # a bearing to something whose place is not known yet
ELLIPSE_CORNERS = 72
TWO_DIMENSIONS_95 = 2.4477  # square root of 5.991, chi-square with 2 degrees of freedom at 95 %
DEFAULT_BEAMWIDTH_DEG = 65.0  # TR 38.901 table 7.3-1


class Place(NamedTuple):
    """A place in the plane."""

    east_m: float
    north_m: float


@dataclass(frozen=True, slots=True)
class SiteMark:
    """A site where it stands, with those of its sectors whose azimuth is known."""

    site: Site
    at: Place
    sectors: tuple[Sector, ...] = ()

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.site.id


@dataclass(frozen=True, slots=True)
class StopMark:
    """A stop where the surveyor stood."""

    stop: Stop
    at: Place

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.stop.id


@dataclass(frozen=True, slots=True)
class RayMark:
    """A sighting as a line from its stop; `ends_somewhere` is False for a bare bearing."""

    sighting: Sighting
    site_name: str
    start: Place
    end: Place
    ends_somewhere: bool

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.sighting.id


@dataclass(frozen=True, slots=True)
class FixMark:
    """What the sightings of a site say together: a place and its 95 % ellipse, as a ring."""

    site: Site
    at: Place
    ring_m: FloatArray
    major_m: float
    minor_m: float

    @property
    def sigma_m(self) -> float:
        """One standard deviation along the long axis, of the 95 % that the ring holds."""
        return self.major_m / TWO_DIMENSIONS_95

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.site.id


@dataclass(frozen=True, slots=True)
class PhotoMark:
    """A photo where it was taken; `direction_deg` is None where it is not known to be true."""

    photo: Photo
    at: Place
    direction_deg: float | None

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.photo.id


Mark = SiteMark | StopMark | RayMark | FixMark | PhotoMark


@dataclass(frozen=True, slots=True)
class PlanMarks:
    """Everything to be drawn over the ground; a later list lies on top of an earlier one."""

    rays: tuple[RayMark, ...] = ()
    fixes: tuple[FixMark, ...] = ()
    photos: tuple[PhotoMark, ...] = ()
    stops: tuple[StopMark, ...] = ()
    sites: tuple[SiteMark, ...] = ()
    refusals: dict[str, str] = field(default_factory=dict)
    """Why the sightings of a site give no fix, by the site's id."""

    def points(self) -> tuple[SiteMark | StopMark | PhotoMark | FixMark, ...]:
        """All that stands at one place, what matters most first."""
        return (*self.sites, *self.stops, *self.photos, *self.fixes)

    def all(self) -> tuple[Mark, ...]:
        """Every mark."""
        return (*self.points(), *self.rays)

    def box_m(self) -> tuple[float, float, float, float] | None:
        """(west, south, east, north) of all places, or None where there is none."""
        places = [mark.at for mark in self.points()]
        if not places:
            return None
        east, north = zip(*places, strict=True)
        return min(east), min(north), max(east), max(north)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows a plan is drawn from."""

    sites: Sequence[Site] = ()
    sectors: Sequence[Sector] = ()
    stops: Sequence[Stop] = ()
    sightings: Sequence[Sighting] = ()
    photos: Sequence[Photo] = ()


def lay_out(rows: Rows, plane: Plane) -> PlanMarks:
    """The marks of all rows that have a place."""
    stops = {stop.id: stop for stop in rows.stops if _has_place(stop)}
    by_site: dict[str, list[Sighting]] = defaultdict(list)
    for sighting in rows.sightings:
        if sighting.stop_id in stops and sighting.bearing_deg is not None:
            by_site[sighting.site_id].append(sighting)
    fixes, refusals = _fixes(rows.sites, by_site, stops, plane)
    targets = _targets(rows.sites, fixes, plane)
    names = {site.id: site.name for site in rows.sites}
    return PlanMarks(
        rays=tuple(
            _ray(sighting, stops[sighting.stop_id], targets, names, plane)
            for sightings in by_site.values()
            for sighting in sightings
        ),
        fixes=tuple(fixes),
        photos=tuple(_photos(rows.photos, plane)),
        stops=tuple(StopMark(stop, _at(stop, plane)) for stop in stops.values()),
        sites=tuple(_site_marks(rows, targets)),
        refusals=refusals,
    )


def boresight(sector: Sector) -> tuple[float, float] | None:
    """(azimuth_deg, beamwidth_deg) to draw, or None for a sector without an azimuth."""
    if sector.azimuth_deg is None:
        return None
    return sector.azimuth_deg, sector.beamwidth_deg or DEFAULT_BEAMWIDTH_DEG


def ellipse(at: Place, major_m: float, minor_m: float, azimuth_deg: float) -> FloatArray:
    """The closed ring, shape (corners + 1, 2), of an ellipse by its half axes."""
    turn = np.linspace(0.0, 2 * pi, ELLIPSE_CORNERS + 1)
    along, across = major_m * np.cos(turn), minor_m * np.sin(turn)
    sine, cosine = sin(radians(azimuth_deg)), cos(radians(azimuth_deg))
    east = at.east_m + along * sine + across * cosine
    north = at.north_m + along * cosine - across * sine
    return np.column_stack([east, north])


def _has_place(row: Site | Stop | Photo) -> bool:
    return row.lat_deg is not None and row.lon_deg is not None


def _at(row: Site | Stop | Photo, plane: Plane) -> Place:
    east_m, north_m = plane.to_plane(row.lat_deg, row.lon_deg)
    return Place(float(east_m), float(north_m))


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
            true = photo.direction_reference is NorthReference.TRUE
            yield PhotoMark(photo, _at(photo, plane), photo.direction_deg if true else None)


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
    from surveyapp.geometry.sightings import Bearing, fix

    answer = fix([Bearing(**_bearing(sighting, stops[sighting.stop_id])) for sighting in sightings])
    east_m, north_m = plane.to_plane(answer.lat_deg, answer.lon_deg)
    at = Place(float(east_m), float(north_m))
    ring = ellipse(at, answer.ellipse_major_m, answer.ellipse_minor_m, answer.ellipse_azimuth_deg)
    return FixMark(site, at, ring, answer.ellipse_major_m, answer.ellipse_minor_m)


def _bearing(sighting: Sighting, stop: Stop) -> dict[str, float | None]:
    told = {
        "lat_deg": stop.lat_deg,
        "lon_deg": stop.lon_deg,
        "bearing_deg": sighting.bearing_deg,
        "position_sigma_m": stop.position_sigma_m or 0.0,
        "distance_m": sighting.distance_m,
    }
    if sighting.sigma_deg is not None:
        told["sigma_deg"] = sighting.sigma_deg
    return told


def seen_clearly(ray: RayMark) -> bool:
    """Whether the ray is drawn through: nothing was said to stand in its way."""
    return ray.sighting.view in (None, View.CLEAR)
