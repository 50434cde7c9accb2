"""Whole days where places and clocks are awkward: the date line, 70 degrees north, clocks set.

The days are invented. Where things lie is put beside the geodesics of PROJ (pyproj 3).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from pyproj import Geod

from surveyapp.analysis.photo_stops import TakenAt, stops_of_photos
from surveyapp.analysis.site_sightings import site_fix
from surveyapp.analysis.standing import serving_at
from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.exchange.content import Content
from surveyapp.exchange.privacy import Privacy
from surveyapp.exchange.survey_formats import read_survey, survey_format
from surveyapp.exchange.track import TrackPoint, track_brought
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import (
    Carrier,
    Device,
    Ground,
    LatLon,
    NorthReference,
    PositionFrom,
    Reading,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    Stop,
    Street,
)
from surveyapp.report.plan import lay_out
from surveyapp.report.record import record_of
from surveyapp.store.notebook import Notebook
from surveyapp.ui.day_list import day_of, scenes_of
from surveyapp.ui.plan.content import Content as PlanContent
from surveyapp.ui.plan.content import content_of, ground_box_m, place_text_at
from surveyapp.ui.plan.laying_out import lay_out as plan_marks
from surveyapp.ui.plan.picture_squares import squares_seen
from surveyapp.ui.plan.stand_questions import ground_between
from surveyapp.ui.plan.tiles import Tile, box_deg
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.session import Session
from surveyapp.ui.telling import account_from

GEOD = Geod(ellps="WGS84")
MIDDLES = {
    "on the date line": (-16.8, 180.0, "Pacific/Fiji"),
    "at 70 degrees north": (70.6, 23.7, "Europe/Oslo"),
    "at both": (71.2, -179.9998, "Asia/Anadyr"),
}
STANDS_M = (-60.0, 0.0, 70.0)  # east of the middle
SITE_M = (15.0, 120.0)  # east and north of it
A_HAND_M = 0.1
NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)


class HandClock:
    """A clock that is set by hand."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        """What it shows."""
        return self.now


def offset(middle: LatLon, east_m: float, north_m: float = 0.0) -> LatLon:
    """The place so far east and north of the middle, by PROJ."""
    azimuth = np.degrees(np.arctan2(east_m, north_m))
    lon, lat, _ = GEOD.fwd(middle[1], middle[0], azimuth, np.hypot(east_m, north_m))
    return float(lat), float(lon)


def bearing_deg(start: LatLon, end: LatLon) -> float:
    """By PROJ, from 0 to 360."""
    return float(GEOD.inv(start[1], start[0], end[1], end[0])[0] % 360.0)


def apart_m(one: LatLon, other: LatLon) -> float:
    """By PROJ."""
    return float(GEOD.inv(one[1], one[0], other[1], other[0])[2])


def quay(middle: LatLon) -> Ground:
    """One street through the middle, cut in two there, as maps cut streets at the date line."""
    west, east = offset(middle, -300.0), offset(middle, 300.0)
    sides = [(west, middle), ((middle[0], -180.0 if abs(middle[1]) == 180 else middle[1]), east)]
    return Ground(
        streets=tuple(Street(name="Quay Street", kind="residential", points_deg=s) for s in sides),
        attribution="invented",
    )


@dataclass(frozen=True)
class StrangeDay:
    """A survey walked at one of the places."""

    session: Session
    middle: LatLon
    site: Site

    @property
    def notebook(self) -> Notebook:
        """Where it is kept."""
        return self.session.notebook

    @property
    def stops(self) -> list[Stop]:
        """The stops in their order."""
        return self.notebook.all(Stop)


@pytest.fixture(params=MIDDLES, ids=str)
def day(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[StrangeDay]:
    """Three stops along a street, a site north of it sighted from each, a reading at each."""
    lat_deg, lon_deg, zone = MIDDLES[request.param]
    clock = HandClock(NOON)
    with Notebook.create(tmp_path / "strange.notebook", clock=clock) as notebook:
        notebook.keep_setting("time_zone", zone)
        middle = (lat_deg, lon_deg)
        notebook.ground.replace(quay(middle), "invented")
        session = Session(notebook, clock)
        at = offset(middle, *SITE_M)
        site = Site(name="Pier 1", lat_deg=at[0], lon_deg=at[1], height_m=8.0)
        panel = Sector(site_id=site.id, label="South", azimuth_deg=180.0,
                       carriers=(SectorCarrier(band="n78", bandwidth_mhz=100.0),))  # fmt: skip
        phone = Device(label="Phone A")
        notebook.save(site, panel, phone)
        for east_m in STANDS_M:
            _stand(session, offset(middle, east_m), site, phone)
            clock.now += timedelta(minutes=10)
        yield StrangeDay(session, middle, site)


def _stand(session: Session, place: LatLon, site: Site, phone: Device) -> None:
    stop = session.start_stop()
    session.set_position(*place, 5.0, PositionFrom.PLAN)
    true_deg = bearing_deg(place, (site.lat_deg, site.lon_deg))
    sighting = Sighting(
        stop_id=stop.id, site_id=site.id, bearing_deg=true_deg, raw_bearing_deg=true_deg,
        raw_reference=NorthReference.TRUE, sigma_deg=1.0,
    )  # fmt: skip
    carriers = (Carrier(band="n78", bandwidth_mhz=100.0, rsrp_dbm=-80.0),)
    reading = Reading(
        stop_id=stop.id, device_id=phone.id, time_utc=session.clock(), carriers=carriers
    )
    session.save(sighting, reading)


def test_a_day_at_an_awkward_place_is_worked_out_in_place(day: StrangeDay) -> None:
    """One survey, its stops on their street, the fix on the site, the site said to serve."""
    assert len({stop.survey_id for stop in day.stops}) == 1
    assert [stop.place_text for stop in day.stops] == ["Quay Street"] * 3
    found = site_fix(
        day.site, day.notebook.all(Sighting), {stop.id: stop for stop in day.stops}
    ).fix
    assert apart_m((found.lat_deg, found.lon_deg), offset(day.middle, *SITE_M)) < A_HAND_M
    for stop, east_m in zip(day.stops, STANDS_M, strict=True):
        (leg,) = serving_at(day.notebook.stop_scene(stop.id))
        best = leg.answer.ranking[0]
        expected_m = np.hypot(SITE_M[0] - east_m, SITE_M[1])
        assert best.name.startswith("Pier 1")
        assert best.distance_m == pytest.approx(expected_m, abs=A_HAND_M)


def test_the_plan_draws_an_awkward_place_as_any_other(day: StrangeDay) -> None:
    """Marks, ground and squares lie where PROJ puts them, about a middle among the stops."""
    content: PlanContent = content_of(day.session)
    marks = plan_marks(content.rows, content.plane)
    here = Plane(*day.middle).to_plane(content.plane.lat0_deg, content.plane.lon0_deg)
    shift_m = np.array([float(part) for part in here])
    stands = np.array([(east_m, 0.0) for east_m in STANDS_M]) - shift_m
    west, south, east, north = ground_box_m(day.session, content.plane)
    tile = box_deg(Tile(True, 0, 0), content.plane)
    squares = squares_seen(Viewport(360, 600, 0.0, 0.0, 1.0), content.plane, (15, 15), 1.0)

    assert content.left_out == 0
    assert marks.stops.at_m == pytest.approx(stands, abs=A_HAND_M)
    assert marks.sites[0].at == pytest.approx(np.array(SITE_M) - shift_m, abs=A_HAND_M)
    assert (west, east) == pytest.approx((-300.0 - shift_m[0], 300.0 - shift_m[0]), abs=0.5)
    assert north - south < 2.0
    assert (tile[3] - tile[1]) % 360.0 < 0.1
    assert len(day.notebook.ground.within(*tile).streets) >= 1
    assert len(squares) == len(set(squares)) >= 1
    assert all(0 <= square.column < 2**15 for square in squares)
    assert place_text_at(day.session, *offset(day.middle, -40.0)) == "Quay Street"


def test_streets_halts_and_pictures_are_told_at_an_awkward_place(
    day: StrangeDay, tmp_path: Path
) -> None:
    """The way on foot, a receiver's halt and a stop of pictures lie amid their points."""
    ends = [offset(day.middle, -40.0), offset(day.middle, 40.0)]
    near = [offset(day.middle, -6.0), offset(day.middle, 6.0)]
    ground = ground_between(day.session, ends, 50.0)
    network = StreetNetwork(ground.streets)
    log = tmp_path / "walk.gpx"
    log.touch()
    halt = [
        TrackPoint(lat_deg=lat, lon_deg=lon, time_utc=NOON + timedelta(minutes=minute))
        for minute, (lat, lon) in enumerate(near * 4)
    ]
    (stop,) = [row for row in track_brought(log, halt, ()).rows if isinstance(row, Stop)]
    taken = [
        TakenAt(name=f"{n}", time_utc=NOON + timedelta(minutes=n), lat_deg=lat, lon_deg=lon)
        for n, (lat, lon) in enumerate(near)
    ]
    (pictured,) = stops_of_photos(taken, "survey", 1)

    assert len(ground.streets) == 2
    assert network.length_m.sum() == pytest.approx(600.0, abs=1.0)
    assert np.abs(network.nodes_m).max() < 310.0
    assert apart_m((stop.lat_deg, stop.lon_deg), day.middle) < A_HAND_M
    assert apart_m((pictured.stop.lat_deg, pictured.stop.lon_deg), day.middle) < A_HAND_M


@pytest.mark.parametrize("key", ["bundle", "csv", "geojson", "gpkg", "gpx", "kml"])
def test_a_day_at_an_awkward_place_goes_out_and_comes_back(
    day: StrangeDay, tmp_path: Path, key: str
) -> None:
    """In each format its stops come back within a hand's breadth of where they were."""
    known = survey_format(key)
    out = tmp_path / f"day{known.suffixes[0]}"
    known.write(Content(rows=day.notebook.rows_of()), out)
    brought = read_survey(out, tmp_path)
    back = sorted(
        (row for row in brought.rows if isinstance(row, Stop)), key=lambda row: row.number
    )

    assert len(back) == 3
    for stop, east_m in zip(back, STANDS_M, strict=True):
        assert apart_m((stop.lat_deg, stop.lon_deg), offset(day.middle, east_m)) < A_HAND_M


def test_the_report_of_an_awkward_place_is_as_wide_as_its_street(day: StrangeDay) -> None:
    """Its plan is some hundred metres wide, not the whole Earth, and its answers are there."""
    rows = day.notebook.rows_of()
    plan = lay_out(record_of(rows, ground=quay(day.middle)))
    account = account_from(day.notebook, day.session.survey, Privacy())
    middle = Plane(*day.middle)

    assert plan is not None
    assert [mark.at_m[0] for mark in plan.stops] == pytest.approx(
        [float(middle.to_plane(*offset(day.middle, e))[0]) - float(
            middle.to_plane(plan.plane.lat0_deg, plan.plane.lon0_deg)[0]) for e in STANDS_M],
        abs=A_HAND_M,
    )  # fmt: skip
    assert account is not None


@pytest.fixture
def walk(tmp_path: Path) -> Iterator[tuple[Session, HandClock]]:
    """A session in Helsinki, with its clock."""
    clock = HandClock(NOON)
    with Notebook.create(tmp_path / "clock.notebook", clock=clock) as notebook:
        notebook.keep_setting("time_zone", "Europe/Helsinki")
        yield Session(notebook, clock), clock


def told(session: Session) -> list[tuple[int, str]]:
    """Numbers of the stops as the Day lists them, and what stands in their rows."""
    shown = day_of(session.notebook, session.survey)
    stops = scenes_of(session.notebook, session.survey)
    return [
        (scene.stop.number, item.text.split("· ")[-1])
        for scene, item in zip(stops, shown.items, strict=True)
    ]


def test_a_clock_set_back_two_hours_leaves_the_walk_in_order(
    walk: tuple[Session, HandClock],
) -> None:
    """Stops once changed places in the Day when the phone's clock was set back in mid-survey."""
    session, clock = walk
    for minutes in (0, 20, -100, 20):
        clock.now += timedelta(minutes=minutes)
        session.start_stop()

    assert told(session) == [(1, "15:00"), (2, "15:20"), (3, "13:40"), (4, "14:00")]
    assert session.stop.number == 4


def test_a_stop_put_in_later_still_goes_by_its_time(walk: tuple[Session, HandClock]) -> None:
    """Brought in from a track, or its time set by hand: then its time says where it belongs."""
    session, clock = walk
    for _ in range(3):
        clock.now += timedelta(minutes=20)
        session.start_stop()
    first, _, third = session.notebook.all(Stop)
    session.save(Stop(survey_id=first.survey_id, number=4, time_utc=NOON + timedelta(minutes=50)))
    session.save(replace(third, time_utc=NOON + timedelta(minutes=30)))

    assert [number for number, _ in told(session)] == [1, 3, 2, 4]


def test_a_clock_set_back_past_midnight_ends_no_survey(walk: tuple[Session, HandClock]) -> None:
    """The walk went on as a survey of the day before; a new day still begins a new one."""
    session, clock = walk
    clock.now = datetime(2026, 6, 9, 21, 30, tzinfo=UTC)  # half past midnight on the tenth
    first = session.start_stop()
    clock.now -= timedelta(hours=2)
    second = session.start_stop()
    clock.now += timedelta(days=1, hours=3)
    third = session.start_stop()

    assert (second.survey_id, second.number) == (first.survey_id, 2)
    assert third.survey_id != first.survey_id


def test_the_night_the_clocks_go_back_keeps_its_hours_apart(
    walk: tuple[Session, HandClock],
) -> None:
    """On 25 October 2026 in Helsinki 03:30 comes twice (EU directive 2000/84/EC): in order."""
    session, clock = walk
    for utc in ((0, 10), (0, 30), (1, 10), (1, 30), (2, 10)):
        clock.now = datetime(2026, 10, 25, *utc, tzinfo=UTC)
        session.start_stop()

    assert told(session) == [
        (1, "03:10"), (2, "03:30"), (3, "03:10"), (4, "03:30"), (5, "04:10"),
    ]  # fmt: skip
