"""Cover on a grid: what was measured, what is modelled, and outlines of equal chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.cover_chance import cover_chance
from surveyapp.analysis.level_model import LevelModel
from surveyapp.analysis.outlines import outlines
from surveyapp.analysis.sector_fit import MeasuredPlace, SectorFit
from surveyapp.analysis.sector_panel import BoolArray, FloatArray
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.errors import OutOfRange
from surveyapp.geometry.plan_projection import Plane

OUTLINE_CHANCES = (0.1, 0.5, 0.9)
MOST_CELLS = 1_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredCover:
    """What was measured: a place, and whether its level reached the threshold."""

    place: MeasuredPlace
    covered: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ModelledCover:
    """What is only modelled: the chance of cover (ny, nx) over a plane.

    `borne_out` (ny, nx) is True where a fit's readings reach as far as the place; elsewhere
    the model is carried on beyond what anybody measured.
    """

    plane: Plane
    east_m: FloatArray
    north_m: FloatArray
    chance: FloatArray
    borne_out: BoolArray

    def outline(self, chance: float) -> tuple[FloatArray, ...]:
        """Polylines (k, 2) of latitude and longitude along which the chance of cover is this."""
        lines = outlines(self.chance, self.east_m, self.north_m, chance)
        return tuple(np.column_stack(self.plane.to_world(*line.T)) for line in lines)

    def covered_m2(self) -> float:
        """Expected covered area of the grid."""
        cell = (self.east_m[1] - self.east_m[0]) * (self.north_m[1] - self.north_m[0])
        return float(self.chance.sum() * cell)


@dataclass(frozen=True, kw_only=True, slots=True)
class Cover:
    """Cover at a threshold, the measured and the modelled apart."""

    threshold_dbm: float
    measured: tuple[MeasuredCover, ...]
    modelled: ModelledCover


def cover(
    models: Sequence[LevelModel],
    threshold_dbm: float,
    *,
    centre_deg: tuple[float, float],
    half_m: float = 300.0,
    step_m: float = 5.0,
    roofs: Roofs | None = None,
) -> Cover:
    """Chance of cover in a square of 2 `half_m` a side about a centre, by any of the models.

    With `roofs` (the ground's buildings) places out of sight count as such. Raises OutOfRange
    for a threshold no phone reports and for a grid too fine, NoAnswer without a model.
    """
    side_m = _side(half_m, step_m)
    plane = Plane(*centre_deg)
    east, north = np.meshgrid(side_m, side_m)
    sight = (
        None if roofs is None else [roofs.clear_from(m.panel, plane, east, north) for m in models]
    )
    chance = cover_chance(models, plane, east, north, threshold_dbm, sight)
    fits = [model for model in models if isinstance(model, SectorFit)]
    return Cover(
        threshold_dbm=threshold_dbm,
        measured=tuple(
            MeasuredCover(place=place, covered=place.rsrp_dbm >= threshold_dbm)
            for fit in fits
            for place in fit.measured
        ),
        modelled=ModelledCover(
            plane=plane,
            east_m=side_m,
            north_m=side_m,
            chance=chance,
            borne_out=_borne_out(fits, plane, east, north),
        ),
    )


def _side(half_m: float, step_m: float) -> FloatArray:
    """Places along one side of the square."""
    if not (0.0 < step_m <= half_m <= 50_000.0) or (2 * half_m / step_m) ** 2 > MOST_CELLS:
        raise OutOfRange(
            f"A grid of {2 * half_m:g} m in steps of {step_m:g} m cannot be worked out: "
            f"take at most {MOST_CELLS:,} cells.",
            value=(half_m, step_m),
            allowed=f"up to {MOST_CELLS:,} cells",
        )
    return np.linspace(-half_m, half_m, 2 * round(half_m / step_m) + 1)


def _borne_out(
    fits: Sequence[SectorFit], plane: Plane, east_m: FloatArray, north_m: FloatArray
) -> BoolArray:
    """Where at least one fit's readings reach as far out."""
    reached = np.zeros(east_m.shape, dtype=bool)
    for fit in fits:
        own_east, own_north = plane.to_plane(fit.panel.lat_deg, fit.panel.lon_deg)
        reached |= np.hypot(east_m - own_east, north_m - own_north) <= fit.farthest_m
    return reached
