"""Invented sites on real streets, and the truth of what serves where: for scoring answers.

Every random quantity is drawn one by one from a seeded generator; losses and patterns are
those of `radio`, lines of sight those through the buildings of the ground.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.candidates import GROUND_BLOCKED, GROUND_CLEAR
from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.serving import Candidate
from surveyapp.geometry.serving_terms import resource_elements
from surveyapp.geometry.strongest import OWN_SIGMA_DB
from surveyapp.geometry.unlisted import SIGMA_DB as UNLISTED_SIGMA_DB
from surveyapp.geometry.unlisted import density_per_m2
from surveyapp.model import Furniture, FurnitureKind, Ground, LatLon, Rat
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, los_probability, path_loss_db, shadow_sigma_db
from tests.benchmarks.serving_cases import (
    AZIMUTH_SIGMA_DEG,
    EIRP_SIGMA_DB,
    GAPS_OPEN,
    HEIGHT_M,
    NEAREST_SITES_M,
    ON_AIR,
    PCI_ERROR,
    PCI_RECORDED,
    PHONE_SIGMA_DB,
    RADIUS_M,
    READING_SIGMA_DB,
    SITE_SIGMA_M,
    SITES,
    STOP_SIGMA_M,
    STOPS_EACH,
    TREES_LEAVE,
    UNLISTED_RADIUS_M,
    Case,
    Panel,
    Truth,
    as_it_is,
)

FloatArray = NDArray[np.float64]


@dataclass
class World:
    """Districts of invented sites on the lamps of a ground, and stops on its streets."""

    ground: Ground
    truth: Truth
    rng: np.random.Generator
    lamps: list[Furniture] = field(init=False)

    def __post_init__(self) -> None:
        self.lamps = [f for f in self.ground.furniture if f.kind is FurnitureKind.LAMP]

    def cases(self, count: int) -> Iterator[Case]:
        """`count` stops, STOPS_EACH to a district."""
        made = 0
        while made < count:
            mhz = (3500.0, 26900.0)[made // STOPS_EACH % 2]
            places = self._places()
            panels = self._panels(places, mhz)
            for _ in range(min(STOPS_EACH, count - made)):
                yield self._case(panels, self._stop(places[0]), mhz)
                made += 1

    def _places(self) -> list[LatLon]:
        """Lamps for a district's sites: within RADIUS_M of the first, not too close."""
        while True:
            order = self.rng.permutation(len(self.lamps))
            middle = self.lamps[order[0]]
            chosen = [(middle.lat_deg, middle.lon_deg)]
            for index in order[1:]:
                lamp = self.lamps[index]
                apart = [inverse(*place, lamp.lat_deg, lamp.lon_deg)[0] for place in chosen]
                if apart[0] <= RADIUS_M and min(apart) >= NEAREST_SITES_M:
                    chosen.append((lamp.lat_deg, lamp.lon_deg))
                if len(chosen) == SITES:
                    return chosen

    def _stop(self, middle: LatLon) -> LatLon:
        """A point on a street within half of RADIUS_M of the district's middle."""
        while True:
            street = self.ground.streets[self.rng.integers(len(self.ground.streets))]
            leg = self.rng.integers(len(street.points_deg) - 1)
            start, end = np.array(street.points_deg[leg]), np.array(street.points_deg[leg + 1])
            lat_deg, lon_deg = start + (end - start) * self.rng.random()
            if inverse(*middle, lat_deg, lon_deg).distance_m <= RADIUS_M / 2.0:
                return float(lat_deg), float(lon_deg)

    def _moved(self, place: LatLon, sigma_m: float) -> LatLon:
        """A place with an error of `sigma_m` along each axis."""
        east, north = sigma_m * self.rng.standard_normal(2)
        return destination(
            *place, float(np.degrees(np.arctan2(east, north))), np.hypot(east, north)
        )

    def _panels(self, places: list[LatLon], mhz: float) -> list[Panel]:
        """One to three panels a site."""
        missing = set(self.rng.permutation(len(places))[: self.truth.missing_sites].tolist())
        pcis = iter(self.rng.permutation(1008).tolist())
        panels = []
        for site, place in enumerate(places):
            recorded = self._moved(place, SITE_SIGMA_M)
            first, count = self.rng.uniform(0.0, 360.0), int(self.rng.integers(1, 4))
            usual = 55.0 if mhz > 24_000.0 else 47.0
            eirp = usual + self._off(EIRP_SIGMA_DB, self.truth.eirp_off_db)
            for number in range(count):
                azimuth = (first + number * 360.0 / max(count, 2)) % 360.0
                pci = next(pcis)
                noted = azimuth + self._off(AZIMUTH_SIGMA_DEG, self.truth.azimuth_off_deg)
                listed = Candidate(
                    name=f"S{site}{'ABC'[number]}", site_id=f"S{site}", lat_deg=recorded[0],
                    lon_deg=recorded[1], position_sigma_m=SITE_SIGMA_M, azimuth_deg=noted % 360.0,
                    azimuth_sigma_deg=AZIMUTH_SIGMA_DEG, height_m=HEIGHT_M,
                    mhz=mhz, on_air=ON_AIR,
                    pci=pci if self.rng.random() < PCI_RECORDED else None,
                )  # fmt: skip
                panels.append(
                    Panel(
                        site,
                        *place,
                        azimuth,
                        eirp,
                        float(self.rng.choice(self.truth.beamwidths_deg)),
                        pci,
                        bool(self.rng.random() < ON_AIR),
                        None if site in missing else listed,
                    )
                )
        return panels

    def _off(self, sigma: float, fixed: float | None) -> float:
        """An error: normal, or of a fixed size to either side."""
        if fixed is None:
            return sigma * float(self.rng.standard_normal())
        return fixed if self.rng.random() < 0.5 else -fixed

    def _case(self, panels: list[Panel], stop: LatLon, mhz: float) -> Case:
        """Draw what serves at a stop and what the phone shows."""
        rng, recorded = self.rng, self._moved(stop, STOP_SIGMA_M)
        shared = float(rng.standard_normal())
        seen_truly = Skyline(stop, self.ground.buildings)
        seen_on_plan = Skyline(recorded, self.ground.buildings)
        sites = {p.site: p for p in panels}
        clear, fading = {}, {}
        for site, panel in sites.items():
            line = seen_truly.sight_line((panel.lat_deg, panel.lon_deg))
            clear[site] = bool(rng.random() < (TREES_LEAVE if line.clear else GAPS_OPEN))
            sigma = self.truth.shadow_factor * shadow_sigma_db(Scenario.UMI, clear[site])
            fading[site] = np.sqrt(0.5) * sigma * (shared + rng.standard_normal())
        levels = [self._level(p, stop, mhz, clear[p.site]) + fading[p.site] for p in panels]
        levels = [r if p.on_air else -np.inf for r, p in zip(levels, panels, strict=True)]
        lines = [inverse(*recorded, p.lat_deg, p.lon_deg) for p in panels]
        far = np.array([line.distance_m for line in lines])
        unlisted = self._unlisted(density_per_m2(far, self.truth.unlisted_share), shared, mhz)
        winner = int(np.argmax(levels))
        by_unlisted = unlisted > levels[winner]
        listed = [p for p in panels if p.listed is not None]
        ours = tuple(
            replace(
                p.listed,
                los_probability=GROUND_CLEAR
                if seen_on_plan.sight_line((p.listed.lat_deg, p.listed.lon_deg)).clear
                else GROUND_BLOCKED,
            )
            for p in listed
            if p.listed is not None
        )
        oracle = tuple(as_it_is(p, clear[p.site]) for p in listed)
        served = None if by_unlisted else panels[winner]
        return Case(
            ours=ours,
            oracle=oracle,
            recorded_stop_deg=recorded,
            true_stop_deg=stop,
            mhz=mhz,
            serves=listed.index(served) if served in listed else len(ours),
            rsrp_dbm=self._read(max(levels[winner], unlisted)),
            pci=self._read_pci(served),
        )

    def _level(self, panel: Panel, stop: LatLon, mhz: float, clear: bool) -> float:
        """Level of one panel without fading."""
        line = inverse(*stop, panel.lat_deg, panel.lon_deg)
        loss = path_loss_db(Scenario.UMI, line.distance_m, mhz, los=clear, base_height_m=HEIGHT_M)
        down = np.degrees(np.arctan2(1.5 - HEIGHT_M, max(line.distance_m, 0.1)))
        gain = pattern_db(
            line.azimuth_deg + 180.0 - panel.azimuth_deg,
            down + 5.0,
            beamwidth_deg=panel.beamwidth_deg,
        )
        element = panel.eirp_dbm - 10.0 * np.log10(resource_elements(Rat.NR, mhz, None))
        return float(element - loss + gain + OWN_SIGMA_DB * self.rng.standard_normal())

    def _unlisted(self, density: float, shared: float, mhz: float) -> float:
        """Strongest of a Poisson field of panels nobody listed."""
        count = self.rng.poisson(density * np.pi * UNLISTED_RADIUS_M**2)
        if count == 0:
            return -np.inf
        distance = UNLISTED_RADIUS_M * np.sqrt(self.rng.random(count))
        clear = self.rng.random(count) < los_probability(Scenario.UMI, distance)
        usual = 55.0 if mhz > 24_000.0 else 47.0
        element = usual - 10.0 * np.log10(resource_elements(Rat.NR, mhz, None))
        loss = path_loss_db(Scenario.UMI, distance, mhz, los=clear, base_height_m=HEIGHT_M)
        gain = pattern_db(self.rng.uniform(0, 360, count), np.degrees(np.arctan2(-6.5, distance)))
        sigma = self.truth.shadow_factor * shadow_sigma_db(Scenario.UMI, clear)
        fading = np.sqrt(0.5) * sigma * (shared + self.rng.standard_normal(count))
        own = UNLISTED_SIGMA_DB * self.rng.standard_normal(count)
        return float(np.max(element - loss + gain + fading + own))

    def _read(self, level_dbm: float) -> float:
        """What a phone of unknown offset shows."""
        off = PHONE_SIGMA_DB * self.rng.standard_normal()
        shown = level_dbm + off + READING_SIGMA_DB * self.rng.standard_normal()
        return float(np.clip(shown, -156.0, -29.0))

    def _read_pci(self, served: Panel | None) -> int:
        """The PCI shown; now and then recorded or read wrongly."""
        if served is None or self.rng.random() < PCI_ERROR:
            return int(self.rng.integers(1008))
        return served.pci
