"""Pictures for the demo: drawings of a node on its post or wall, plainly no photographs."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from surveyapp.resources import shipped

SIZE_PX = (960, 1280)
PAPER = (250, 247, 240)
INK = (40, 40, 46)
FACADE = (226, 219, 205)
PANE = (204, 208, 214)
MARK = "INVENTED - drawn for the demo, no such node exists"


def node_picture(caption: str, *, on_wall: bool, panels: int, rng: np.random.Generator) -> bytes:
    """A JPEG of a house front and a box with `panels` panels on a post, or on the wall itself."""
    image = Image.new("RGB", SIZE_PX, PAPER)
    draw = ImageDraw.Draw(image)
    _house_front(draw, rng)
    axis_px = int(rng.integers(380, 580))
    if not on_wall:
        draw.rectangle((axis_px - 9, 150, axis_px + 9, 1120), fill=INK)
        draw.line((axis_px, 160, axis_px + 190, 140), fill=INK, width=14)
        draw.ellipse((axis_px + 160, 128, axis_px + 250, 168), outline=INK, width=6)
    _node(draw, axis_px, panels)
    _words(draw, caption)
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=82)
    return kept.getvalue()


def _house_front(draw: ImageDraw.ImageDraw, rng: np.random.Generator) -> None:
    roof_px = int(rng.integers(60, 220))
    draw.rectangle((90, roof_px, 870, 1120), fill=FACADE, outline=INK, width=4)
    for left in range(140, 820, 150):
        for top in range(roof_px + 60, 1000, 190):
            draw.rectangle((left, top, left + 70, top + 110), fill=PANE, outline=INK, width=2)
    draw.line((0, 1120, SIZE_PX[0], 1120), fill=INK, width=5)


def _node(draw: ImageDraw.ImageDraw, axis_px: int, panels: int) -> None:
    draw.rectangle((axis_px - 42, 470, axis_px + 42, 640), fill=PAPER, outline=INK, width=6)
    for count in range(panels):
        left = axis_px - 70 * panels + 140 * count
        draw.rounded_rectangle(
            (left + 15, 290, left + 125, 440), radius=14, fill=PAPER, outline=INK, width=6
        )
        draw.line((left + 70, 440, axis_px, 470), fill=INK, width=5)


def _words(draw: ImageDraw.ImageDraw, caption: str) -> None:
    bold = str(shipped("assets", "fonts", "B612-Bold.otf"))
    draw.rectangle((0, 1150, SIZE_PX[0], SIZE_PX[1]), fill=INK)
    draw.text((30, 1165), caption, font=ImageFont.truetype(bold, 32), fill=PAPER)
    draw.text((30, 1220), MARK, font=ImageFont.truetype(bold, 28), fill=PAPER)
