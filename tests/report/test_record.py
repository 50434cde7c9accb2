"""The record's scenes are those that the notebook itself gives."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from surveyapp.demo.write import Demo
from surveyapp.errors import NotFound
from surveyapp.model import Ground, Site, Stop, StopScene, Street, Survey
from surveyapp.report.account import Account
from surveyapp.report.record import record_of
from surveyapp.store.notebook import Notebook
from tests.report.conftest import NOON


def test_scenes_hold_what_the_notebook_finds_for_each_stop(demo: Demo, account: Account) -> None:
    """Entry by entry the same; of the ground at least all that the notebook finds in reach."""
    with Notebook.open(demo.notebook_path) as notebook:
        for scene, shown in zip(account.record.scenes, account.scenes, strict=True):
            assert shown == replace(scene, ground=Ground())
            found = notebook.stop_scene(scene.stop.id)
            for field in fields(StopScene):
                if field.name != "ground":
                    assert getattr(scene, field.name) == getattr(found, field.name)
            assert set(found.ground.buildings) <= set(scene.ground.buildings)
            assert set(found.ground.streets) <= set(scene.ground.streets)


@pytest.mark.parametrize("lon_deg", [24.9, 179.999, -179.999])
def test_the_ground_around_a_stop_is_found_across_the_date_line(lon_deg: float) -> None:
    """A street a few metres away counts, wherever the counting of longitudes begins anew."""

    def beside(shift_deg: float) -> tuple[float, float]:
        return 10.0, (lon_deg + shift_deg + 180.0) % 360.0 - 180.0

    near = Street(name="Near", points_deg=(beside(0.002), beside(0.0025)))
    far = Street(name="Far", points_deg=(beside(0.1), beside(0.101)))
    survey = Survey(title="Edge")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=10.0, lon_deg=lon_deg)

    record = record_of((survey, stop), ground=Ground(streets=(near, far)))

    assert record.scenes[0].ground.streets == (near,)


def test_a_site_counts_where_it_is_in_reach(account: Account) -> None:
    """Beyond 600 m a site is no candidate at a stop unless it was sighted from there."""
    survey = Survey(title="Reach")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=0.0, lon_deg=0.0)
    sites = [Site(name=str(m), lat_deg=0.0, lon_deg=m / 111_319.49) for m in (590, 610)]

    record = record_of((survey, stop, *sites, replace(sites[0], id="lost", lat_deg=None)))

    assert record.scenes[0].sites == (sites[0],)


def test_a_report_tells_one_survey() -> None:
    """Two surveys at once, or none, are refused with a sentence."""
    with pytest.raises(NotFound, match="2 were given"):
        record_of((Survey(title="A"), Survey(title="B")))
    with pytest.raises(NotFound, match="0 were given"):
        record_of(())
