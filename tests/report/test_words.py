"""The page's own wording: what holds together at a line's end."""

from __future__ import annotations

import pytest

from surveyapp.report.words import unbroken


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("RSRP −71 dBm, SINR 7 dB", "RSRP~−71~dBm, SINR~7~dB"),
        ("anchor B3 20 MHz, PCI 430", "anchor B3 20~MHz, PCI~430"),
        ("60.17012, 24.94120 ± 8 m", "60.17012, 24.94120~±~8~m"),
        ("4 × 100 MHz at 26.5 GHz, up to 14 %", "4~×~100~MHz at 26.5~GHz, up to 14~%"),
        ("2 marks at stop 3, 15 minutes in", "2 marks at stop~3, 15 minutes in"),
    ],
)
def test_a_figure_stays_with_its_unit_at_a_lines_end(text: str, held: str) -> None:
    """On a phone 'loss 0' once ended a line and '%' began the next."""
    assert unbroken(text).replace("\u00a0", "~") == held
