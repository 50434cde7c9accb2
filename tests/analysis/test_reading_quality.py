"""Received power, load and what a SINR carries, as lines of a sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest

from surveyapp.analysis.reading_quality import quality_lines
from surveyapp.model import Carrier
from tests.analysis.street import LTE, NR

A_HUNDREDTH_DB = 0.01


def line(carrier: Carrier, term: str) -> tuple[float | None, str]:
    """Number and note of one line."""
    return next((one.number, one.note) for one in quality_lines(carrier) if one.term == term)


def test_rssi_counts_the_blocks_of_the_carrier() -> None:
    """TS 36.214: RSRP + 10 log10 N - RSRQ; 20 MHz of LTE hold 100 blocks, -85 + 20 + 8 dBm."""
    assert line(LTE, "RSSI")[0] == pytest.approx(-57.0, abs=A_HUNDREDTH_DB)


def test_load_and_what_the_sinr_carries_are_told() -> None:
    """A loaded LTE cell; the modulation and the share of the peak in words."""
    used, note = line(LTE, "cell in use")

    assert used is not None
    assert 0.0 < used < 100.0
    assert "TS 36.214" in note
    assert "of peak" in line(NR, "SINR carries")[1]


def test_what_contradicts_itself_is_said_not_counted() -> None:
    """RSRQ -20 dB at SINR 14 dB; a carrier of no known width."""
    assert line(replace(NR, rsrq_db=-20.0), "cell in use")[0] is None
    assert "does not go with" in line(replace(NR, rsrq_db=-20.0), "cell in use")[1]
    assert line(replace(NR, bandwidth_mhz=None), "RSSI")[0] is None


def test_nothing_read_gives_no_line() -> None:
    """An empty carrier."""
    assert quality_lines(Carrier()) == ()
