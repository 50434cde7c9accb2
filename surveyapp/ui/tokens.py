"""The look in numbers: the sizes of everything, and the contrast of the themes' colours.

No Kivy here, so that contrast can be checked without a window. Colours are sRGB in
`#rrggbb`, shared with the report; sizes are density-independent pixels (dp), text sizes
scalable ones (sp).
"""

from __future__ import annotations

from dataclasses import fields

from surveyapp.report.look import DAY, NIGHT, PALETTES, Palette

__all__ = ["DAY", "NIGHT", "PALETTES", "Palette"]

TARGET_DP = 48  # least size of anything that can be touched
MAIN_TARGET_DP = 56  # buttons and rows of the main job
GAP_DP = 8  # least distance between two targets
WIDE_DP = 760  # from this width on the desk layout has two columns
LOW_DP = 480  # below this height a window is a phone laid on its side


TEXT_ON = (
    ("ink", "paper"), ("ink", "raised"), ("ink", "pressed"), ("ink", "wash"),
    ("soft", "paper"), ("soft", "raised"), ("soft", "wash"),
    ("accent", "paper"), ("accent", "raised"), ("accent", "wash"),
    ("over_accent", "accent"),
)  # fmt: skip
MARK_ON = (("line", "paper"), ("line", "raised"), ("accent", "paper"), ("accent", "raised"))


def rgba(colour: str) -> tuple[float, float, float, float]:
    """`#rrggbb` as Kivy's four fractions, opaque."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue, 1.0


def colours(name: str) -> dict[str, tuple[float, float, float, float]]:
    """Every colour of the theme `day` or `night`, by its role."""
    palette = PALETTES[name]
    return {part.name: rgba(getattr(palette, part.name)) for part in fields(palette)}


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2, definition of relative luminance)."""
    red, green, blue, _ = rgba(colour)
    return 0.2126 * _linear(red) + 0.7152 * _linear(green) + 0.0722 * _linear(blue)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
