"""Draws the app's icon: an open notebook page with a bearing taken on it.

    python assets/android/draw_icon.py

Our own drawing, in the day theme's paper, ink and accent. The adaptive icon's foreground keeps
within the middle 66 of 108 parts, which every phone shows (Android, adaptive icons).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageDraw

Placer = Callable[[float, float], tuple[float, float]]

FOLDER = Path(__file__).resolve().parent
SIZE = 512
FINE = 4  # drawn four times as large, then made smaller, for smooth edges
PAPER, PAGE, INK, LINE, ACCENT = "#e9eef0", "#fffdf9", "#1b1a17", "#b9b1a1", "#0b4763"
BEARING_DEG = 52.0
ADAPTIVE_SHARE = 66.0 / 108.0


def notebook(share: float) -> Image.Image:
    """The open page on nothing, as large a share of the square as told."""
    side = SIZE * FINE
    image = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    draw = ImageDraw.Draw(image)
    unit = side * share / 100.0

    def at(across: float, down: float) -> tuple[float, float]:
        return side / 2 + across * unit, side / 2 + down * unit

    outline = [at(-46, -34), at(0, -27), at(46, -34), at(46, 32), at(0, 39), at(-46, 32)]
    draw.polygon(outline, fill=PAGE)
    draw.line([*outline, *outline[:2]], fill=INK, width=round(3 * unit), joint="curve")
    draw.line([at(0, -27), at(0, 39)], fill=INK, width=round(2 * unit))
    for row in range(5):
        down = -18.0 + row * 10.0
        draw.line([at(-39, down), at(-8, down + 4.7)], fill=LINE, width=round(2 * unit))
    _bearing(draw, at, unit)
    return image.resize((SIZE, SIZE), Image.Resampling.LANCZOS)


def _bearing(draw: ImageDraw.ImageDraw, at: Placer, unit: float) -> None:
    """North, the turn from it, and the line that was sighted, on the right-hand page."""
    east, south, length = 11.0, 20.0, 31.0
    angle = math.radians(BEARING_DEG)
    end = at(east + length * math.sin(angle), south - length * math.cos(angle))
    draw.line([at(east, south), at(east, south - 40)], fill=LINE, width=round(2 * unit))
    reach = 18.0
    box = [*at(east - reach, south - reach), *at(east + reach, south + reach)]
    draw.arc(box, -90, -90 + BEARING_DEG, fill=ACCENT, width=round(2.5 * unit))
    draw.line([at(east, south), end], fill=ACCENT, width=round(4 * unit))
    for (across, down), radius, colour in ((at(east, south), 4.5, INK), (end, 3.2, ACCENT)):
        spread = radius * unit
        draw.ellipse([across - spread, down - spread, across + spread, down + spread], fill=colour)


def plain_icon() -> Image.Image:
    """The icon for where none is adaptive: a rounded square with the page on it."""
    side = SIZE * FINE
    ground = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    ImageDraw.Draw(ground).rounded_rectangle([0, 0, side, side], radius=side // 6, fill=PAPER)
    ground = ground.resize((SIZE, SIZE), Image.Resampling.LANCZOS)
    return Image.alpha_composite(ground, notebook(0.82))


def drawings() -> dict[str, Image.Image]:
    """Every file of the icon, by its name."""
    return {
        "icon.png": plain_icon(),
        "icon_foreground.png": notebook(ADAPTIVE_SHARE),
        "icon_background.png": Image.new("RGBA", (SIZE, SIZE), PAPER),
    }


if __name__ == "__main__":
    for name, image in drawings().items():
        image.save(FOLDER / name, optimize=True)
