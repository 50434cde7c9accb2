"""The expectation strip: what stands where, and the same in words."""

from __future__ import annotations

import re

import pytest

from surveyapp.analysis.expected import Expected
from surveyapp.report.strip import EDGE, WIDTH, strip_svg
from tests.report.reading_pages import Page

LEVEL = Expected(quantity="RSRP", unit="dBm", low=-156.0, high=-31.0, mean=-90.0, sigma=8.0,
                 measured=-98.0)  # fmt: skip
TENTH_OF_A_UNIT = 0.051


def share(value: float) -> float:
    """Where a value stands, worked out by hand from the strip's ends."""
    return EDGE + (WIDTH - 2 * EDGE) * (value + 156.0) / 125.0


def test_band_and_tick_stand_in_proportion_to_the_whole_range() -> None:
    """One and two standard deviations about the expected value, a mark at the one read."""
    read = Page(str(strip_svg(LEVEL)))
    far, near = read.of("rect")
    tick = re.match(r"M([\d.]+)", read.of("path", "tick")[0].attributes["d"])

    assert float(near.attributes["x"]) == pytest.approx(share(-98.0), abs=TENTH_OF_A_UNIT)
    assert float(near.attributes["width"]) == pytest.approx(
        share(-82.0) - share(-98.0), abs=2 * TENTH_OF_A_UNIT
    )
    assert float(far.attributes["x"]) == pytest.approx(share(-106.0), abs=TENTH_OF_A_UNIT)
    assert tick
    assert float(tick[1]) == pytest.approx(share(-98.0), abs=TENTH_OF_A_UNIT)


def test_the_strip_is_told_in_words() -> None:
    """Whoever does not see it reads the same numbers."""
    read = Page(str(strip_svg(LEVEL)))

    assert read.elements[0].attributes["aria-label"] == (
        "RSRP −98 dBm, expected −90 ± 8 dBm, on a strip from −156 to −31 dBm"
    )


def test_a_value_beyond_the_range_stays_on_the_strip() -> None:
    """Impossible values stand at the end, and the text tells what was noted."""
    beyond = Expected(quantity="RSRP", unit="dBm", low=-156.0, high=-31.0, measured=20.0)
    read = Page(str(strip_svg(beyond)))

    assert f"M{WIDTH - EDGE:.1f}" in read.of("path", "tick")[0].attributes["d"]
    assert "RSRP 20 dBm, nothing expected" in read.elements[0].attributes["aria-label"]


def test_nothing_to_show_draws_nothing() -> None:
    """No empty rule stands for a value nobody noted or expected."""
    assert strip_svg(Expected(quantity="Up", unit="Mbit/s", low=0.0, high=1.0)) == ""


def test_an_uneven_band_is_drawn_from_its_least_to_its_most() -> None:
    """'342 ± 152' stood beside '240 to 545': there is one range, told and drawn."""
    rate = Expected(quantity="Down", unit="Mbit/s", low=0.0, high=958.0, mean=342.0,
                    measured=372.0, least=240.0, most=545.0)  # fmt: skip
    read = Page(str(strip_svg(rate)))
    (band,) = read.of("rect")
    scale = (WIDTH - 2 * EDGE) / 958.0

    assert float(band.attributes["x"]) == pytest.approx(EDGE + 240.0 * scale, abs=TENTH_OF_A_UNIT)
    assert float(band.attributes["width"]) == pytest.approx(305.0 * scale, abs=2 * TENTH_OF_A_UNIT)
    assert "expected 342 Mbit/s (240 to 545)" in read.elements[0].attributes["aria-label"]
    assert rate.sigmas == pytest.approx(30.0 / 203.0)
