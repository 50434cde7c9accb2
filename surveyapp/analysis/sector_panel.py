"""One panel on the plan: how far it is from each place, and what its pattern takes there.

Defaults where the notebook holds nothing are those of the serving question
(surveyapp.geometry.serving_terms and surveyapp.analysis.candidates).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.candidates import HEIGHT_M, usable
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import check_position
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving_terms import check_range
from surveyapp.model import Sector, Site
from surveyapp.radio.antenna import pattern_db

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]

USER_HEIGHT_M = 1.5  # TR 38.901 table 7.4.1-1, usual h_UT
NEAREST_M = 1.0


class Ways(NamedTuple):
    """From a panel to many places: along the ground, through the air, and the pattern's gain."""

    ground_m: FloatArray
    slant_m: FloatArray
    gain_db: FloatArray


@dataclass(frozen=True, kw_only=True, slots=True)
class SectorPanel:
    """A panel with its place and direction; `azimuth_deg` None is a direction not known."""

    name: str
    lat_deg: float
    lon_deg: float
    azimuth_deg: float | None
    sector_id: str = ""
    site_id: str = ""
    beamwidth_deg: float = 65.0
    downtilt_deg: float = 5.0
    height_m: float = 8.0

    def __post_init__(self) -> None:
        where = f"sector '{self.name}'"
        check_position(self.lat_deg, self.lon_deg)
        check_range(self.azimuth_deg, 0.0, 360.0, "azimuth", "degrees", where)
        check_range(self.beamwidth_deg, 1.0, 360.0, "beamwidth", "degrees", where)
        check_range(self.downtilt_deg, -90.0, 90.0, "downtilt", "degrees", where)
        check_range(self.height_m, 0.0, 150.0, "height", "m", where)

    def ways(self, plane: Plane, east_m: FloatArray, north_m: FloatArray) -> Ways:
        """The ways to places of a plane; raises NoAnswer where the azimuth is not known."""
        own_east, own_north = (float(value) for value in plane.to_plane(self.lat_deg, self.lon_deg))
        return self.ways_over(east_m - own_east, north_m - own_north)

    def ways_over(self, east_m: FloatArray, north_m: FloatArray) -> Ways:
        """The ways to places so far east and north of the panel."""
        azimuth_deg = self.known_azimuth_deg()
        ground = np.hypot(east_m, north_m)
        off = np.degrees(np.arctan2(east_m, north_m)) - azimuth_deg
        return Ways(ground, self.slant_m(ground), self.gain_db(off, ground))

    def slant_m(self, ground_m: FloatArray) -> FloatArray:
        """Distance through the air, never below NEAREST_M."""
        return np.maximum(np.hypot(ground_m, self.height_m - USER_HEIGHT_M), NEAREST_M)

    def gain_db(self, off_deg: FloatArray, ground_m: FloatArray) -> FloatArray:
        """The pattern (TR 38.901 table 7.3-1) off boresight, at places so far along the ground."""
        rise = np.degrees(np.arctan2(USER_HEIGHT_M - self.height_m, np.maximum(ground_m, 0.1)))
        return pattern_db(off_deg, rise + self.downtilt_deg, beamwidth_deg=self.beamwidth_deg)

    def known_azimuth_deg(self) -> float:
        """The azimuth; raises NoAnswer where it is not known."""
        if self.azimuth_deg is None:
            raise NoAnswer(
                f"{self.name} has no azimuth: sight how its panel is turned, or walk round it."
            )
        return self.azimuth_deg


def panel_of(site: Site, sector: Sector) -> SectorPanel:
    """The panel as the notebook holds it; raises NoAnswer for a site without a position."""
    name = f"{site.name} {sector.label}".strip()
    if site.lat_deg is None or site.lon_deg is None:
        raise NoAnswer(f"{site.name} has no position: sight it from two stops or set it by hand.")
    heights = (usable(told, 2.0, 150.0) for told in (sector.height_m, site.height_m))
    downtilt = usable(sector.downtilt_deg, -90.0, 90.0)
    return SectorPanel(
        name=name,
        lat_deg=site.lat_deg,
        lon_deg=site.lon_deg,
        azimuth_deg=usable(sector.azimuth_deg, 0.0, 360.0),
        sector_id=sector.id,
        site_id=site.id,
        beamwidth_deg=usable(sector.beamwidth_deg, 1.0, 360.0) or 65.0,
        downtilt_deg=5.0 if downtilt is None else downtilt,
        height_m=next((told for told in heights if told is not None), HEIGHT_M[site.kind]),
    )
