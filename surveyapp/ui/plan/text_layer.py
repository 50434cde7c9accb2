"""Words on the plan: each a small picture that keeps its place, its turn and its size."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from math import cos, radians, sin
from typing import Any

import numpy as np
from kivy.core.text import Label as CoreLabel
from kivy.graphics import Color, Mesh
from kivy.metrics import Metrics, dp

from surveyapp.ui.plan import shaders
from surveyapp.ui.plan.layers import Layer
from surveyapp.ui.plan.plan_text import PlanText, TextStyle
from surveyapp.ui.theme import font_of

_INDICES = np.array([0, 1, 2, 0, 2, 3], dtype=np.uint16)


def measure(text: str, style: TextStyle) -> tuple[float, float]:
    """(width_px, height_px) of words at the text size in force."""
    return _extents(text, style.size_sp * Metrics.sp, style.bold)


class TextLayer(Layer):
    """Words over the drawing; `texts` tells what is written, for checks."""

    vertex = shaders.TEXT_VERTEX
    fragment = shaders.TEXT_FRAGMENT

    def __init__(self, from_px_per_m: float = 0.0) -> None:
        super().__init__(from_px_per_m)
        self.texts: list[PlanText] = []

    def write(self, texts: Iterable[PlanText], theme: Any) -> None:
        """Replace what is written."""
        self.wipe()
        self.begin()
        self.texts = list(texts)
        self.put(Color(1, 1, 1, 1))
        for text in self.texts:
            self.put(_mesh(text, theme))


def forget_pictures() -> None:
    """The graphics card has lost what was written: write it anew when it is next asked for."""
    _texture.cache_clear()


def _mesh(text: PlanText, theme: Any) -> Mesh:
    style = text.style
    halo = tuple(getattr(theme, style.halo)) if style.halo else None
    texture = _texture(
        text.text, style.size_sp * Metrics.sp, style.bold, tuple(getattr(theme, style.role)), halo
    )
    width, height = texture.size
    turn = radians(text.turn_deg)
    left, bottom = -round(width / 2), -round(height / 2)
    dx, dy = text.shift_px if text.turn_deg else map(round, text.shift_px)
    uv = texture.tex_coords
    corners = []
    for index, (x, y) in enumerate(
        ((left, bottom), (left + width, bottom), (left + width, bottom + height),
         (left, bottom + height))
    ):  # fmt: skip
        shift_x = dx + x * cos(turn) - y * sin(turn)
        shift_y = dy + x * sin(turn) + y * cos(turn)
        corners += [text.east_m, text.north_m, shift_x, shift_y, uv[2 * index], uv[2 * index + 1]]
    return Mesh(
        vertices=np.array(corners, dtype=np.float32),
        indices=_INDICES,
        fmt=shaders.TEXT_FORMAT,
        mode="triangles",
        texture=texture,
    )


@lru_cache(maxsize=2000)
def _extents(text: str, size_px: float, bold: bool) -> tuple[float, float]:
    font = CoreLabel(font_name=font_of(text), font_size=size_px, bold=bold)
    width, height = font.get_extents(text)
    return float(width), float(height)


@lru_cache(maxsize=600)
def _texture(
    text: str, size_px: float, bold: bool, colour: tuple[float, ...], halo: tuple[float, ...] | None
) -> Any:
    outline = {"outline_width": max(1, round(dp(2))), "outline_color": halo} if halo else {}
    label = CoreLabel(
        text=text, font_name=font_of(text), font_size=size_px, bold=bold, color=colour, **outline
    )
    label.refresh()
    return label.texture
