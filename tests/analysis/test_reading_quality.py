"""Received power, load and what a SINR carries, as lines of a sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest

from surveyapp.analysis.reading_quality import quality_lines, rules_of_thumb, signalled_lines
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


def test_what_the_phone_signals_for_each_value_is_told() -> None:
    """TS 38.133 table 10.1.6.1-1: SS-RSRP_71 stands for -86 dBm up to -85; LTE has no SINR row."""
    told = {
        one.term: (one.number, one.note) for one in signalled_lines(replace(NR, rsrp_dbm=-86.0))
    }
    weak = signalled_lines(replace(LTE, rsrp_dbm=-141.0, rsrq_db=None))

    assert told["RSRP report index"] == (71.0, "from -86 up to -85 dBm, TS 38.133")
    assert set(told) == {"RSRP report index", "RSRQ report index", "SINR report index"}
    assert [(one.number, one.note) for one in weak] == [(0.0, "below -140 dBm, TS 36.133")]


def test_rules_of_thumb_are_those_of_the_values_noted() -> None:
    """None about what was not read, none at all for a carrier without values."""
    bare = replace(NR, rsrp_dbm=-86.0, rsrq_db=None, sinr_db=None)
    rules = rules_of_thumb(bare)

    assert [rule.split()[0] for rule in rules] == ["RSRP", "Two", "A"]
    assert all(rule.endswith("(common practice).") for rule in rules)
    assert rules_of_thumb(replace(bare, rsrp_dbm=None)) == ()
