"""Rows of the published tables under tests/authorities, and sizes, for the geometry tests."""

from __future__ import annotations

import csv
from pathlib import Path

AUTHORITIES = Path(__file__).resolve().parent.parent / "authorities"

TEN_NANOMETRES = 1e-8
ONE_MICROMETRE = 1e-6
HUNDREDTH_MM = 1e-5
ONE_MILLIMETRE = 1e-3
ROUNDING_DEG = 1e-13  # two units in the last place of a double near 360
BILLIONTH_DEG = 1e-9
HUNDRED_MILLIONTH_DEG = 1e-8
HALF_MILLIONTH_DEG = 0.5e-6


def rows(name: str) -> list[dict[str, float]]:
    """Rows of a CSV file of numbers whose first lines, starting with '#', name the source."""
    lines = _lines(name)
    return [
        {key: float(value) for key, value in row.items()}
        for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    ]


def columns(name: str) -> list[list[float]]:
    """Lines of a file of numbers set apart by blanks, under a header that names the source."""
    return [
        [float(word) for word in line.split()]
        for line in _lines(name)
        if line.strip() and not line.startswith("#")
    ]


def _lines(name: str) -> list[str]:
    lines = (AUTHORITIES / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("#"), f"{name} does not name its source"
    return lines
