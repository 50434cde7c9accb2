"""The look in numbers, for screens and pages alike: colours of the two themes, the fonts, and
how wide streets are drawn.

Colours are sRGB in `#rrggbb`. Contrast: text 7:1 and marks 3:1 on every ground they stand on.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass, fields

from surveyapp.resources import shipped

# Width over all in metres: usual carriageways, our choice where the data state none.
STREET_WIDTH_M = {
    "motorway": 15.0, "trunk": 13.0, "primary": 12.0, "secondary": 11.0, "tertiary": 9.0,
    "unclassified": 7.5, "residential": 7.5, "living_street": 6.0, "pedestrian": 6.0,
    "road": 7.5, "busway": 7.0, "motorway_link": 8.0, "trunk_link": 8.0, "primary_link": 8.0,
    "secondary_link": 7.0, "tertiary_link": 7.0, "service": 4.0, "track": 3.0,
}  # fmt: skip
PATH_WIDTH_M = 1.5


@dataclass(frozen=True)
class Palette:
    """One theme. `ink` and `soft` are for text, `line` for marks, `accent` the one accent."""

    paper: str
    raised: str
    pressed: str
    ink: str
    soft: str
    line: str
    accent: str
    over_accent: str
    wash: str
    band_near: str
    band_far: str


DAY = Palette(
    paper="#fbf8f1", raised="#fffdf9", pressed="#e6dfce", ink="#1b1a17", soft="#4a463e",
    line="#857e70", accent="#0b4763", over_accent="#ffffff", wash="#e9eef0",
    band_near="#93b3c2", band_far="#c9d9e0",
)  # fmt: skip
NIGHT = Palette(
    paper="#14161a", raised="#1c1f24", pressed="#363b43", ink="#f2eee4", soft="#cbc6b9",
    line="#858278", accent="#a5d1ea", over_accent="#0d1a22", wash="#20313b",
    band_near="#4a7187", band_far="#2c4350",
)  # fmt: skip
PALETTES = {"day": DAY, "night": NIGHT}

FONT = "B612"
FONT_FILES = (("B612-Regular.otf", 400), ("B612-Bold.otf", 700))


def style_variables(palette: Palette) -> str:
    """The colours as CSS custom properties: `--over-accent: #ffffff; ...`."""
    return " ".join(
        f"--{part.name.replace('_', '-')}: {getattr(palette, part.name)};"
        for part in fields(palette)
    )


def font_faces() -> str:
    """CSS that carries B612 (SIL Open Font License) inside the page."""
    faces = []
    for name, weight in FONT_FILES:
        content = shipped("assets", "fonts", name).read_bytes()
        data = base64.b64encode(content).decode("ascii")
        faces.append(
            f"@font-face {{ font-family: {FONT}; font-weight: {weight}; "
            f'src: url(data:font/otf;base64,{data}) format("opentype"); }}'
        )
    return "\n".join(faces)
