"""Which way a panel faces, from how it was seen turned.

The panel's azimuth is the bearing towards it, turned round, plus how far it is turned
(`facing_deg`: 0 it looks straight at me, +45 half turned to my left, -45 to my right).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from surveyapp.errors import NoAnswer, OutOfRange
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG
from surveyapp.geometry.geodesy import angle_between_deg, check_finite, normalise_azimuth_deg
from surveyapp.geometry.headings import mean_direction

FACING_SIGMA_DEG = 15.0  # how well an eye judges the turn of a panel (common practice)


@dataclass(frozen=True, slots=True)
class Facing:
    """A true bearing towards a panel and how it is turned, with sigmas (one each)."""

    bearing_deg: float
    facing_deg: float
    sigma_deg: float = COMPASS_SIGMA_DEG
    facing_sigma_deg: float = FACING_SIGMA_DEG

    def __post_init__(self) -> None:
        check_finite(self.bearing_deg, "bearing", "degrees")
        check_finite(self.facing_deg, "facing", "degrees")
        if not -180.0 <= self.facing_deg <= 180.0:
            raise OutOfRange(
                f"The facing {self.facing_deg:g} is outside -180 to 180 degrees: 0 looks at you, "
                "180 shows its back.",
                value=self.facing_deg,
                allowed="-180 to 180 degrees",
            )
        for sigma_deg in (self.sigma_deg, self.facing_sigma_deg):
            check_finite(sigma_deg, "sigma", "degrees")
            if sigma_deg < 0.0:
                raise OutOfRange(
                    f"The sigma {sigma_deg:g} is negative: give 0 degrees or more.",
                    value=sigma_deg,
                    allowed="0 degrees or more",
                )

    @property
    def azimuth_deg(self) -> float:
        """The panel's azimuth as this sighting alone tells it."""
        return normalise_azimuth_deg(self.bearing_deg + 180.0 + self.facing_deg)

    @property
    def variance_deg2(self) -> float:
        """Variance of that azimuth; never less than a hundredth of a degree squared."""
        return max(self.sigma_deg**2 + self.facing_sigma_deg**2, 1e-4)


@dataclass(frozen=True, slots=True)
class PanelAzimuth:
    """A panel's azimuth with one standard deviation, and what each sighting differs from it."""

    azimuth_deg: float
    sigma_deg: float
    residuals_deg: tuple[float, ...]


def panel_azimuth(facings: Sequence[Facing]) -> PanelAzimuth:
    """The weighted circular mean of what each sighting tells.

    The sigma follows from those given; where the sightings scatter more than these allow, it
    grows with the scatter (R. T. Birge, Physical Review 40 (1932) 207-227). Raises NoAnswer
    for no sighting and for sightings that cancel out.
    """
    if not facings:
        raise NoAnswer("No sighting tells how the panel is turned: add one with its facing.")
    weights = [1.0 / facing.variance_deg2 for facing in facings]
    azimuths_deg = [facing.azimuth_deg for facing in facings]
    mean_deg = mean_direction(azimuths_deg, weights).azimuth_deg
    residuals_deg = tuple(angle_between_deg(mean_deg, azimuth) for azimuth in azimuths_deg)
    disagreement = sum(
        weight * residual**2 for weight, residual in zip(weights, residuals_deg, strict=True)
    )
    growth = max(1.0, disagreement / (len(facings) - 1)) if len(facings) > 1 else 1.0
    sigma_deg = min(180.0, math.sqrt(growth / sum(weights)))
    return PanelAzimuth(mean_deg, sigma_deg, residuals_deg)
