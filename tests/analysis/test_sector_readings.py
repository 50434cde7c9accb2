"""Which readings count for a sector, and what stands in where there are too few."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from surveyapp.analysis.cover_chance import cover_chance
from surveyapp.analysis.coverage import sector_levels, settled_readings
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.predicted_levels import PredictedLevels, predicted_levels
from surveyapp.analysis.sector_fit import SectorFit
from surveyapp.analysis.sector_readings import measured_places
from surveyapp.analysis.standing import LegAnswer
from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving import Candidate, Observation, Ranked, ServingAnswer, serving
from surveyapp.model import (
    Carrier,
    Rat,
    Reading,
    Sector,
    SectorCarrier,
    Site,
    SiteKind,
    SiteStatus,
    Stop,
)  # fmt: skip
from tests.analysis.streets import CENTRE, house, world

NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)
SITE = Site(
    name="Node A", lat_deg=CENTRE[0], lon_deg=CENTRE[1], height_m=8.0, kind=SiteKind.LAMP_POST,
    status=SiteStatus.LIVE,
)  # fmt: skip
SECTOR = Sector(
    site_id=SITE.id, label="S1", azimuth_deg=90.0, pci=77,
    carriers=(SectorCarrier(band="n78", mhz=3500.0, bandwidth_mhz=100.0),),
)  # fmt: skip


def stop(number: int, east_m: float) -> Stop:
    """A stop so far east of the site."""
    lat_deg, lon_deg = world(east_m, 0.0)
    return Stop(survey_id="s", number=number, time_utc=NOW, lat_deg=lat_deg, lon_deg=lon_deg)


def reading(at: Stop, device: str, *carriers: Carrier) -> Reading:
    """What one phone showed."""
    return Reading(stop_id=at.id, device_id=device, time_utc=NOW, carriers=carriers)


def test_a_stop_counts_once_with_the_phones_offsets_taken_off() -> None:
    """Two phones at one stop are one place; another PCI, another rat, no level do not count."""
    near, far = stop(1, 50.0), stop(2, 120.0)
    readings = [
        reading(near, "a", Carrier(pci=77, rsrp_dbm=-80.0)),
        reading(near, "b", Carrier(pci=77, rsrp_dbm=-84.0), Carrier(pci=5, rsrp_dbm=-60.0)),
        reading(far, "a", Carrier(rat=Rat.LTE, pci=77, rsrp_dbm=-70.0), Carrier(pci=77)),
    ]
    places = measured_places(
        SITE, SECTOR, [near, far], readings, offsets={"b": PhoneOffset(offset_db=-2.0)}
    )

    assert [(p.stop_id, p.rsrp_dbm, p.readings) for p in places] == [(near.id, -81.0, 2)]


def test_a_settled_answer_names_a_reading_without_a_pci() -> None:
    """At 90 % and more the reading is the sector's, unless its PCI says otherwise."""
    at = stop(1, 60.0)
    silent, other = (
        reading(at, "a", Carrier(rsrp_dbm=-80.0)),
        reading(at, "b", Carrier(pci=5, rsrp_dbm=-90.0)),
    )

    def answer(to: Reading, probability: float) -> LegAnswer:
        ranked = Ranked(sector_id=SECTOR.id, name="Node A S1", probability=probability)
        told = ServingAnswer(ranking=(ranked,), settle="", reasons=())
        return LegAnswer(leg="5G leg", device_id=to.device_id, reading_id=to.id, answer=told)

    settled = settled_readings([answer(silent, 0.95), answer(other, 0.95)])
    places = measured_places(SITE, SECTOR, [at], [silent, other], attributed=settled)

    assert settled_readings([answer(silent, 0.8)]) == set()
    assert measured_places(SITE, SECTOR, [at], [silent, other]) == ()
    assert [(p.rsrp_dbm, p.readings) for p in places] == [(-80.0, 1)]


def test_buildings_tell_which_places_are_in_sight() -> None:
    """A house between site and stop, and none."""
    stops = [stop(1, 50.0), stop(2, -50.0)]
    readings = [reading(one, "a", Carrier(pci=77, rsrp_dbm=-80.0)) for one in stops]
    walls = [house(20.0, -10.0, 35.0, 10.0)]

    assert [p.clear for p in measured_places(SITE, SECTOR, stops, readings, buildings=walls)] == [
        False, True,
    ]  # fmt: skip


def test_a_sector_with_few_readings_is_told_by_the_standard_with_the_reason() -> None:
    """Three places: the standard's model and why; six near and far: the fit."""
    stops = [stop(k, 20.0 + 40.0 * k) for k in range(6)]
    readings = [
        reading(one, "a", Carrier(pci=77, rsrp_dbm=-70.0 - 6.0 * k)) for k, one in enumerate(stops)
    ]
    few = sector_levels(SITE, SECTOR, stops[:3], readings)
    many = sector_levels(SITE, SECTOR, stops, readings)

    assert isinstance(few.model, PredictedLevels)
    assert "3 places" in few.why_not
    assert len(few.measured) == 3
    assert isinstance(many.model, SectorFit)
    assert many.is_fit
    assert many.why_not == ""


def test_the_standards_levels_are_those_of_the_serving_question() -> None:
    """At three places the mean equals what `serving` predicts for an exactly known panel."""
    sector = replace(SECTOR, azimuth_sigma_deg=0.0)
    (model,) = predicted_levels(replace(SITE, position_sigma_m=0.0), [sector])
    plane = Plane(*CENTRE)
    for east_m, north_m in ((60.0, 10.0), (30.0, -40.0), (150.0, 60.0)):
        lat_deg, lon_deg = world(east_m, north_m)
        answer = serving(
            Observation(lat_deg=lat_deg, lon_deg=lon_deg, position_sigma_m=0.0, mhz=3500.0),
            [replace_name(model.candidate)],
        )
        ways = model.panel.ways(plane, np.array([east_m]), np.array([north_m]))

        assert model.levels(ways).mean_dbm[0] == pytest.approx(
            answer.ranking[0].predicted_rsrp_dbm, abs=0.05
        )


def replace_name(candidate: Candidate) -> Candidate:
    """The same candidate under another name."""
    return replace(candidate, name="asked")


def test_what_covers_nothing_is_refused() -> None:
    """A site that is gone, one without a position, a sector without an azimuth."""
    with pytest.raises(NoAnswer, match="covers nothing"):
        sector_levels(replace(SITE, status=SiteStatus.GONE), SECTOR, [], [])
    with pytest.raises(NoAnswer, match="no position"):
        sector_levels(replace(SITE, lat_deg=None), SECTOR, [], [])
    with pytest.raises(NoAnswer, match="no azimuth"):
        sector_levels(SITE, replace(SECTOR, azimuth_deg=None), [], [])


def test_a_lead_covers_less_surely_than_a_live_site() -> None:
    """Whether it is on air at all is part of the chance."""
    plane, at = Plane(*CENTRE), (np.array([40.0]), np.array([0.0]))
    chances = []
    for status in (SiteStatus.LIVE, SiteStatus.LEAD):
        models = predicted_levels(replace(SITE, status=status), [SECTOR])
        chances.append(cover_chance(models, plane, *at, -100.0)[0])

    assert chances[0] > 0.9 > 0.7 > chances[1]
