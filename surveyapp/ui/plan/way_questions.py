"""Ways on the streets, asked of the notebook: gaps between two sites, a walk to the leads."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from typing import TYPE_CHECKING

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Ground, LatLon, Sector, Site
from surveyapp.ui.plan.answers import Answer, ChanceStrip, Figure, line_of, place_of
from surveyapp.ui.plan.cards import length_text
from surveyapp.ui.plan.cover_questions import ReadLevels, read_levels
from surveyapp.ui.plan.findings import CheckedPlace, Finding, FindingLine, LineKind, StandMark
from surveyapp.ui.plan.stand_questions import FARTHEST_M, ground_between
from surveyapp.ui.plan.work import Question
from surveyapp.ui.session import Session
from surveyapp.ui.words import number, share

if TYPE_CHECKING:
    from surveyapp.analysis.coverage import LevelModel, Roofs
    from surveyapp.analysis.gaps import Gap, RouteCover

BESIDE_M = 250.0
SITES_WITHIN_M = 400.0  # of either end: others' panels may cover the way too
STREET_M = 1500.0  # about a place, so far a street is followed


def gaps_from_to(
    session: Session, plane: Plane, one: Site, other: Site, threshold_dbm: float
) -> Question[Answer]:
    """Cover along the way between two sites, by all panels near it."""
    from surveyapp.analysis.cover_chance import check_threshold

    check_threshold(threshold_dbm)
    ends = (_place(one), _place(other))
    if inverse(*ends[0], *ends[1]).distance_m > 2 * FARTHEST_M:
        raise NoAnswer("These sites are more than 5 km apart: choose two that are nearer.")
    read = yield from _read_panels(session, ends)
    ground = ground_between(session, ends, BESIDE_M)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.gaps import gaps_between
        from surveyapp.analysis.street_network import StreetNetwork

        found = gaps_between(
            StreetNetwork(ground.streets), *ends, read.models(ground), threshold_dbm,
            roofs=_roofs(ground),
        )  # fmt: skip
        return _gaps_answer(found, plane, f"{one.name} to {other.name}")

    return reckon


def gaps_along_street(
    session: Session, plane: Plane, name: str, near_deg: LatLon, threshold_dbm: float
) -> Question[Answer]:
    """Cover along the street of this name about a place, by all panels near it."""
    from surveyapp.analysis.cover_chance import check_threshold
    from surveyapp.analysis.named_street import street_route
    from surveyapp.analysis.street_network import StreetNetwork

    check_threshold(threshold_dbm)
    streets = session.notebook.ground.around(*near_deg, STREET_M).streets
    yield
    network = StreetNetwork(streets)
    route = street_route(network, name)
    read = yield from _read_panels(session, [tuple(at) for at in route.points_deg.tolist()])
    ground = ground_between(session, [route.points_deg[0], route.points_deg[-1]], BESIDE_M)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.gaps import gaps_along

        found = gaps_along(network, route, read.models(ground), threshold_dbm, roofs=_roofs(ground))
        return _gaps_answer(found, plane, name)

    return reckon


def street_names_near(session: Session, at_deg: LatLon) -> list[str]:
    """The named streets of the ground about a place, the nearest first."""
    from surveyapp.geometry.places import StreetIndex

    streets = session.notebook.ground.around(*at_deg, STREET_M).streets
    return StreetIndex(streets).names_by_distance(*at_deg)


@dataclass(frozen=True, slots=True)
class _Panels:
    """What bears on the levels of all panels near a way."""

    read: ReadLevels
    sites: tuple[tuple[Site, tuple[Sector, ...]], ...]

    def models(self, ground: Ground) -> list[LevelModel]:
        """The best model there is of each panel that can be modelled."""
        models = []
        for site, sectors in self.sites:
            for sector in sectors:
                try:
                    levels = self.read.levels(site, sector, ground.buildings)
                except NoAnswer:
                    continue  # a panel without an azimuth covers nothing that could be told
                models.append(levels.model)
        return models


def _read_panels(session: Session, places: Sequence[LatLon]) -> Generator[None, None, _Panels]:
    near = [site for site in session.sites if site.lat_deg is not None and _is_near(site, places)]
    sectors = session.notebook.all(Sector)
    read = yield from read_levels(session, near)
    own = ((site, tuple(s for s in sectors if s.site_id == site.id)) for site in near)
    return _Panels(read, tuple(own))


def _roofs(ground: Ground) -> Roofs | None:
    from surveyapp.analysis.coverage import Roofs

    return Roofs(ground.buildings) if ground.buildings else None


def walk_to_leads(session: Session, plane: Plane, leads: Iterable[Site]) -> Question[Answer]:
    """A short way on foot from where one is to all the leads."""
    placed = [lead for lead in leads if lead.lat_deg is not None]
    if not placed:
        raise NoAnswer("No lead has a place yet: hold the plan where one should be.")
    stop = session.stop
    placed_stop = stop is not None and stop.lat_deg is not None
    here = (stop.lat_deg, stop.lon_deg) if placed_stop else _place(placed[0])
    yield
    ground = ground_between(session, [here, *map(_place, placed)], BESIDE_M)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.street_network import StreetNetwork
        from surveyapp.analysis.tour import walking_order

        tour = walking_order(StreetNetwork(ground.streets), here, [_place(p) for p in placed])
        way = tuple(FindingLine(LineKind.WAY, line_of(leg.points_deg, plane)) for leg in tour.legs)
        stands, figures = [], []
        for nth, (index, leg) in enumerate(zip(tour.order, tour.legs, strict=True)):
            lead = placed[index]
            letter = ascii_uppercase[nth % 26]
            said = (f"{length_text(leg.walk_m)} on foot from the one before",)
            at = place_of(_place(lead), plane)
            stands.append(StandMark(letter, lead.name, said, at, *_place(lead), lead.id))
            figures.append(
                Figure(f"{letter}: {lead.name}", length_text(leg.walk_m), icon="site",
                       row_id=lead.id)
            )  # fmt: skip
        title = "Walk to the leads"
        says = (f"{length_text(tour.walk_m)} on foot to {len(placed)} of them.",)
        return Answer(title, says, Finding(title, way, tuple(stands)), tuple(figures))

    return reckon


def _gaps_answer(found: RouteCover, plane: Plane, between: str) -> Answer:
    lines = [FindingLine(LineKind.WAY, line_of(found.route.points_deg, plane))]
    for gap in found.gaps:
        corners = found.route.along_m
        inside = corners[(corners > gap.from_m) & (corners < gap.to_m)]
        along = np.array([gap.from_m, *inside, gap.to_m])
        lines.append(FindingLine(LineKind.GAP, line_of(found.route.at(along), plane)))
    checked = tuple(
        CheckedPlace(place_of((one.place.lat_deg, one.place.lon_deg), plane), one.covered)
        for one in found.measured
    )
    title = f"{between} at {number(found.threshold_dbm, 0)} dBm"
    strip = ChanceStrip(
        found.along_m,
        found.chance,
        found.required,
        tuple((gap.from_m, gap.to_m) for gap in found.gaps),
        tuple((one.along_m, one.covered) for one in found.measured),
    )
    figures = tuple(gap_figure(gap, found.required) for gap in found.gaps)
    return Answer(
        title, (found.sentence,), Finding(title, tuple(lines), (), checked), figures, strip
    )


def gap_figure(gap: Gap, required: float) -> Figure:
    """A gap's length, where it is, and how likely cover still is in it."""
    ends = f"{length_text(gap.from_m)} to {length_text(gap.to_m)} along the way"
    least = f"below {share(required)}: chance {share(gap.lowest_chance)} at least"
    lines = (gap.place_text, ends, least)
    text = f"Gap of {length_text(gap.length_m)}"
    return Figure(text, detail="\n".join(line for line in lines if line), icon="measure")


def _is_near(site: Site, places: Sequence[LatLon]) -> bool:
    here = _place(site)
    return any(inverse(*here, *place).distance_m <= SITES_WITHIN_M for place in places)


def _place(site: Site) -> LatLon:
    if site.lat_deg is None or site.lon_deg is None:
        raise NoAnswer(f"{site.name} has no position: sight it from two stops or set it by hand.")
    return site.lat_deg, site.lon_deg
