"""What a site's sightings tell of it: where it stands, and which way each panel faces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from surveyapp.errors import NoAnswer, SurveyError
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG
from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.geometry.heights import Elevation, Height, height_from_elevations
from surveyapp.geometry.panel_facing import Facing, PanelAzimuth, panel_azimuth
from surveyapp.geometry.sightings import Bearing, Fix, fix
from surveyapp.model import PositionFrom, Sector, Sighting, Site, Stop, View


@dataclass(frozen=True, kw_only=True, slots=True)
class SiteFix:
    """Where a site's sightings meet, how many there are, and how far that is from the place
    noted (None where none is)."""

    fix: Fix
    sightings: int
    from_noted_m: float | None

    def taken_over(self, site: Site) -> Site:
        """The site at the fix, with the radius of a circle as blurred as its ellipse."""
        (east_m2, _), (_, north_m2) = self.fix.covariance_m2
        return replace(
            site,
            lat_deg=self.fix.lat_deg,
            lon_deg=self.fix.lon_deg,
            position_sigma_m=math.sqrt(0.5 * (east_m2 + north_m2)),
            position_from=PositionFrom.SIGHTINGS,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelFacing:
    """Which way a panel faces by its sightings, and how far that is turned from what is noted
    (None where nothing is)."""

    sector: Sector
    azimuth: PanelAzimuth
    sightings: int
    from_noted_deg: float | None

    def taken_over(self) -> Sector:
        """The panel with that azimuth."""
        return replace(
            self.sector,
            azimuth_deg=self.azimuth.azimuth_deg,
            azimuth_sigma_deg=self.azimuth.sigma_deg,
        )


def bearings_of(
    sightings: Iterable[Sighting], stops: Mapping[str, Stop]
) -> list[tuple[Sighting, Bearing]]:
    """The sightings a fix is made of, each with its bearing: not those whose view is blocked,
    and only from stops that have a position."""
    return [
        (one, bearing)
        for one in sightings
        if one.view is not View.BLOCKED
        and (stop := stops.get(one.stop_id)) is not None
        and (bearing := _bearing(one, stop)) is not None
    ]


def site_fix(site: Site, sightings: Sequence[Sighting], stops: Mapping[str, Stop]) -> SiteFix:
    """The fix of a site; sightings with a blocked view take no part.

    Raises NoAnswer, with the reason, where they determine none.
    """
    own = [one for one in sightings if one.site_id == site.id]
    bearings = [bearing for _, bearing in bearings_of(own, stops)]
    found = fix(bearings)
    noted = site.lat_deg is not None and site.lon_deg is not None
    apart = inverse(site.lat_deg, site.lon_deg, found.lat_deg, found.lon_deg) if noted else None  # type: ignore[arg-type]
    return SiteFix(
        fix=found, sightings=len(bearings), from_noted_m=apart.distance_m if apart else None
    )


def site_height(
    site: Site, sightings: Sequence[Sighting], stops: Mapping[str, Stop]
) -> tuple[Height, int] | None:
    """The height its elevations tell above the street, and how many they are; None without any.

    Distances are those told with the sightings, else from each stop to the place noted.
    """
    elevations = [
        found
        for one in sightings
        if one.site_id == site.id and one.view is not View.BLOCKED
        if (found := _elevation(one, stops.get(one.stop_id), site)) is not None
    ]
    return (height_from_elevations(elevations), len(elevations)) if elevations else None


def panel_facings(
    sectors: Sequence[Sector], sightings: Sequence[Sighting]
) -> tuple[PanelFacing, ...]:
    """The panels whose turn was seen, in their order; those whose sightings cancel are left out."""
    told = []
    for sector in sectors:
        facings = [
            Facing(one.bearing_deg, one.facing_deg, one.sigma_deg or COMPASS_SIGMA_DEG)
            for one in sightings
            if one.sector_id == sector.id
            and one.bearing_deg is not None
            and one.facing_deg is not None
        ]
        try:
            azimuth = panel_azimuth(facings)
        except NoAnswer:
            continue
        noted = sector.azimuth_deg
        turned = None if noted is None else angle_between_deg(noted, azimuth.azimuth_deg)
        told.append(
            PanelFacing(
                sector=sector, azimuth=azimuth, sightings=len(facings), from_noted_deg=turned
            )
        )
    return tuple(told)


def fix_or_reason(
    site: Site, sightings: Sequence[Sighting], stops: Mapping[str, Stop]
) -> SiteFix | str:
    """The fix, or in a sentence why there is none."""
    try:
        return site_fix(site, sightings, stops)
    except SurveyError as error:
        return str(error)


def _elevation(sighting: Sighting, stop: Stop | None, site: Site) -> Elevation | None:
    """None where there is no elevation, no distance, or a value no sighting can have."""
    if sighting.elevation_deg is None:
        return None
    distance_m, sigma_m = sighting.distance_m, 0.0
    if distance_m is None:
        if stop is None or stop.lat_deg is None or stop.lon_deg is None:
            return None
        if site.lat_deg is None or site.lon_deg is None:
            return None
        apart = inverse(stop.lat_deg, stop.lon_deg, site.lat_deg, site.lon_deg)
        distance_m = apart.distance_m
        sigma_m = math.hypot(stop.position_sigma_m or 0.0, site.position_sigma_m or 0.0)
    try:
        return Elevation(sighting.elevation_deg, distance_m, distance_sigma_m=sigma_m)
    except SurveyError:
        return None


def _bearing(sighting: Sighting, stop: Stop) -> Bearing | None:
    if stop.lat_deg is None or stop.lon_deg is None or sighting.bearing_deg is None:
        return None
    return Bearing(
        stop.lat_deg,
        stop.lon_deg,
        sighting.bearing_deg,
        sigma_deg=COMPASS_SIGMA_DEG if sighting.sigma_deg is None else sighting.sigma_deg,
        position_sigma_m=stop.position_sigma_m or 0.0,
        distance_m=sighting.distance_m,
    )
