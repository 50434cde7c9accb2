"""How far the surveyed 5G panels cover, and where between two of their sites it breaks."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from surveyapp.analysis.coverage import (
    BoresightRange,
    Cover,
    Roofs,
    SectorLevels,
    SectorPanel,
    boresight_range,
    cover,
    sector_levels,
    settled_readings,
)
from surveyapp.analysis.expectation import StopExpectations
from surveyapp.analysis.gaps import RouteCover, gaps_between
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.sector_fit import SectorFit
from surveyapp.analysis.sector_panel import BoolArray, FloatArray
from surveyapp.analysis.sector_readings import sector_pcis
from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.errors import SurveyError
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, Rat, Reading, Sector, Site, Stop
from surveyapp.report.record import SurveyRecord

STEP_M = 10.0
BEYOND_M = 120.0  # the grid reaches so far beyond the outermost stop or site
FARTHEST_HALF_M = 1500.0  # a larger survey is not drawn as one piece
LOOKS_KEPT = 16  # panels of one place follow one another; each look holds a whole grid


class _SharedSight(Roofs):
    """Walls that are looked past once for all panels that hang at one place."""

    def __init__(self, buildings: Sequence[Building]) -> None:
        super().__init__(buildings)
        self._seen: deque[tuple[tuple[object, ...], FloatArray, FloatArray, BoolArray]]
        self._seen = deque(maxlen=LOOKS_KEPT)

    def clear_from(
        self, panel: SectorPanel, plane: Plane, east_m: FloatArray, north_m: FloatArray
    ) -> BoolArray:
        """True, of the places' shape, where the panel is in sight of a phone."""
        key = (panel.lat_deg, panel.lon_deg, panel.height_m, plane)
        for held, east, north, clear in self._seen:
            if held == key and east is east_m and north is north_m:
                return clear
        found = super().clear_from(panel, plane, east_m, north_m)
        self._seen.append((key, east_m, north_m, found))
        return found


@dataclass(frozen=True, kw_only=True)
class PanelCover:
    """One panel: its level model, and its range along the boresight or why there is none."""

    name: str
    levels: SectorLevels
    range: BoresightRange | None
    why_not: str = ""

    @property
    def fit(self) -> SectorFit | None:
        """The fit, where the readings allow one."""
        model = self.levels.model
        return model if isinstance(model, SectorFit) else None


@dataclass(frozen=True, kw_only=True)
class CoverAccount:
    """Cover at a threshold by all 5G panels that can be modelled; `cover` None says `why_not`.

    `ways` are the shortest ways on foot between neighbouring sites, by the sites' names.
    """

    threshold_dbm: float
    panels: tuple[PanelCover, ...] = ()
    cover: Cover | None = None
    ways: tuple[tuple[str, RouteCover], ...] = ()
    why_not: tuple[str, ...] = ()


def cover_account(
    record: SurveyRecord,
    expectations: Sequence[StopExpectations],
    offsets: Mapping[str, PhoneOffset],
    threshold_dbm: float,
) -> CoverAccount:
    """Fit what can be fitted, and draw the cover of all 5G panels together."""
    attributed = settled_readings(a for expected in expectations for a in expected.answers)
    panels: list[PanelCover] = []
    reasons: list[str] = []
    for sector in record.of(Sector):
        site = next((site for site in record.of(Site) if site.id == sector.site_id), None)
        if site is None or Rat.NR not in sector_pcis(sector):
            continue
        try:
            levels = sector_levels(
                site, sector, record.of(Stop), record.of(Reading),
                offsets=offsets, attributed=attributed, buildings=record.ground.buildings,
            )  # fmt: skip
        except SurveyError as reason:
            reasons.append(str(reason))
            continue
        panels.append(_panel(f"{site.name} {sector.label}".strip(), levels, threshold_dbm))
    if not panels:
        return CoverAccount(threshold_dbm=threshold_dbm, why_not=tuple(dict.fromkeys(reasons)))
    roofs = _SharedSight(record.ground.buildings) if record.ground.buildings else None
    drawn = _drawn(record, panels, threshold_dbm, roofs, reasons)
    return CoverAccount(
        threshold_dbm=threshold_dbm,
        panels=tuple(panels),
        cover=drawn,
        ways=_ways(record, panels, threshold_dbm, roofs, reasons),
        why_not=tuple(dict.fromkeys(reasons)),
    )


def _panel(name: str, levels: SectorLevels, threshold_dbm: float) -> PanelCover:
    if not isinstance(levels.model, SectorFit):
        return PanelCover(name=name, levels=levels, range=None, why_not=levels.why_not)
    try:
        reach = boresight_range(levels.model, threshold_dbm)
    except SurveyError as reason:
        return PanelCover(name=name, levels=levels, range=None, why_not=str(reason))
    return PanelCover(name=name, levels=levels, range=reach)


def _drawn(
    record: SurveyRecord,
    panels: Sequence[PanelCover],
    threshold_dbm: float,
    roofs: Roofs | None,
    reasons: list[str],
) -> Cover | None:
    """The chance of cover over a square that holds the panels and the stops."""
    places = [(p.levels.model.panel.lat_deg, p.levels.model.panel.lon_deg) for p in panels]
    places += [
        (stop.lat_deg, stop.lon_deg)
        for stop in record.of(Stop)
        if stop.lat_deg is not None and stop.lon_deg is not None
    ]
    first = Plane(*places[0])
    east, north = first.to_plane(*np.array(places).T)
    middle = ((np.min(east) + np.max(east)) / 2.0, (np.min(north) + np.max(north)) / 2.0)
    half_m = max(np.ptp(east), np.ptp(north)) / 2.0 + BEYOND_M
    if half_m > FARTHEST_HALF_M:
        reasons.append("The survey is too wide to draw its cover in one piece.")
        return None
    lat_deg, lon_deg = first.to_world(*middle)
    half_m = STEP_M * np.ceil(half_m / STEP_M)
    return cover(
        [panel.levels.model for panel in panels],
        threshold_dbm,
        centre_deg=(float(lat_deg), float(lon_deg)),
        half_m=float(half_m),
        step_m=STEP_M,
        roofs=roofs,
    )


def _ways(
    record: SurveyRecord,
    panels: Sequence[PanelCover],
    threshold_dbm: float,
    roofs: Roofs | None,
    reasons: list[str],
) -> tuple[tuple[str, RouteCover], ...]:
    """Cover along the streets from each site with a 5G panel to its neighbours."""
    if not record.ground.streets:
        return ()
    models = [panel.levels.model for panel in panels]
    held = {model.panel.site_id for model in models}
    found = []
    try:
        network = StreetNetwork(record.ground.streets)
        for one, other in neighbours([site for site in record.of(Site) if site.id in held]):
            start, end = ((site.lat_deg or 0.0, site.lon_deg or 0.0) for site in (one, other))
            way = gaps_between(network, start, end, models, threshold_dbm, roofs=roofs)
            found.append((f"{one.name} to {other.name}", way))
    except SurveyError as reason:
        reasons.append(str(reason))
    return tuple(found)


def neighbours(sites: Sequence[Site]) -> list[tuple[Site, Site]]:
    """Pairs of sites with no third one between them (Gabriel graph), the nearest first.

    K. R. Gabriel and R. R. Sokal, A new statistical approach to geographic variation analysis,
    Systematic Zoology 18 (1969) 259-278: two are neighbours where the circle over the line
    between them holds no other.
    """
    placed = [site for site in sites if site.lat_deg is not None and site.lon_deg is not None]
    far = {(a.id, b.id): _distance_m(a, b) for a in placed for b in placed}
    pairs = [
        (a, b)
        for a, b in combinations(placed, 2)
        if not any(
            far[a.id, c.id] ** 2 + far[b.id, c.id] ** 2 < far[a.id, b.id] ** 2
            for c in placed
            if c.id not in (a.id, b.id)
        )
    ]
    return sorted(pairs, key=lambda pair: far[pair[0].id, pair[1].id])


def _distance_m(one: Site, other: Site) -> float:
    return inverse(
        one.lat_deg or 0.0, one.lon_deg or 0.0, other.lat_deg or 0.0, other.lon_deg or 0.0
    ).distance_m
