"""Where to stand next, asked of the notebook: for a fix, for an answer, for new sectors."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from typing import TYPE_CHECKING

from surveyapp.errors import NoAnswer
from surveyapp.geometry.date_line import amid
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Ground, LatLon, Rat, Reading, Sector, Sighting, Site, Stop
from surveyapp.ui.plan.answers import Answer, stand_marks, stands_answer
from surveyapp.ui.plan.cards import length_text
from surveyapp.ui.plan.work import Question
from surveyapp.ui.session import Session
from surveyapp.ui.words import degrees, number, position_from_text, share

if TYPE_CHECKING:
    from surveyapp.analysis.fix_stands import Ellipse, FixStand

MARGIN_M = 500.0  # of streets around what is asked about
FARTHEST_M = 2500.0
QUARTER_M = 1050.0  # sectors within 900 m are looked at, each from 150 m at most
PORTION = 400  # stops whose readings are read in one frame


def where_to_sight(session: Session, plane: Plane, site: Site) -> Question[Answer]:
    """Which place shrinks the fix of a site most."""
    from surveyapp.analysis.site_sightings import bearings_of

    sightings = session.notebook.all(Sighting, site_id=site.id)
    stops = {stop.id: stop for stop in _stops_of(session, sightings)}
    bearings = [bearing for _, bearing in bearings_of(sightings, stops)]
    own = _place(site)
    about = own or next((_place(stop) for stop in stops.values()), None)
    if about is None:
        raise NoAnswer(f"Nothing tells where {site.name} is: sight it from a stop first.")
    here = _here(session) or about
    yield
    ground = _ground(session, here, about)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.next_stand import NextStand

        found = NextStand(ground, here).for_fix(
            bearings,
            height_m=site.height_m or 8.0,
            rough_deg=own,
            rough_sigma_m=site.position_sigma_m or 30.0,
        )
        told = [(one.stand, _what_it_shrinks(one), _what_to_see(one, site)) for one in found]
        says = () if bearings else _never_sighted(site)
        return stands_answer(f"Where to sight {site.name} from", stand_marks(told, plane), says)

    return reckon


def _what_it_shrinks(one: FixStand) -> str:
    """What a sighting from a place does for the fix."""
    if not one.shrinks:
        return "a sighting there checks the place noted"
    return f"± {number(one.before.major_m, 0)} m becomes ± {number(one.after.major_m, 0)} m"


def _what_to_see(one: FixStand, site: Site) -> tuple[str, str]:
    """Where to look from a place, and both ellipses."""
    return (
        f"From there {site.name} should stand {length_text(one.distance_m)} away at "
        f"{degrees(one.bearing_deg)} true.",
        f"95 % ellipse now {_size(one.before)}, then {_size(one.after)}.",
    )


def what_would_settle(session: Session, plane: Plane, stop: Stop) -> Question[Answer]:
    """Which place best tells apart what may serve at a stop."""
    at = _place(stop)
    if at is None:
        raise NoAnswer(f"Stop {stop.number} has no position yet: place it first.")
    scene = session.notebook.stop_scene(stop.id)
    if not scene.readings:
        raise NoAnswer(f"Nothing was read at stop {stop.number} yet: read a phone there first.")
    yield
    read = yield from _read_survey(session, stop.survey_id)
    ground = _ground(session, at, at)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.next_stand import NextStand
        from surveyapp.analysis.phone_offset import offsets_from_readings
        from surveyapp.analysis.standing import leg_carrier, leg_question
        from surveyapp.geometry.serving_posterior import posterior

        reading = scene.readings[-1]
        rat = Rat.NR if leg_carrier(reading, Rat.NR) is not None else Rat.LTE
        found = posterior(*leg_question(scene, reading, rat, offsets_from_readings(read)))
        if found is None:
            raise NoAnswer(f"No sector within reach of stop {stop.number} is noted yet.")
        stands = NextStand(ground, at).for_answer(found)
        told = [
            (
                one.stand,
                f"{share(one.sure_before)} sure becomes {share(one.sure_after)}",
                (one.text,),
            )
            for one in stands
        ]
        return stands_answer(f"What would settle stop {stop.number}", stand_marks(told, plane))

    return reckon


def sectors_left(session: Session, plane: Plane) -> Question[Answer]:
    """Which sectors nobody stood in, and where to."""
    from surveyapp.analysis.sector_panel import panel_of

    sites = {site.id: site for site in session.sites if _place(site)}
    sectors = [s for s in session.notebook.all(Sector) if s.site_id in sites]
    stops = [at for stop in session.notebook.all(Stop) if (at := _place(stop))]
    here = _here(session) or (plane.lat0_deg, plane.lon0_deg)
    yield
    ground = _ground(session, here, here, QUARTER_M)
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.next_stand import NextStand

        panels = [panel_of(sites[sector.site_id], sector) for sector in sectors]
        found = NextStand(ground, here).for_sectors(panels, stops)
        told = [
            (
                one.stand,
                f"In front of {one.panel.name}",
                (
                    f"{length_text(one.distance_m)} from it, {degrees(abs(one.off_boresight_deg))} "
                    "off its boresight; nobody stood in this sector yet.",
                ),
            )
            for one in found
        ]
        return stands_answer("Sectors nobody stood in", stand_marks(told, plane))

    return reckon


def _read_survey(session: Session, survey_id: str) -> Generator[None, None, list[Reading]]:
    """What was read on a survey, some stops a frame: pairs among it tell phones apart."""
    ids = [stop_id for stop_id, *_ in session.notebook.stop_places(survey_id)]
    read: list[Reading] = []
    for first in range(0, len(ids), PORTION):
        read += session.notebook.all(Reading, stop_id=ids[first : first + PORTION])
        yield
    return read


def ground_between(session: Session, places: Sequence[LatLon], margin_m: float) -> Ground:
    """The ground that holds all of these places and a margin around them."""
    middle = amid(places)
    radius_m = max(inverse(*middle, *place).distance_m for place in places) + margin_m
    return session.notebook.ground.around(*middle, min(radius_m, FARTHEST_M))


def _ground(session: Session, here: LatLon, about: LatLon, margin_m: float = MARGIN_M) -> Ground:
    if inverse(*here, *about).distance_m > 2 * FARTHEST_M:
        raise NoAnswer(
            "You are too far from there for a walk: go to a stop that is nearer, or start one."
        )
    return ground_between(session, [here, about], margin_m)


def _stops_of(session: Session, sightings: Sequence[Sighting]) -> list[Stop]:
    ids = sorted({sighting.stop_id for sighting in sightings})
    return [stop for stop in session.notebook.all(Stop, id=ids) if _place(stop)] if ids else []


def _here(session: Session) -> LatLon | None:
    return _place(session.stop) if session.stop else None


def _place(row: Site | Stop) -> LatLon | None:
    if row.lat_deg is None or row.lon_deg is None:
        return None
    return row.lat_deg, row.lon_deg


def _never_sighted(site: Site) -> tuple[str, ...]:
    """What the place of a site rests on that nobody sighted."""
    noted = position_from_text(site.position_from) if site.position_from else "noted"
    if site.position_sigma_m is None:
        place = f"Its place: {noted}."
    else:
        place = f"Its place: {noted}, ± {number(site.position_sigma_m, 0)} m."
    return (f"Nobody sighted {site.name} yet.", place)


def _size(ellipse: Ellipse) -> str:
    return f"± {number(ellipse.major_m, 0)} m by ± {number(ellipse.minor_m, 0)} m"
