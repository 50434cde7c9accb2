"""What bears on one stop."""

from __future__ import annotations

from dataclasses import replace

import pytest

from surveyapp.errors import NotFound
from surveyapp.model import Ground, Reading, Sector, Sighting, Site, Stop, Survey, new_id
from surveyapp.store import Notebook
from tests.store.conftest import NOON
from tests.store.one_of_each import GROUND, ROWS


def test_a_scene_holds_all_that_was_entered_at_the_stop(notebook: Notebook) -> None:
    """Each kind of entry, the phones they came from, the site with its sectors, the ground."""
    notebook.save(*ROWS)
    notebook.ground.replace(GROUND, "a file")
    scene = notebook.stop_scene("stop-1")

    assert scene.survey.id == "survey-1"
    assert scene.stop.number == 3
    for held in (scene.sites, scene.sectors, scene.devices, scene.sightings, scene.readings,
                 scene.photos, scene.remarks):  # fmt: skip
        assert len(held) == 1
    assert {run.id for run in scene.speed_runs} == {"run-1", "run-2"}
    assert scene.sectors[0].carriers[0].band == "n258"
    assert scene.ground == GROUND


def test_sites_stand_in_it_when_near_or_sighted(notebook: Notebook, stop: Stop) -> None:
    """600 m north is 0.0054 degrees (WGS84, 111.4 km per degree here): one just inside, one
    beyond but sighted, one beyond, one deleted, one whose place nobody knows."""
    near, sighted, far, gone, placeless = notebook.save(
        Site(name="near", lat_deg=60.17 + 0.00537, lon_deg=24.94),
        Site(name="sighted", lat_deg=60.18, lon_deg=24.94),
        Site(name="far", lat_deg=60.17 + 0.00541, lon_deg=24.94),
        Site(name="gone", lat_deg=60.17, lon_deg=24.94),
        Site(name="placeless"),
    )
    notebook.save(*(Sector(site_id=site.id) for site in (near, far, gone, sighted)))
    notebook.save(Sighting(stop_id=stop.id, site_id=sighted.id))
    notebook.delete(gone)
    scene = notebook.stop_scene(stop.id)

    assert [site.name for site in scene.sites] == ["near", "sighted"]
    assert {sector.site_id for sector in scene.sectors} == {near.id, sighted.id}
    assert [site.name for site in notebook.stop_scene(stop.id, 1500.0).sites] == [
        "far", "near", "sighted"
    ]  # fmt: skip
    assert placeless.lat_deg is None


def test_sites_belong_to_the_notebook_not_to_a_survey(notebook: Notebook, site: Site) -> None:
    """A later survey at the same place sees what an earlier one found, not its entries."""
    for title in ("first", "second"):
        survey = notebook.save(Survey(title=title))[0]
        stop = notebook.save(
            Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=60.17, lon_deg=24.94)
        )[0]
        scene = notebook.stop_scene(stop.id)

        assert scene.sites == (site,)
        assert scene.sightings == ()
        notebook.save(Sighting(stop_id=stop.id, site_id=site.id))


def test_a_stop_without_position_has_a_scene_too(notebook: Notebook, survey: Survey) -> None:
    """No site is near it, and it stands on no ground; the attribution is still told."""
    notebook.ground.replace(GROUND, "a file")
    stop = notebook.save(Stop(survey_id=survey.id, number=1, time_utc=NOON))[0]
    scene = notebook.stop_scene(stop.id)

    assert scene.sites == ()
    assert scene.ground == Ground(attribution=GROUND.attribution)


def test_scenes_of_one_pass_share_what_they_hold_alike(notebook: Notebook, survey: Survey) -> None:
    """Streets, houses, lamps, sites and phones are one object in all scenes, and each scene is
    what it is by itself: a review of thousands of stops once took gigabytes."""
    notebook.save(*ROWS)
    notebook.ground.replace(GROUND, "a file")
    there = notebook.get(Stop, "stop-1")
    beside = replace(there, id=new_id(), number=4, place_text="Ten metres on")
    notebook.save(beside, Reading(stop_id=beside.id, device_id="device-1", time_utc=NOON))
    beside = notebook.get(Stop, beside.id)
    first, second = notebook.stop_scenes([there.id, beside.id])

    for one, other in (
        *zip(first.ground.streets, second.ground.streets, strict=True),
        *zip(first.ground.buildings, second.ground.buildings, strict=True),
        *zip(first.ground.furniture, second.ground.furniture, strict=True),
        *zip(first.sites, second.sites, strict=True),
        *zip(first.sectors, second.sectors, strict=True),
        *zip(first.devices, second.devices, strict=True),
    ):
        assert one is other
    assert first.ground.streets
    assert first.sites
    assert first == notebook.stop_scene(there.id)
    assert second == notebook.stop_scene(beside.id)


def test_the_scene_of_an_unknown_stop_is_not_found(notebook: Notebook) -> None:
    """One sentence."""
    with pytest.raises(NotFound, match="stop nowhere"):
        notebook.stop_scene("nowhere")


def test_a_stop_on_the_date_line_sees_both_sides(notebook: Notebook, survey: Survey) -> None:
    """Reach does not end at 180 degrees."""
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=-17.0, lon_deg=179.999)
    notebook.save(stop, Site(name="east", lat_deg=-17.0, lon_deg=-179.999))

    assert [site.name for site in notebook.stop_scene(stop.id).sites] == ["east"]
