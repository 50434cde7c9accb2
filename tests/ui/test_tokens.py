"""Contrast of every colour of text and of marks, in both themes."""

from __future__ import annotations

import pytest

from surveyapp.ui import tokens

ROWS = [(name, *pair) for name in tokens.PALETTES for pair in tokens.TEXT_ON]
MARKS = [(name, *pair) for name in tokens.PALETTES for pair in tokens.MARK_ON]


def test_the_formula_gives_the_published_ends() -> None:
    """WCAG 2.2 states 21:1 for black on white and 1:1 for a colour on itself."""
    assert tokens.contrast("#000000", "#ffffff") == pytest.approx(21.0, abs=1e-9)
    assert tokens.contrast("#777777", "#777777") == pytest.approx(1.0, abs=1e-9)


def test_the_formula_gives_a_well_known_middle_value() -> None:
    """#767676 on white is the lightest grey that reaches 4.5:1 (4.54; common practice)."""
    assert tokens.contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize(("name", "text", "ground"), ROWS)
def test_text_reaches_seven_to_one(name: str, text: str, ground: str) -> None:
    """WCAG 2.2, 1.4.6 (AAA)."""
    palette = tokens.PALETTES[name]

    assert tokens.contrast(getattr(palette, text), getattr(palette, ground)) >= 7.0


@pytest.mark.parametrize(("name", "mark", "ground"), MARKS)
def test_marks_reach_three_to_one(name: str, mark: str, ground: str) -> None:
    """WCAG 2.2, 1.4.11 (AA)."""
    palette = tokens.PALETTES[name]

    assert tokens.contrast(getattr(palette, mark), getattr(palette, ground)) >= 3.0
