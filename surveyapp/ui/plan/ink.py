"""What strokes are drawn with: a colour, and the sizes that the screen and the scale give."""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.ui.plan.strokes import Strokes

BORESIGHT_M = 70.0  # on the plan a panel's line is so long, within these limits
BORESIGHT_DP = (17.0, 54.0)
STOP_SP = 13.0


@dataclass(frozen=True, slots=True)
class Ink:
    """Strokes in one colour: a role of the theme, or '#rrggbb' where the value is the colour."""

    role: str
    strokes: Strokes
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """Pixels per dp, per sp and per metre, as screen, text size and scale have them."""

    dp: float = 1.0
    sp: float = 1.0
    px_per_m: float = 1.0

    @property
    def boresight_px(self) -> float:
        """Length of a panel's line."""
        least, most = (limit * self.dp for limit in BORESIGHT_DP)
        return min(max(BORESIGHT_M * self.px_per_m, least), most)

    @property
    def stop_px(self) -> float:
        """Radius of a numbered circle."""
        return STOP_SP * self.sp
