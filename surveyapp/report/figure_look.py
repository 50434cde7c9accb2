"""matplotlib in our look: B612, ink on paper, one accent; vector pictures that follow the page.

A figure is drawn in the day's colours and its SVG then names the page's variables instead, so
that it turns with day and night. Text stays text. matplotlib is needed here and only here.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from markupsafe import Markup, escape

from surveyapp.errors import MissingPackage
from surveyapp.report.look import DAY, FONT, FONT_FILES
from surveyapp.resources import shipped

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH_IN = 4.1  # near the width of a phone's page, so that text keeps its size there
GET_IT = "pip install 'surveyapp[desk]'"
_THEMED = {
    getattr(DAY, role): f"var(--{role.replace('_', '-')})"
    for role in ("paper", "raised", "ink", "soft", "line", "accent", "wash", "band_near",
                 "band_far", "pressed")
}  # fmt: skip


def check_matplotlib() -> None:
    """Raises MissingPackage, with the way to get it, where matplotlib is not installed."""
    try:
        import matplotlib  # noqa: F401
    except ImportError as error:
        raise MissingPackage(
            f"The report's figures need matplotlib: install it with {GET_IT}."
        ) from error


def has_matplotlib() -> bool:
    """Whether the figures can be drawn here."""
    try:
        check_matplotlib()
    except MissingPackage:
        return False
    return True


@contextmanager
def our_look() -> Iterator[None]:
    """Settings of matplotlib for one drawing; nothing outside is changed."""
    check_matplotlib()
    import matplotlib
    from matplotlib import font_manager

    known = {entry.fname for entry in font_manager.fontManager.ttflist}
    for name, _ in FONT_FILES:
        own = str(shipped("assets", "fonts", name))
        if own not in known:
            font_manager.fontManager.addfont(own)
    with matplotlib.rc_context(_SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")  # a rare letter shows as a box
        yield


_SETTINGS: dict[str, Any] = {
    "font.family": [FONT, "DejaVu Sans"], "font.size": 8.5, "axes.labelsize": 8.5,
    "xtick.labelsize": 8.0, "ytick.labelsize": 8.0, "legend.fontsize": 8.0,
    "text.color": DAY.ink, "axes.labelcolor": DAY.ink, "axes.edgecolor": DAY.line,
    "xtick.color": DAY.line, "ytick.color": DAY.line, "xtick.labelcolor": DAY.soft,
    "ytick.labelcolor": DAY.soft, "figure.facecolor": "none", "axes.facecolor": "none",
    "savefig.facecolor": "none", "axes.spines.top": False, "axes.spines.right": False,
    "axes.linewidth": 0.8, "xtick.major.width": 0.8, "ytick.major.width": 0.8,
    "lines.linewidth": 1.2, "svg.fonttype": "none", "svg.hashsalt": "survey",
    "text.parse_math": False, "axes.unicode_minus": True, "image.cmap": "cividis",
}  # fmt: skip


def new_figure(height_in: float, width_in: float = WIDTH_IN) -> Figure:
    """An empty figure of our width, without any window behind it."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_in, height_in), layout="constrained")


def figure_svg(figure: Figure, name: str, title: str, description: str) -> Markup:
    """The figure as inline SVG with its text alternative; `name` makes its ids its own."""
    held = io.StringIO()
    figure.savefig(held, format="svg", metadata={"Date": None, "Creator": None, "Format": None,
                                                 "Type": None})  # fmt: skip
    text = held.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = re.sub(r"<!--.*?-->", "", text, flags=re.DOTALL)
    text = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{name}-", text)
    for colour, variable in _THEMED.items():
        text = text.replace(colour, variable)
    text = _plain_fonts(text)
    opening = (
        f'<svg class="drawn" role="img" aria-label="{escape(description)}" '
        f"viewBox={_view_box(text)}>"
        f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    )
    return Markup(opening + text[text.index(">") + 1 :])


def _view_box(text: str) -> str:
    found = re.search(r'viewBox=("[^"]*")', text)
    return found[1] if found else '"0 0 1 1"'


def _plain_fonts(text: str) -> str:
    """Sizes without the family, which the page gives, and no style sheet of the figure's own."""
    text = re.sub(r"font: ([^;\"']*?)(\d[\d.]*px) [^;\"]*", _font, text)
    return re.sub(r"<style[^>]*>.*?</style>", "", text, flags=re.DOTALL)


def _font(match: re.Match[str]) -> str:
    weight = "font-weight: 700; " if re.search(r"bold|700", match[1]) else ""
    return f"{weight}font-size: {match[2]}"
