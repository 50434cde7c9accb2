"""Where to stand next: three questions on one ground, and the order to walk the answers in.

The one place to ask; each question's own mathematics stands in the module it names.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from surveyapp.analysis.fix_stands import FARTHEST_M, FixStand, fix_stands
from surveyapp.analysis.sector_panel import SectorPanel
from surveyapp.analysis.sector_stands import FARTHEST_M as SECTOR_M
from surveyapp.analysis.sector_stands import SectorStand, sector_stands
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.stand import MOST_STANDS, Stand
from surveyapp.analysis.standing_places import StandingPlaces, free_places, standing_places
from surveyapp.analysis.street_kinds import is_walked
from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.analysis.telling_stands import TellingStand, telling_stands
from surveyapp.analysis.tour import Tour, walking_order
from surveyapp.errors import NoAnswer
from surveyapp.geometry.places import StreetIndex
from surveyapp.geometry.serving_posterior import Posterior
from surveyapp.geometry.sightings import Bearing, fix
from surveyapp.model import Ground, LatLon

__all__ = ["FixStand", "NextStand", "SectorStand", "Stand", "TellingStand", "Tour"]

STEP_AWAY_M = 150.0  # from a stop, for telling its sectors apart
QUARTER_M = 900.0  # a walk of a quarter of an hour at most


class NextStand:
    """The three questions, asked from where the surveyor is now.

    Where the ground holds no street the places are free ones, in a straight line (see
    free_places). Each question raises NoAnswer with its reason where no place answers it, and
    where the ground has streets but none is near.
    """

    def __init__(self, ground: Ground, here_deg: LatLon) -> None:
        self.ground = ground
        self.here_deg = here_deg
        self.on_streets = any(
            is_walked(street.kind) and len(street.points_deg) > 1 for street in ground.streets
        )

    @cached_property
    def network(self) -> StreetNetwork:
        """The ground's streets to walk on; raises NoAnswer where it holds none."""
        return StreetNetwork(self.ground.streets)

    @cached_property
    def roofs(self) -> Roofs | None:
        """The ground's buildings to look past, None where it holds none."""
        return Roofs(self.ground.buildings) if self.ground.buildings else None

    @cached_property
    def streets(self) -> StreetIndex:
        """The ground's named streets, to tell places by."""
        return StreetIndex(self.ground.streets)

    def for_fix(
        self,
        bearings: Sequence[Bearing],
        *,
        height_m: float = 8.0,
        rough_deg: LatLon | None = None,
        rough_sigma_m: float = 30.0,
        most: int = MOST_STANDS,
    ) -> tuple[FixStand, ...]:
        """Which place shrinks this fix most (see fix_stands)."""
        about = self._about(bearings, rough_deg)
        return fix_stands(
            bearings, self._places(about, FARTHEST_M), self.streets, roofs=self.roofs,
            height_m=height_m, rough_deg=rough_deg, rough_sigma_m=rough_sigma_m, most=most,
        )  # fmt: skip

    def for_answer(self, found: Posterior, *, most: int = MOST_STANDS) -> tuple[TellingStand, ...]:
        """Which place best tells apart what may serve at a stop (see telling_stands)."""
        about = (found.observation.lat_deg, found.observation.lon_deg)
        places = self._places(about, STEP_AWAY_M)
        return telling_stands(found, places, self.streets, roofs=self.roofs, most=most)

    def for_sectors(
        self,
        panels: Sequence[SectorPanel],
        stops_deg: Sequence[LatLon],
        *,
        radius_m: float = QUARTER_M,
        most: int = MOST_STANDS,
    ) -> tuple[SectorStand, ...]:
        """Which sectors nobody stood in, and where to (see sector_stands)."""
        if self.on_streets:
            self.network.on_streets([self.here_deg])
        return sector_stands(
            panels, stops_deg, self.here_deg, lambda about: self._places(about, SECTOR_M),
            self.streets, roofs=self.roofs, radius_m=radius_m, most=most,
        )  # fmt: skip

    def order(self, places_deg: Sequence[LatLon], *, back: bool = False) -> Tour:
        """The order to walk to leads and stands in (see tour)."""
        return walking_order(self.network, self.here_deg, places_deg, back=back)

    def _places(self, about_deg: LatLon, radius_m: float) -> StandingPlaces:
        if not self.on_streets:
            return free_places(self.ground, self.here_deg, about_deg, radius_m)
        return standing_places(self.ground, self.network, self.here_deg, about_deg, radius_m)

    @staticmethod
    def _about(bearings: Sequence[Bearing], rough_deg: LatLon | None) -> LatLon:
        try:
            found = fix(bearings)
        except NoAnswer:
            if rough_deg is None:
                raise
            return rough_deg
        return found.lat_deg, found.lon_deg
