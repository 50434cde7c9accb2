"""Carriers as noted, turned into links with what is mostly met."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.model import Carrier, Rat, Role
from surveyapp.radio.bands import Direction
from surveyapp.radio.expected_rate import expected_rate
from surveyapp.radio.usual_link import usual_link


@pytest.mark.parametrize(
    ("carrier", "link", "slots"),
    [
        (Carrier(band="n258", bandwidth_mhz=100, count=4), "4x100@120kHz:2L64QAM", "DDDSU"),
        (Carrier(band="n78", bandwidth_mhz=100), "1x100@30kHz:4L256QAM", "DDDDDDDSUU"),
        (Carrier(mhz=3600.0, bandwidth_mhz=40), "1x40@30kHz:4L256QAM", "DDDDDDDSUU"),
        (Carrier(band="n28", bandwidth_mhz=10), "1x10@15kHz:2L256QAM", None),
        (Carrier(channel=422_000, bandwidth_mhz=20), "1x20@15kHz:4L256QAM", None),
        (Carrier(rat=Rat.LTE, channel=6300, bandwidth_mhz=10, role=Role.ANCHOR),
         "lte 1x10:2L64QAM", None),
        (Carrier(rat=Rat.LTE, band="B40", bandwidth_mhz=20), "lte 1x20:2L64QAM", "DSUDD"),
    ],
)  # fmt: skip
def test_a_noted_carrier_becomes_the_link_mostly_met(
    carrier: Carrier, link: str, slots: str | None
) -> None:
    """From a band, a frequency or a channel number; each guess is marked as one."""
    usual = usual_link(carrier)

    assert str(usual.carrier) == link
    assert (usual.tdd.slots if usual.tdd else None) == slots
    assert all("common practice" in line for line in usual.assumed)
    assert usual.tdd is None or "common practice" in usual.tdd.note


def test_the_links_of_a_whole_reading_give_an_expected_rate() -> None:
    """Four millimetre-wave carriers in 74 % of the time, and the anchor in all of it."""
    reading = [
        Carrier(band="n258", bandwidth_mhz=100, count=4),
        Carrier(rat=Rat.LTE, band="B20", bandwidth_mhz=10, role=Role.ANCHOR),
    ]
    links = [usual_link(carrier) for carrier in reading]
    expected = expected_rate(
        [link.carrier for link in links], [14.0, 8.0], tdd=[link.tdd for link in links]
    )

    assert [part.share for part in expected.parts] == pytest.approx([52 / 70, 1.0])
    assert links[0].tdd is not None
    assert links[0].tdd.share(Direction.UP) == pytest.approx(16 / 70)


@pytest.mark.parametrize(
    ("carrier", "missing"),
    [(Carrier(band="n78"), "bandwidth"), (Carrier(bandwidth_mhz=20), "band or channel")],
)
def test_what_was_not_noted_is_asked_for(carrier: Carrier, missing: str) -> None:
    """No rate is made up for a carrier of unknown width or place."""
    with pytest.raises(NoAnswer, match=f"The {missing} of the NR carrier is not noted"):
        usual_link(carrier)


def test_a_width_the_band_cannot_have_is_refused() -> None:
    """70 MHz do not exist with 15 kHz."""
    with pytest.raises(InvalidValue, match="70 MHz does not exist with 15 kHz"):
        usual_link(Carrier(band="n28", bandwidth_mhz=70))
