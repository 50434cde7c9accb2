"""Leads ticked off by standing there."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from surveyapp.analysis.leads import leads_at, open_leads, ticked_off
from surveyapp.errors import InvalidValue
from surveyapp.model import Site, SiteStatus, Stop
from tests.analysis.streets import world


def lead(name: str, east_m: float, status: SiteStatus = SiteStatus.LEAD) -> Site:
    """A lead so far east of the centre."""
    lat_deg, lon_deg = world(east_m, 0.0)
    return Site(name=name, lat_deg=lat_deg, lon_deg=lon_deg, status=status, text="by the kiosk")


def stop(lat_deg: float | None, lon_deg: float | None) -> Stop:
    """A stop there."""
    when = datetime(2026, 5, 4, tzinfo=UTC)
    return Stop(survey_id="s", number=1, time_utc=when, lat_deg=lat_deg, lon_deg=lon_deg)


def test_standing_there_offers_the_leads_at_hand() -> None:
    """Within 40 m, nearest first; sites that are no leads any more are not asked about."""
    done = lead("done", 3.0, SiteStatus.LIVE)
    nowhere = Site(name="nowhere", status=SiteStatus.LEAD)
    sites = [lead("far", 60.0), lead("near", 20.0), lead("nearest", -5.0), done, nowhere]
    found = leads_at(stop(*world(0.0, 0.0)), sites)

    assert [one.site.name for one in found] == ["nearest", "near"]
    assert found[0].distance_m == pytest.approx(5.0, abs=0.01)
    assert leads_at(stop(None, None), sites) == ()
    assert [site.name for site in open_leads(sites)] == ["far", "near", "nearest", "nowhere"]


def test_a_lead_ticked_off_keeps_its_words_and_takes_what_was_found() -> None:
    """The status changes and the note grows; nothing else does."""
    done = ticked_off(lead("A", 0.0), SiteStatus.DARK, "panel hangs, no signal ")

    assert (done.status, done.text) == (SiteStatus.DARK, "by the kiosk\npanel hangs, no signal")
    with pytest.raises(InvalidValue, match="not as lead"):
        ticked_off(done, SiteStatus.LEAD)
