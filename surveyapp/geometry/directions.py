"""Directions in words."""

from __future__ import annotations

_WORDS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)


def compass_word(azimuth_deg: float) -> str:
    """The nearest of the eight main directions, e.g. 'north-east'."""
    return _WORDS[round(azimuth_deg / 45.0) % 8]
