"""The whole scene of the demo: nodes and stands in their places, and all paths between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.demo.air import Geometry, later_db, paths, shadowing_db
from surveyapp.demo.hand import Hand
from surveyapp.demo.places import place_sites, place_stands, sees
from surveyapp.demo.plan import SITES
from surveyapp.demo.records import true_sites
from surveyapp.demo.town import Spot, Town
from surveyapp.demo.truth import TruePath, TrueSector, TrueSite
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import LatLon, Rat

Strongest = tuple[TrueSite, TrueSector, TruePath]

STANDS = 20
DRAWS = 12


@dataclass(frozen=True, slots=True)
class Scene:
    """What stands where, and how it arrives there: one tuple of paths a visit and stand."""

    sites: tuple[TrueSite, ...]
    stands: tuple[LatLon, ...]
    hidden: int
    paths: tuple[list[tuple[TruePath, ...]], ...]

    def strongest_nr(self, stand: int) -> Strongest:
        """The 5G sector that arrives strongest at a stand on the first visit."""
        nr = {
            sector.id: (site, sector)
            for site in self.sites
            for sector in site.sectors
            if sector.carrier.rat is Rat.NR
        }
        paths = [path for path in self.paths[0][stand] if path.sector_id in nr]
        best = max(paths, key=lambda path: path.rsrp_dbm)
        return *nr[best.sector_id], best

    def hidden_site(self) -> TrueSite:
        """A listed 5G site next to the hidden stand that a house hides from it."""
        place = self.stands[self.hidden]
        out_of_view = {path.sector_id for path in self.paths[0][self.hidden] if not path.clear}
        sites = [
            site
            for site in self.sites
            if site.listed
            and site.sectors[0].carrier.rat is Rat.NR
            and site.sectors[0].id in out_of_view
        ]
        return min(sites, key=lambda s: inverse(*place, s.lat_deg, s.lon_deg).distance_m)


def draw_scene(town: Town, hand: Hand) -> Scene:
    """Draw everything that two visits have in common."""
    spots, stands, hidden = _places(town, hand.rng)
    sites = true_sites(town, spots, hand)
    places = tuple(town.to_world(stand) for stand in stands)
    geometry = _geometry(town, places, stands, spots, sites)
    east_m, north_m = np.array([(stand.east_m, stand.north_m) for stand in stands]).T
    shadow_db = shadowing_db(east_m, north_m, geometry.clear, hand.rng)
    visits = (shadow_db, later_db(shadow_db, hand.rng))
    return Scene(sites, places, hidden, tuple(paths(sites, geometry, db) for db in visits))


def _places(town: Town, rng: np.random.Generator) -> tuple[list[Spot], list[Spot], int]:
    """Spots of the sites and of the stands; drawn again where a draw leaves too little room."""
    for _ in range(DRAWS - 1):
        spots = place_sites(town, rng)
        try:
            return spots, *place_stands(town, spots, STANDS, rng)
        except NoAnswer:
            continue
    spots = place_sites(town, rng)
    return spots, *place_stands(town, spots, STANDS, rng)


def _geometry(
    town: Town,
    places: Sequence[LatLon],
    stands: Sequence[Spot],
    spots: Sequence[Spot],
    sites: Sequence[TrueSite],
) -> Geometry:
    lines = [[inverse(*place, site.lat_deg, site.lon_deg) for site in sites] for place in places]
    pairs = list(zip(spots, SITES, strict=True))
    clear = [sees(town, stand, pairs) for stand in stands]
    return Geometry(
        distance_m=np.array([[line.distance_m for line in row] for row in lines]),
        bearing_deg=np.array([[line.azimuth_deg for line in row] for row in lines]),
        clear=np.array(clear),
    )
