"""The demo holds what it promises, on real lamps, walls and streets, and says it is invented."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import numpy as np
import pytest
from PIL import Image
from shapely import MultiPolygon, Point, Polygon

from surveyapp.demo.truth import NR_LEG
from surveyapp.demo.write import Demo
from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import (
    Device,
    FurnitureKind,
    Mode,
    Photo,
    Reading,
    Remark,
    RemarkKind,
    Role,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
    View,
)
from surveyapp.store.notebook import Notebook

ONE_METRE = 1.0
PLANTED = {
    "lost 5G", "far server", "wild jitter", "unlisted site", "blocked stop", "wrong azimuth",
    "few carriers",
}  # fmt: skip


def test_two_visits_three_weeks_apart_with_about_thirty_stops(notebook: Notebook) -> None:
    """Two surveys, 21 days between them, and 25 to 35 stops with readings of both phones."""
    surveys = sorted(notebook.all(Survey), key=lambda survey: survey.title)
    stops = notebook.all(Stop)
    first, second = (
        min(stop.time_utc for stop in stops if stop.survey_id == survey.id) for survey in surveys
    )

    assert len(surveys) == 2
    assert (second.date() - first.date()) == timedelta(days=21)
    assert 25 <= len(stops) <= 35
    assert len(notebook.all(Device)) == 2
    assert all(len(notebook.all(Reading, stop_id=stop.id)) == 2 for stop in stops)
    assert all(len(notebook.all(SpeedRun, stop_id=stop.id)) == 4 for stop in stops)


def test_one_site_is_missing_from_the_notebook(demo: Demo, notebook: Notebook) -> None:
    """Five to seven sites exist, all but one are noted, and the missing one serves somewhere."""
    listed = {site.id for site in notebook.all(Site)}
    unlisted = [site for site in demo.truth.sites if site.id not in listed]

    assert 5 <= len(demo.truth.sites) <= 7
    assert [site.listed for site in unlisted] == [False]
    assert any(not served.listed for stop in demo.truth.stops for served in stop.serving)


def test_nodes_hang_on_real_lamps_and_house_walls(demo: Demo, notebook: Notebook) -> None:
    """A lamp of the ground within a metre, or a building's outline, outside the building."""
    ground = notebook.ground.around(demo.truth.sites[0].lat_deg, demo.truth.sites[0].lon_deg, 2000)
    plane = Plane(demo.truth.sites[0].lat_deg, demo.truth.sites[0].lon_deg)
    lamps = [item for item in ground.furniture if item.kind is FurnitureKind.LAMP]
    houses = [
        Polygon(np.column_stack(plane.to_plane(*np.array(building.outline_deg).T)))
        for building in ground.buildings
    ]
    for site in demo.truth.sites:
        place = Point(*(float(part) for part in plane.to_plane(site.lat_deg, site.lon_deg)))
        if site.kind == "lamp post":
            nearest_m = min(
                inverse(site.lat_deg, site.lon_deg, lamp.lat_deg, lamp.lon_deg).distance_m
                for lamp in lamps
            )
        else:
            nearest_m = min(house.exterior.distance(place) for house in houses)

        assert nearest_m < ONE_METRE, site.name
        assert not any(house.contains(place) for house in houses), site.name


def test_nobody_stands_inside_a_house(demo: Demo, notebook: Notebook) -> None:
    """All true places of stops lie outside all outlines, and are named after their street."""
    first = demo.truth.stops[0]
    ground = notebook.ground.around(first.lat_deg, first.lon_deg, 2000)
    houses = MultiPolygon(
        [Polygon([(lon, lat) for lat, lon in one.outline_deg]) for one in ground.buildings]
    )

    assert not any(
        house.contains(Point(stop.lon_deg, stop.lat_deg))
        for stop in demo.truth.stops
        for house in houses.geoms
    )
    assert all(stop.place_text for stop in notebook.all(Stop))


def test_all_that_shows_says_it_is_invented(notebook: Notebook) -> None:
    """Surveys, sites, phones, servers and pictures each carry the word."""
    assert all("invented" in survey.title for survey in notebook.all(Survey))
    assert all("Invented" in survey.text for survey in notebook.all(Survey))
    assert all("Invented" in site.text and "invented" in site.operator for site in
               notebook.all(Site))  # fmt: skip
    assert all("invented" in device.model for device in notebook.all(Device))
    assert all("invented" in run.server_place for run in notebook.all(SpeedRun))
    assert all("invented" in photo.caption for photo in notebook.all(Photo))


def test_every_planted_trouble_points_at_the_row_where_it_shows(
    demo: Demo, notebook: Notebook
) -> None:
    """Each kind is there once at least, and its row shows what is said of it."""
    rows = {kind: [one.row_id for one in demo.truth.troubles if one.kind == kind]
            for kind in PLANTED}  # fmt: skip
    lost = notebook.get(Reading, rows["lost 5G"][0])
    few = notebook.get(Reading, rows["few carriers"][0])
    far = notebook.get(SpeedRun, rows["far server"][0])
    wild = notebook.get(SpeedRun, rows["wild jitter"][0])
    others = [run.jitter_ms or 0.0 for run in notebook.all(SpeedRun) if run.id != wild.id]
    blocked = notebook.get(Sighting, rows["blocked stop"][0])
    wrong = notebook.get(Sector, rows["wrong azimuth"][0])
    true = next(
        sector for site in demo.truth.sites for sector in site.sectors if sector.id == wrong.id
    )

    assert {one.kind for one in demo.truth.troubles} == PLANTED
    assert lost.mode is Mode.LTE
    assert any(
        remark.kind is RemarkKind.LOST_5G and remark.device_id == lost.device_id
        for remark in notebook.all(Remark, stop_id=lost.stop_id)
    )
    assert [one.count for one in few.carriers if one.role is Role.PRIMARY] == [1]
    assert far.ping_ms is not None
    assert far.ping_ms > 40.0
    assert wild.jitter_ms is not None
    assert wild.jitter_ms > 10.0 * max(others)
    assert blocked.view is View.BLOCKED
    assert any(
        path.sector_id in {sector.id for sector in site.sectors} and not path.clear
        for site in demo.truth.sites
        if site.id == blocked.site_id
        for stop in demo.truth.stops
        if stop.id == blocked.stop_id
        for path in stop.paths
    )
    assert any(served.sector_id == wrong.id for stop in demo.truth.stops for served in stop.serving)
    assert abs(angle_between_deg(wrong.azimuth_deg or 0.0, true.azimuth_deg)) > 40.0
    assert all(notebook.get(Reading, row_id) for row_id in rows["unlisted site"])


def test_readings_follow_the_truth_within_phone_and_flicker(demo: Demo, notebook: Notebook) -> None:
    """Reported RSRP less the true one is the phone's offset, give or take its flicker."""
    off_db: dict[str, list[float]] = {device: [] for device in demo.truth.phone_offsets_db}
    for stop in demo.truth.stops:
        true_dbm = {path.sector_id: path.rsrp_dbm for path in stop.paths}
        for reading in notebook.all(Reading, stop_id=stop.id):
            served = demo.truth.serving(stop.id, reading.device_id, NR_LEG)
            for carrier in reading.carriers:
                if served is not None and carrier.rat.value == "NR":
                    shown_dbm = carrier.rsrp_dbm or 0.0
                    off_db[reading.device_id].append(shown_dbm - true_dbm[served.sector_id])

    for device, offset_db in demo.truth.phone_offsets_db.items():
        assert np.mean(off_db[device]) == pytest.approx(offset_db, abs=0.8)
        assert 0.5 < np.std(off_db[device]) < 2.0


def test_sightings_come_from_near_and_from_afar(notebook: Notebook) -> None:
    """Near ones tell the panel and how it is turned, far ones only the node."""
    told = Counter(
        sighting.sector_id is not None
        for sighting in notebook.all(Sighting)
        if sighting.view is not View.BLOCKED
    )

    assert told[True] >= 15
    assert told[False] >= 3


def test_pictures_are_whole_and_the_notebook_too(notebook: Notebook) -> None:
    """Four drawings that open as pictures; the notebook's own check finds nothing."""
    photos = notebook.all(Photo)

    assert len(photos) == 4
    for photo in photos:
        with Image.open(notebook.photo_folder / photo.file) as picture:
            assert picture.size == (960, 1280)
    assert notebook.check() == []


def test_the_attribution_of_the_streets_is_kept(notebook: Notebook) -> None:
    """Real streets carry their licence line into the notebook."""
    assert "OpenStreetMap contributors" in notebook.ground.attribution
