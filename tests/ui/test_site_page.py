"""The page of a site by touch: what its sightings tell is taken over, and its visits are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.model import PositionFrom, Sector, Sighting, Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.site_story import sighted
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import site_told

TWO_METRES = 2.0


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook whose three stops see Mill Street 3 from around, 30 m from where noted."""
    running = harness.start(filled.write(tmp_path / "site.notebook"), clock=lambda: filled.NOW)
    notebook = running.session.notebook
    site = notebook.all(Site, name="Mill Street 3")[0]
    south = next(panel for panel in notebook.all(Sector) if panel.label == "South")
    truth = destination(site.lat_deg, site.lon_deg, 90.0, 30.0)
    for at, stop in enumerate(notebook.all(Stop)):
        lat_deg, lon_deg = destination(*truth, 140.0 + 40.0 * at, 60.0)
        notebook.save(replace(stop, lat_deg=lat_deg, lon_deg=lon_deg))
        sighting = notebook.all(Sighting, stop_id=stop.id)[0]
        bearing_deg = inverse(lat_deg, lon_deg, *truth).azimuth_deg
        turned = replace(sighting, bearing_deg=bearing_deg, sector_id=south.id, distance_m=None)
        notebook.save(replace(turned, facing_deg=40.0 * (1 - at), sigma_deg=3.0, elevation_deg=7.0))
    running.session.refresh()
    site_told("Mill Street 3")(running)
    yield running
    harness.stop(running)


def test_the_fix_of_the_sightings_is_taken_over_and_given_back(full: Pilot) -> None:
    """One touch moves the site 30 m, one undo moves it back to the last digit."""
    notebook = full.session.notebook
    before = notebook.all(Site, name="Mill Street 3")[0]
    assert full.says("30 m from the place noted")
    full.touch("Take this place")
    after = notebook.get(Site, before.id)
    moved_m = inverse(before.lat_deg, before.lon_deg, after.lat_deg, after.lon_deg).distance_m
    assert moved_m == pytest.approx(30.0, abs=TWO_METRES)
    assert after.position_from is PositionFrom.SIGHTINGS
    full.touch("Undo")

    assert (notebook.get(Site, before.id).lat_deg, before.lon_deg) == (
        before.lat_deg, notebook.get(Site, before.id).lon_deg,
    )  # fmt: skip


def test_the_height_the_elevations_tell_is_taken_over(full: Pilot) -> None:
    """Three elevations of 7 degrees: each from the noted place's distance, weighted."""
    notebook = full.session.notebook
    assert full.says("by 3 elevations; noted is 8 m.")
    full.touch(next(text for text in full.texts() if text.startswith("Take ") and "m" in text[-2:]))
    (site,) = notebook.all(Site, name="Mill Street 3")

    assert 8.0 < site.height_m < 14.0


def test_a_panels_azimuth_is_offered_and_its_visits_are_told(full: Pilot) -> None:
    """Seen from the south it faces 180 degrees; one visit with three sightings."""
    assert full.says("Panel South faces 180°")
    assert full.says("Harbour side, first visit, Wednesday 10 June 2026: live, 2 panels, 3 sight")
    assert full.says("On the next visit")
    full.touch("Take 180° for panel South")
    south = next(p for p in full.session.notebook.all(Sector) if p.label == "South")

    assert south.azimuth_sigma_deg == pytest.approx(8.8, abs=0.5)


def test_what_an_older_visit_saw_is_not_offered_over_what_is_noted_today(tmp_path: Path) -> None:
    """'Take 85°' stood there on the strength of a first visit, after the panel had been noted
    anew on the second: now it is told, with both ways it may be, and not offered."""
    with Notebook.open(filled.write(tmp_path / "own.notebook")) as notebook:
        site = notebook.all(Site, name="Mill Street 3")[0]
        panel = next(one for one in notebook.all(Sector, site_id=site.id) if one.azimuth_deg)
        seen = replace(
            notebook.all(Sighting, site_id=site.id)[0],
            sector_id=panel.id, bearing_deg=100.0, facing_deg=5.0,
        )  # fmt: skip
        notebook.save(seen)
        assert any(offer.row.id == panel.id for offer in sighted(notebook, site).offers)
        later = filled.NOW + timedelta(days=21)
        survey = Survey(title="Second visit", time_zone="UTC")
        stop = Stop(survey_id=survey.id, number=1, time_utc=later)
        notebook.save(survey, stop, Sighting(stop_id=stop.id, site_id=site.id, bearing_deg=20.0))

        told = sighted(notebook, site)

    assert not any(offer.row.id == panel.id for offer in told.offers)
    assert "turned since, or noted wrong" in " ".join(told.words)
