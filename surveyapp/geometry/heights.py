"""Height of a site from elevation angles and distances.

Plane trigonometry: below 2 km the Earth's curve makes less than 0.4 m, far under what a
hand-held elevation can tell.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from surveyapp.errors import NoAnswer, OutOfRange
from surveyapp.geometry.geodesy import check_finite

EYE_HEIGHT_M = 1.6  # a standing surveyor's eye above the street (common practice)
ELEVATION_SIGMA_DEG = 1.5  # a phone's tilt held by hand (common practice)
FARTHEST_M = 2_000.0
STEEPEST_DEG = 85.0  # straight above, the distance tells nothing


@dataclass(frozen=True, slots=True)
class Elevation:
    """An elevation angle towards a site, up positive, and the distance along the ground."""

    elevation_deg: float
    distance_m: float
    elevation_sigma_deg: float = ELEVATION_SIGMA_DEG
    distance_sigma_m: float = 0.0
    eye_height_m: float = EYE_HEIGHT_M

    def __post_init__(self) -> None:
        limits = (
            ("elevation", self.elevation_deg, -STEEPEST_DEG, STEEPEST_DEG, "degrees"),
            ("distance", self.distance_m, 0.1, FARTHEST_M, "m"),
            ("sigma of the elevation", self.elevation_sigma_deg, 0.01, 45.0, "degrees"),
            ("sigma of the distance", self.distance_sigma_m, 0.0, FARTHEST_M, "m"),
            ("height of the eye", self.eye_height_m, 0.0, 1000.0, "m"),
        )
        for name, value, low, high, unit in limits:
            check_finite(value, name, unit)
            if not low <= value <= high:
                raise OutOfRange(
                    f"The {name} {value:g} {unit} is outside {low:g} to {high:g} {unit}: "
                    "give one inside.",
                    value=value,
                    allowed=f"{low:g} to {high:g} {unit}",
                )

    @property
    def height_m(self) -> float:
        """Height above the street that this sighting alone tells."""
        return self.eye_height_m + self.distance_m * math.tan(math.radians(self.elevation_deg))

    @property
    def variance_m2(self) -> float:
        """Variance of that height, to first order."""
        up = math.radians(self.elevation_deg)
        by_angle_m = self.distance_m * math.radians(self.elevation_sigma_deg) / math.cos(up) ** 2
        return by_angle_m**2 + (math.tan(up) * self.distance_sigma_m) ** 2


@dataclass(frozen=True, slots=True)
class Height:
    """A height above the street with one standard deviation."""

    height_m: float
    sigma_m: float


def height_from_elevations(elevations: Sequence[Elevation]) -> Height:
    """The mean of what each elevation tells, weighted by its variance.

    The street is taken as level between stop and site. Raises NoAnswer for no elevation.
    """
    if not elevations:
        raise NoAnswer("No sighting has an elevation and a distance: add one that has both.")
    weights = [1.0 / elevation.variance_m2 for elevation in elevations]
    heights_m = [elevation.height_m for elevation in elevations]
    total = sum(weights)
    mean_m = sum(w * height for w, height in zip(weights, heights_m, strict=True)) / total
    return Height(mean_m, math.sqrt(1.0 / total))
