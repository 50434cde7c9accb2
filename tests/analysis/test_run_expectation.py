"""A speed run against what its carriers should carry, and what limits it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from surveyapp.analysis.expectation import expectations_at
from surveyapp.analysis.expected import Cause
from surveyapp.analysis.ping import lowest_ping_ms
from surveyapp.analysis.run_expectation import RunExpectation
from surveyapp.model import Carrier, Mode, Rat, Remark, RemarkKind, Role, StopScene, Streams
from surveyapp.radio.expected_rate import expected_rate
from surveyapp.radio.rate_notation import link_carriers
from surveyapp.radio.tdd import tdd_pattern
from tests.analysis.street import FAR, LTE, NOON, NR, B, reading, scene, speed_run

ONE_PER_CENT = 0.01
A_MILLIONTH_MBPS = 1e-6


def expected(given: StopScene, run_id: str = "run") -> RunExpectation:
    """What is expected of one run."""
    found = expectations_at(given).of_run(run_id)
    assert found is not None
    return found


def causes(given: StopScene, run_id: str = "run") -> list[Cause]:
    """The causes in order."""
    return [limit.cause for limit in expected(given, run_id).limits]


def test_light_in_fibre_takes_five_microseconds_a_kilometre() -> None:
    """Handbook value (common practice); there and back over 1000 km is a ping of 10 ms."""
    assert lowest_ping_ms(1_000_000.0) == pytest.approx(10.0, rel=ONE_PER_CENT)


def test_the_expected_rate_is_that_of_the_carriers_at_their_own_sinr() -> None:
    """Four millimetre-wave carriers at 14 dB with their anchor at 12 dB, as `rate` works it out."""
    links = link_carriers("4x100@120kHz:2L64QAM + lte 1x20:2L64QAM")
    rate = expected_rate(links, [14.0, 12.0], tdd=[tdd_pattern("DDDSU"), None])
    found = expected(scene())

    assert found.likely_mbps == pytest.approx(rate.likely_mbps, abs=A_MILLIONTH_MBPS)
    assert found.peak_mbps == pytest.approx(rate.peak_mbps, abs=A_MILLIONTH_MBPS)
    assert found.share == pytest.approx(700.0 / rate.likely_mbps, rel=ONE_PER_CENT)
    assert found.down.high == found.peak_mbps


def test_two_runs_at_a_time_share_the_cell() -> None:
    """Half the rate is expected of each, and the other run is named."""
    alone = expected(scene())
    pair = (speed_run(together_with="other"), speed_run("other", B, together_with="run"))
    shared = scene(speed_runs=pair, readings=(reading(), reading(device=B)))

    assert expected(shared).likely_mbps == pytest.approx(
        0.5 * (alone.likely_mbps or 0.0), rel=ONE_PER_CENT
    )
    assert Cause.SHARED in causes(shared)


@pytest.mark.parametrize(
    ("carriers", "words"),
    [
        ((replace(NR, sinr_db=None),), "no SINR is noted"),
        ((replace(NR, bandwidth_mhz=None),), "The bandwidth of the NR carrier is not noted"),
        ((Carrier(bandwidth_mhz=20.0),), "The band or channel of the NR carrier is not noted"),
        ((replace(NR, bandwidth_mhz=70.0),), "70 MHz"),
        ((replace(NR, count=99),), "99 carriers"),
        ((replace(NR, sinr_db=90.0),), "no SINR is noted"),
    ],
)
def test_it_says_that_it_cannot_tell_and_what_is_missing(
    carriers: tuple[Carrier, ...], words: str
) -> None:
    """No rate is made up for a set that was not noted, or cannot be."""
    found = expected(scene(readings=(reading(*carriers),)))

    assert found.likely_mbps is None
    assert found.words.startswith("Cannot tell what to expect")
    assert words in found.words
    assert found.down.mean is None


def test_an_anchor_without_sinr_is_left_out_and_named() -> None:
    """The lesser part of the peak may lack its SINR: the rest is told, and what is missing."""
    anchor = Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="B20", bandwidth_mhz=10.0)
    with_anchor = expected(scene(readings=(reading(NR, anchor),)))
    alone = expected(scene(readings=(reading(NR),)))
    notes = [line.note for line in with_anchor.rate_lines if line.term == "assumed"]

    assert with_anchor.likely_mbps == alone.likely_mbps is not None
    assert (with_anchor.peak_mbps or 0.0) > (alone.peak_mbps or 0.0)
    assert notes[0].startswith("10 MHz LTE anchor is not counted")


def test_without_a_reading_of_the_phone_it_cannot_tell() -> None:
    """A run alone says nothing of its carriers; another phone's reading is not borrowed."""
    assert "no reading of this phone" in expected(scene(readings=(reading(device=B),))).words


def test_a_run_without_its_reading_takes_the_phones_nearest_one() -> None:
    """The reading need not be linked by hand."""
    assert expected(scene()).likely_mbps is not None
    assert scene().speed_runs[0].reading_id is None


@pytest.mark.parametrize(
    ("run", "first"),
    [
        ({}, Cause.RADIO),
        ({"down_mbps": 100.0, "ping_ms": 60.0, **FAR}, Cause.FAR_SERVER),
        ({"down_mbps": 100.0, "streams": Streams.ONE}, Cause.ONE_STREAM),
        ({"down_mbps": 100.0, "up_mbps": 0.5}, Cause.UPLINK),
        ({"down_mbps": 100.0}, Cause.UNKNOWN),
        ({"jitter_ms": 400.0}, Cause.WILD_JITTER),
        ({"loss_pct": 5.0}, Cause.LOSS),
    ],
)
def test_the_first_limit_is_the_one_that_was_made(run: dict[str, Any], first: Cause) -> None:
    """Each cause by itself, beside a run that went well."""
    runs = (speed_run(**run), speed_run("calm"))

    assert causes(scene(speed_runs=runs))[0] is first


def test_a_few_carriers_are_told_by_the_sectors_record_or_another_phone() -> None:
    """One carrier of four: a quarter of the 5G rate, whatever else is noted."""
    one = reading(replace(NR, count=1), LTE)
    by_sector = scene(readings=(one,))
    by_phone = scene(readings=(one, reading(device=B)), sectors=(), sites=())

    assert causes(by_sector)[0] is Cause.FEW_CARRIERS
    assert causes(by_phone)[0] is Cause.FEW_CARRIERS
    assert "Phone B held 400 MHz" in expected(by_phone).limits[0].words


def test_a_lost_5g_leg_is_named() -> None:
    """LTE alone beside a node that carries 5G, with and without a remark."""
    alone = scene(readings=(reading(LTE, mode=Mode.LTE),), speed_runs=(speed_run(down_mbps=60.0),))
    lost = Remark(stop_id="stop", device_id="a", time_utc=NOON, kind=RemarkKind.LOST_5G)

    assert causes(alone)[0] is Cause.NO_5G
    assert "as you remarked" in expected(replace(alone, remarks=(lost,))).limits[0].words


def test_a_phone_is_blamed_only_where_its_runs_are_slower_on_the_whole() -> None:
    """The median of all its runs against another phone's with the same carriers and SINR."""
    both = (reading(), reading(device=B))
    slow = [speed_run(f"a{n}", down_mbps=300.0) for n in range(3)]
    fast = [speed_run(f"b{n}", B, down_mbps=700.0) for n in range(3)]
    better = [replace(run, down_mbps=680.0) for run in slow[1:]]

    assert causes(scene(readings=both, speed_runs=(*slow, *fast)), "a0")[0] is Cause.PHONE
    assert causes(scene(readings=both, speed_runs=(slow[0], *better, *fast)), "a0")[0] is (
        Cause.UNKNOWN
    )


def test_a_stop_without_a_position_still_judges_its_runs() -> None:
    """Only the ping and the sector need a place."""
    nowhere = scene(stop=replace(scene().stop, lat_deg=None, lon_deg=None))
    found = expected(nowhere)

    assert found.likely_mbps is not None
    assert found.lowest_ping_ms is None
    assert found.ping.mean is None
