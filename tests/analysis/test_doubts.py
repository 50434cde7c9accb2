"""What the notebook doubts, each kind made on purpose, and nothing where all is well."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from surveyapp.analysis.doubts import Doubt, DoubtKind, doubts_at, survey_doubts
from surveyapp.analysis.expectation import survey_view
from surveyapp.model import (
    NorthReference,
    Rat,
    Remark,
    SectorCarrier,
    Sighting,
    SiteStatus,
    StopScene,
)
from tests.analysis.street import FAR, LTE, NOON, NR, A, B, node, reading, scene, speed_run, stop


def found(given: StopScene, *kinds: DoubtKind) -> list[Doubt]:
    """The doubts at a stop, of some kinds or all but an unsettled sector."""
    every = doubts_at(given)
    wanted = kinds or tuple(set(DoubtKind) - {DoubtKind.NOT_SETTLED})
    return [doubt for doubt in every if doubt.kind in wanted]


def test_nothing_is_doubted_where_all_is_well() -> None:
    """A plain stop with a reading and a run has no doubt but the sector of the anchor."""
    assert found(scene()) == []


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        ({"rsrp_dbm": 84.0}, DoubtKind.RANGE, "NR RSRP of 84 dBm"),
        ({"rsrp_dbm": 2147483647.0}, DoubtKind.RANGE, "cannot be"),
        ({"rsrq_db": 30.0}, DoubtKind.RANGE, "NR RSRQ of 30 dB"),
        ({"sinr_db": 90.0}, DoubtKind.RANGE, "NR SINR of 90 dB"),
        ({"pci": 1008}, DoubtKind.RANGE, "NR PCI of 1008"),
        ({"rsrq_db": -20.0}, DoubtKind.CONTRADICTION, "does not go with SINR 14 dB"),
        ({"count": 40}, DoubtKind.BAND, "in n258 add up to 750 MHz more"),
        ({"count": 0}, DoubtKind.RANGE, "count of 0"),
        ({"band": "n999"}, DoubtKind.RANGE, "no band 'n999'"),
    ],
)
def test_each_impossible_value_of_a_reading_is_doubted(
    change: dict[str, Any], kind: DoubtKind, words: str
) -> None:
    """The row, the kind, and the number itself in the words."""
    doubts = found(scene(readings=(reading(replace(NR, **change), LTE),)))

    assert [(doubt.row_id, doubt.kind) for doubt in doubts] == [("reading a", kind)]
    assert words in doubts[0].words
    assert doubts[0].settle


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        ({"down_mbps": -1.0}, DoubtKind.RANGE, "download of -1"),
        ({"loss_pct": 120.0}, DoubtKind.RANGE, "loss of 120"),
        ({"down_mbps": 9000.0}, DoubtKind.PEAK, "above the peak of"),
        ({"ping_ms": 20.0, **FAR}, DoubtKind.PING, "light in fibre takes 34 ms"),
        ({"jitter_ms": 400.0}, DoubtKind.JITTER, "jitter of 400 ms"),
    ],
)
def test_each_impossible_value_of_a_run_is_doubted(
    change: dict[str, Any], kind: DoubtKind, words: str
) -> None:
    """Beside a run that went well."""
    doubts = found(scene(speed_runs=(speed_run(**change), speed_run("calm"))), kind)

    assert [doubt.row_id for doubt in doubts] == ["run"]
    assert words in doubts[0].words


def test_rsrq_goes_with_sinr_between_an_empty_and_a_full_cell() -> None:
    """LTE at 12 dB: TS 36.214's RSRQ lies between -10.8 and -4.3 dB; two more are spared."""
    for rsrq, doubted in ((-12.5, False), (-13.5, True), (-2.5, False), (-1.5, True)):
        given = scene(readings=(reading(NR, replace(LTE, rsrq_db=rsrq)),))

        assert bool(found(given, DoubtKind.CONTRADICTION)) is doubted


def test_a_position_worse_than_25_m_is_doubted() -> None:
    """25 m are still good."""
    for sigma, doubted in ((25.0, False), (26.0, True)):
        given = scene(stop=stop(position_sigma_m=sigma))

        assert bool(found(given, DoubtKind.POSITION)) is doubted


def test_a_pci_of_another_sector_is_doubted() -> None:
    """Noted for a node that was taken down, or for a panel that cannot be so strong here."""
    _, sector = node(carriers=(SectorCarrier(rat=Rat.NR, band="n258", bandwidth_mhz=100.0),))
    site, own = scene().sites[0], replace(sector, pci=17)
    gone = replace(site, id="old", name="Old", status=SiteStatus.GONE)
    olds = replace(own, id="old panel", site_id="old", pci=18)
    behind = replace(own, azimuth_deg=180.0, azimuth_sigma_deg=1.0)
    loud = reading(replace(NR, pci=17, rsrp_dbm=-50.0))

    def words(given: StopScene) -> list[str]:
        return [doubt.words for doubt in found(given, DoubtKind.PCI)]

    assert words(scene(sectors=(own,), readings=(reading(replace(NR, pci=17)),))) == []
    assert words(
        scene(sites=(site, gone), sectors=(own, olds), readings=(reading(replace(NR, pci=18)),))
    ) == ["PCI 18 is noted for Old S1, yet Node S1 most likely serves the 5G leg."]
    assert words(scene(sectors=(behind,), readings=(loud,))) == [
        "PCI 17 is noted for Node S1, yet no listed sector most likely serves the 5G leg."
    ]


def test_the_same_pci_on_lte_is_another_cell() -> None:
    """504 numbers serve both technologies."""
    _, sector = node(carriers=(SectorCarrier(rat=Rat.NR, band="n258", bandwidth_mhz=100.0),))
    anchor = (SectorCarrier(rat=Rat.LTE, band="B3", pci=18),)
    unlike = replace(sector, id="lte", label="S2", carriers=anchor)
    given = scene(sectors=(sector, unlike), readings=(reading(replace(NR, pci=18)),))

    assert found(given, DoubtKind.PCI) == []


def test_steel_near_the_compass_is_doubted_where_told() -> None:
    """By a remark, or by standing beneath a post; never for a bearing from the plan."""
    bearing = Sighting(id="seen", stop_id="stop", site_id="node", bearing_deg=180.0)
    remark = Remark(stop_id="stop", time_utc=NOON, text="Parked cars and a steel railing here.")
    by_plan = replace(bearing, raw_reference=NorthReference.TRUE)

    assert found(scene(sightings=(bearing,)), DoubtKind.STEEL) == []
    assert found(scene(sightings=(bearing,), remarks=(remark,)), DoubtKind.STEEL)
    assert found(scene(sightings=(bearing,), stop=stop(distance_m=2.0)), DoubtKind.STEEL)
    assert found(scene(sightings=(by_plan,), remarks=(remark,)), DoubtKind.STEEL) == []


def test_an_unsettled_sector_is_doubted_with_what_would_settle_it() -> None:
    """Two panels that cannot be told apart."""
    _, sector = node(azimuth_deg=None)
    twin = replace(sector, id="twin", label="S2")
    doubts = found(scene(sectors=(sector, twin)), DoubtKind.NOT_SETTLED)

    assert doubts
    assert all(doubt.settle for doubt in doubts)


def test_runs_against_servers_far_from_each_other_are_doubted() -> None:
    """Only the farther one, and only beyond 100 km."""
    runs = (speed_run(), speed_run("far", **FAR))

    assert [doubt.row_id for doubt in found(scene(speed_runs=runs), DoubtKind.SERVERS)] == ["far"]


def test_one_phone_that_always_goes_first_is_doubted() -> None:
    """From four stops on; taking turns settles it."""
    later = reading(device=B, time_utc=NOON + timedelta(minutes=5))
    sooner = reading(device=B, time_utc=NOON)
    always = [scene(readings=(reading(), later))] * 4
    turns = [*always[:3], scene(readings=(reading(), sooner))]

    def orders(scenes: list[StopScene]) -> list[str]:
        return [d.row_id for d in survey_doubts(survey_view(scenes)) if d.kind is DoubtKind.ORDER]

    assert orders(always) == [A.id]
    assert orders(turns) == []
    assert orders(always[:3]) == []


def test_a_clock_set_back_between_two_stops_is_doubted() -> None:
    """Stops dated as they were started tell so by their numbers; a later one that was split off
    with an earlier time, or brought in, does not."""
    times = (0, 10, 20, -95, -80)
    walked = [
        stop(id=f"stop {number}", number=number, time_utc=NOON + timedelta(minutes=minutes),
             created_utc=NOON + timedelta(minutes=minutes, seconds=1))
        for number, minutes in enumerate(times, start=1)
    ]  # fmt: skip
    split_off = replace(walked[-1], id="stop 6", number=6, time_utc=NOON - timedelta(minutes=99))
    view = survey_view([StopScene(survey=scene().survey, stop=one) for one in (*walked, split_off)])
    doubts = [doubt for doubt in survey_doubts(view) if doubt.kind is DoubtKind.CLOCK]

    assert [doubt.row_id for doubt in doubts] == ["stop 4"]
    assert doubts[0].words == "A clock was set back between stop 3 and stop 4."
