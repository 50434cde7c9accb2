"""What the ground holds along the line from a stop to a site: buildings and trees."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from surveyapp.analysis.levels import USER_HEIGHT_M, FloatArray
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving import Candidate
from surveyapp.model import Furniture, FurnitureKind, Ground, LatLon, Site, StopScene

CROWN_M_UP = (2.5, 10.0)  # between which heights a street tree has leaves; our assumption
TREE_REACH_M = 4.0  # a tree this near the line may stand in it; our assumption
SPARE_DEG = 1e-4  # some metres around stop and site


class LineGround:
    """The ground of one stop, made ready to be asked along several lines."""

    def __init__(self, scene: StopScene) -> None:
        self._stop = scene.stop
        self._buildings = [one for one in scene.ground.buildings if one.outline_deg]
        self._boxes = _boxes([one.outline_deg for one in self._buildings])
        self._trees = [f for f in scene.ground.furniture if f.kind is FurnitureKind.TREE]
        self._tree_boxes = _boxes([((tree.lat_deg, tree.lon_deg),) for tree in self._trees])
        self._known: dict[str, Ground] = {}

    def along(self, site: Site) -> Ground:
        """The buildings and trees that may stand on the line to a site."""
        if site.id not in self._known:
            self._known[site.id] = self._along(site)
        return self._known[site.id]

    def trees_between(self, candidate: Candidate, trees: Sequence[Furniture]) -> int:
        """How many trees stand near the line, where it runs at the height of their leaves."""
        if not trees or self._stop.lat_deg is None or self._stop.lon_deg is None:
            return 0
        plane = Plane(self._stop.lat_deg, self._stop.lon_deg)
        site = np.array(plane.to_plane(candidate.lat_deg, candidate.lon_deg))
        east, north = plane.to_plane([t.lat_deg for t in trees], [t.lon_deg for t in trees])
        length = max(float(np.hypot(*site)), 1.0)
        share = (east * site[0] + north * site[1]) / length**2
        aside = np.abs(east * site[1] - north * site[0]) / length
        height = USER_HEIGHT_M + share * (candidate.height_m - USER_HEIGHT_M)
        inside = (share > 0.0) & (share < 1.0) & (aside <= TREE_REACH_M)
        return int(np.sum(inside & (height >= CROWN_M_UP[0]) & (height <= CROWN_M_UP[1])))

    def _along(self, site: Site) -> Ground:
        places = (self._stop.lat_deg, self._stop.lon_deg, site.lat_deg, site.lon_deg)
        if any(place is None for place in places):
            return Ground()
        lat, lon, site_lat, site_lon = (float(place or 0.0) for place in places)
        low = np.minimum([lat, lon], [site_lat, site_lon]) - SPARE_DEG
        high = np.maximum([lat, lon], [site_lat, site_lon]) + SPARE_DEG
        near = [self._buildings[at] for at in _touching(self._boxes, low, high)]
        trees = [self._trees[at] for at in _touching(self._tree_boxes, low, high)]
        # where none is near, any one building says that the ground is known and the line free
        return Ground(buildings=tuple(near or self._buildings[:1]), furniture=tuple(trees))


def _boxes(outlines_deg: Sequence[Sequence[LatLon]]) -> FloatArray:
    """South, west, north, east (outlines, 4) of outlines in degrees."""
    if not outlines_deg:
        return np.empty((0, 4))
    points = np.concatenate([np.asarray(outline, dtype=np.float64) for outline in outlines_deg])
    starts = np.cumsum([0, *(len(outline) for outline in outlines_deg[:-1])])
    return np.hstack(
        [np.minimum.reduceat(points, starts, axis=0), np.maximum.reduceat(points, starts, axis=0)]
    )


def _touching(boxes: FloatArray, low: FloatArray, high: FloatArray) -> list[int]:
    """Which boxes meet the box from `low` to `high` (lat, lon)."""
    meets = (boxes[:, :2] <= high).all(axis=1) & (boxes[:, 2:] >= low).all(axis=1)
    return [int(at) for at in np.flatnonzero(meets)]
