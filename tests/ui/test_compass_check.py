"""The compass check: what is known is sighted, and later bearings are offered corrected."""

from __future__ import annotations

import pytest

from surveyapp.geometry.geodesy import inverse
from surveyapp.model import CheckedAgainst, CompassCheck, Sighting, Site
from tests.ui import field_day
from tests.ui.harness import Pilot, frames


def test_a_check_against_a_site_corrects_later_bearings(pilot: Pilot) -> None:
    """The offset is told before it is kept; the corrected bearing comes by one touch."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    notebook, stop = pilot.session.notebook, pilot.session.stop
    north = inverse(stop.lat_deg, stop.lon_deg, stop.lat_deg + 0.004, stop.lon_deg)
    notebook.save(Site(name="Church tower", lat_deg=stop.lat_deg + 0.004, lon_deg=stop.lon_deg))
    pilot.session.refresh()
    frames(6)
    assert north.azimuth_deg == pytest.approx(0.0, abs=1e-6)

    pilot.touch("Compass check")
    pilot.touch("Church tower")
    for key in "345":
        pilot.touch_key(key)
    assert pilot.says("0° true · off by +4.6°")  # declination 10.4 there: 345 reads as 355.4
    pilot.touch("Save")
    check = notebook.all(CompassCheck)[0]
    assert check.offset_deg == pytest.approx(4.6, abs=0.3)
    assert check.checked_against is CheckedAgainst.SITE

    pilot.touch("Sighting")
    pilot.touch("Mill Street 3")
    for key in "351":
        pilot.touch_key(key)
    pilot.touch("356° by Phone A's check")
    pilot.touch("Save")
    sighting = notebook.all(Sighting)[0]
    assert sighting.raw_bearing_deg == pytest.approx(351.0 + check.offset_deg, abs=0.06)


def test_a_check_against_something_too_near_is_refused(pilot: Pilot) -> None:
    """The sheet stays with the sentence, and nothing is kept."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    notebook, stop = pilot.session.notebook, pilot.session.stop
    notebook.save(Site(name="Post", lat_deg=stop.lat_deg + 0.0001, lon_deg=stop.lon_deg))
    pilot.session.refresh()
    frames(6)
    pilot.touch("Compass check")
    pilot.touch("Post")
    pilot.touch_key("9")
    pilot.touch("Save")

    assert pilot.says("that gives no bearing. Take something further away.")
    assert notebook.count(CompassCheck) == 0
