"""Coverage of a sector: fitted from its readings, its cover, and its range on boresight.

The one place to ask for coverage; what it is made of stands in the modules it names.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from surveyapp.analysis.boresight_range import BoresightRange, boresight_range
from surveyapp.analysis.cover_chance import cover_chance
from surveyapp.analysis.cover_grid import OUTLINE_CHANCES, Cover, cover
from surveyapp.analysis.level_model import LevelModel
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.predicted_levels import predicted_levels
from surveyapp.analysis.sector_fit import MeasuredPlace, SectorFit, fit_sector
from surveyapp.analysis.sector_panel import SectorPanel, panel_of
from surveyapp.analysis.sector_readings import (
    Attributed,
    measured_places,
    sector_pcis,
    settled_readings,
)
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.walk_azimuth import WalkAzimuth, walk_azimuth
from surveyapp.errors import NoAnswer
from surveyapp.model import Building, Rat, Reading, Sector, Site, Stop

__all__ = [
    "OUTLINE_CHANCES",
    "BoresightRange",
    "Cover",
    "LevelModel",
    "MeasuredPlace",
    "Roofs",
    "SectorFit",
    "SectorLevels",
    "SectorPanel",
    "WalkAzimuth",
    "boresight_range",
    "cover",
    "cover_chance",
    "fit_sector",
    "measured_places",
    "panel_of",
    "sector_levels",
    "settled_readings",
    "walk_azimuth",
]


@dataclass(frozen=True, kw_only=True, slots=True)
class SectorLevels:
    """The best model of a sector there is: its fit, else the standard's, with the reason."""

    model: LevelModel
    measured: tuple[MeasuredPlace, ...]
    is_fit: bool
    why_not: str = ""


def sector_levels(
    site: Site,
    sector: Sector,
    stops: Sequence[Stop],
    readings: Sequence[Reading],
    *,
    offsets: Mapping[str, PhoneOffset] | None = None,
    attributed: Attributed = frozenset(),
    buildings: Sequence[Building] = (),
) -> SectorLevels:
    """A level model of one sector: fitted where its readings allow, else as TR 38.901 has it.

    Raises NoAnswer for a site without a position, a sector without an azimuth, and one that
    may not be on air with anything.
    """
    panel = panel_of(site, sector)
    panel.known_azimuth_deg()
    measured = measured_places(
        site, sector, stops, readings,
        offsets=offsets, attributed=attributed, buildings=buildings,
    )  # fmt: skip
    rat = Rat.NR if Rat.NR in sector_pcis(sector) else Rat.LTE
    predicted = predicted_levels(site, [sector], rat)
    if not predicted:
        raise NoAnswer(f"{panel.name} is gone or holds no carrier, so it covers nothing.")
    mhz = float(predicted[0].arrays.mhz[0])
    try:
        fitted = fit_sector(panel, measured, mhz=mhz)
    except NoAnswer as reason:
        return SectorLevels(
            model=predicted[0], measured=measured, is_fit=False, why_not=str(reason)
        )
    return SectorLevels(model=fitted, measured=measured, is_fit=True)
