"""The page of a site by touch: what its sightings tell is taken over, and its visits are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.model import PositionFrom, Sector, Sighting, Site, Stop
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
