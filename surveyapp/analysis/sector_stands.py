"""Sectors nobody has stood in yet, and where to stand in them.

Standing in a sector means: on its boresight (within half its beamwidth), in view of its
panel, 30 to 150 m off. Nearer, its beam passes overhead; farther, others come in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.sector_panel import BoolArray, FloatArray, SectorPanel
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.stand import MOST_STANDS, Stand, best_apart, stand_at
from surveyapp.analysis.standing_places import StandingPlaces
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.places import StreetIndex
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import LatLon

NEAREST_M, FARTHEST_M = 30.0, 150.0
USUAL_M = 70.0  # about where a street-level beam meets the street; common practice


@dataclass(frozen=True, kw_only=True, slots=True)
class SectorStand:
    """A place within a sector nobody stood in: how far off its boresight, and how far away."""

    stand: Stand
    panel: SectorPanel
    off_boresight_deg: float
    distance_m: float


def unvisited(
    panels: Sequence[SectorPanel], stops_deg: Sequence[LatLon], roofs: Roofs | None = None
) -> tuple[SectorPanel, ...]:
    """The panels of known azimuth in whose sector no stop lies."""
    left: list[SectorPanel] = []
    known = [panel for panel in panels if panel.azimuth_deg is not None]
    if not known:
        return ()
    plane = Plane(known[0].lat_deg, known[0].lon_deg)
    for panel in known:
        near = [
            stop
            for stop in stops_deg
            if inverse(*stop, panel.lat_deg, panel.lon_deg).distance_m <= FARTHEST_M
        ]
        east, north = plane.to_plane([s[0] for s in near], [s[1] for s in near])
        if not _within(panel, plane, east, north, roofs).any():
            left.append(panel)
    return tuple(left)


def sector_stands(
    panels: Sequence[SectorPanel],
    stops_deg: Sequence[LatLon],
    here_deg: LatLon,
    places_about: Callable[[LatLon], StandingPlaces],
    streets: StreetIndex,
    *,
    roofs: Roofs | None = None,
    radius_m: float,
    most: int = MOST_STANDS,
) -> tuple[SectorStand, ...]:
    """The best place in each sector nobody stood in, for up to `most` sectors, nearest first.

    Sectors within `radius_m` of `here_deg` are looked at; `places_about` gives the places
    around a site. Raises NoAnswer where somebody stood in every sector, where all those left
    are farther away, and where none of them can be stood in.
    """
    left = unvisited(panels, stops_deg, roofs)
    if not left:
        raise NoAnswer("Somebody stood in every sector of known azimuth: none is left.")
    near = _nearest(left, here_deg, radius_m)
    held: dict[LatLon, StandingPlaces | None] = {}
    found: list[SectorStand] = []
    for panel, away_m in near:
        walks = sorted(one.stand.walk_m for one in found)
        if len(walks) >= most and away_m - FARTHEST_M > walks[most - 1]:
            break  # no walk there is as short as those found
        places = _places_of(panel, held, places_about)
        if places is None:
            continue
        off, away = _seen(panel, places.plane, places.east_m, places.north_m)
        usable = _within(panel, places.plane, places.east_m, places.north_m, roofs)
        lost_db = 12.0 * (off / panel.beamwidth_deg) ** 2 + np.abs(
            20.0 * np.log10(np.maximum(away, 1.0) / USUAL_M)
        )
        for index in best_apart(places, np.where(usable, -lost_db, -np.inf), 1):
            found.append(
                SectorStand(
                    stand=stand_at(places, index, streets),
                    panel=panel,
                    off_boresight_deg=float(off[index]),
                    distance_m=float(away[index]),
                )
            )
    if not found:
        names = ", ".join(panel.name for panel, _ in near[:4])
        raise NoAnswer(
            f"No street nearby leads into a sector nobody stood in ({names}): "
            "look from farther off, or bring in a larger ground."
        )
    return tuple(sorted(found, key=lambda one: one.stand.walk_m)[:most])


def _nearest(
    left: Sequence[SectorPanel], here_deg: LatLon, radius_m: float
) -> list[tuple[SectorPanel, float]]:
    """The panels within reach and how far they are, the nearest first."""
    away = [(panel, inverse(*here_deg, panel.lat_deg, panel.lon_deg).distance_m) for panel in left]
    away.sort(key=lambda one: one[1])
    near = [one for one in away if one[1] <= radius_m]
    if not near:
        panel, away_m = away[0]
        raise NoAnswer(
            f"The nearest sector nobody stood in, {panel.name}, is {away_m:.0f} m away: "
            f"go nearer than {radius_m:.0f} m and ask again."
        )
    return near


def _places_of(
    panel: SectorPanel,
    held: dict[LatLon, StandingPlaces | None],
    places_about: Callable[[LatLon], StandingPlaces],
) -> StandingPlaces | None:
    """The places around a panel, worked out once for a site; None where there are none."""
    about = (panel.lat_deg, panel.lon_deg)
    if about not in held:
        try:
            held[about] = places_about(about)
        except NoAnswer:
            held[about] = None
    return held[about]


def _within(
    panel: SectorPanel, plane: Plane, east_m: FloatArray, north_m: FloatArray, roofs: Roofs | None
) -> BoolArray:
    """Which places lie in the sector, in view of the panel."""
    off, away = _seen(panel, plane, east_m, north_m)
    inside = (off <= panel.beamwidth_deg / 2.0) & (away >= NEAREST_M) & (away <= FARTHEST_M)
    if roofs is not None and inside.any():
        inside[inside] = roofs.clear_from(panel, plane, east_m[inside], north_m[inside])
    return np.asarray(inside)


def _seen(
    panel: SectorPanel, plane: Plane, east_m: FloatArray, north_m: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Degrees off boresight, 0 to 180, and metres from the panel."""
    own_east, own_north = plane.to_plane(panel.lat_deg, panel.lon_deg)
    east, north = east_m - own_east, north_m - own_north
    turn = np.degrees(np.arctan2(east, north)) - panel.known_azimuth_deg()
    return np.abs(np.remainder(turn + 180.0, 360.0) - 180.0), np.hypot(east, north)
