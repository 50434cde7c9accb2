"""Panels whose noted azimuth does not fit how they were seen turned, or what was read there.

Every azimuth is held against all sightings of the panel, and against all readings that most
likely came from it. A reading counts as far as it is that sector's (its probability in the
serving answer), and all readings of one place together count once, since they share their
shadow fading. A sighting may be of another panel: WRONG_PANEL.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.candidates import usable
from surveyapp.analysis.expected import Line
from surveyapp.analysis.leg_links import LegLink, as_arrays, off_deg
from surveyapp.analysis.levels import TURNED_PRIOR, FloatArray, gain_towards_db, levels
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG
from surveyapp.geometry.panel_facing import FACING_SIGMA_DEG
from surveyapp.geometry.smoothing import normal_nodes
from surveyapp.model import Sighting, StopScene
from surveyapp.radio.antenna import pattern_db

FEWEST_PLACES = 2  # one place alone cannot tell a turned panel from fading
WRONG_PANEL = 0.05  # chance that a sighting was booked to the wrong panel; our assumption

STEP_DEG = 5.0
AZIMUTHS_DEG = np.arange(0.0, 360.0, STEP_DEG)
PLACE_DEG = 1e-4  # stops closer than about 10 m are one place


@dataclass(frozen=True, kw_only=True, slots=True)
class TurnedPanel:
    """How likely a panel hangs otherwise than noted, and which azimuth its readings fit."""

    sector_id: str
    noted_deg: float
    likely_deg: float
    sigma_deg: float
    probability: float
    readings: int
    places: int
    sightings: int
    beamwidth_deg: float

    @property
    def basis(self) -> str:
        """'3 sightings and 12 readings'."""
        parts = [(self.sightings, "sighting"), (self.readings, "reading")]
        told = [f"{count} {word}{'s' if count > 1 else ''}" for count, word in parts if count]
        return " and ".join(told)

    @property
    def evidence(self) -> tuple[Line, ...]:
        """The numbers behind it."""
        return (
            Line("azimuth noted", self.noted_deg, "deg"),
            Line("azimuth that fits", self.likely_deg, "deg", f"±{self.sigma_deg:.0f}°"),
            Line("readings", float(self.readings), "", f"at {self.places} places"),
            Line("sightings of how it is turned", float(self.sightings), ""),
            Line("likelihood before any of them", 100.0 * TURNED_PRIOR, "%", "assumed"),
        )

    def gain_change_db(self, noted_off_deg: float, likely_off_deg: float) -> float:
        """Gain at the likely azimuth less that at the noted one, in dB."""
        likely, noted = (
            float(pattern_db(off, 0.0, beamwidth_deg=self.beamwidth_deg))
            for off in (likely_off_deg, noted_off_deg)
        )
        return likely - noted


def turned_panels(legs: Iterable[tuple[StopScene, LegLink]]) -> dict[str, TurnedPanel]:
    """By sector id, every panel that served somewhere and has a noted azimuth.

    Panels with no sighting of how they are turned and readings at one place only are left out.
    """
    by_sector: dict[str, list[tuple[StopScene, LegLink]]] = defaultdict(list)
    seen: dict[str, dict[str, Sighting]] = defaultdict(dict)
    for scene, leg in legs:
        if leg.candidate.azimuth_deg is not None and leg.carrier.rsrp_dbm is not None:
            by_sector[leg.sector.id].append((scene, leg))
        for sighting in scene.sightings:
            if sighting.sector_id is not None and _seen_azimuth_deg(sighting) is not None:
                seen[sighting.sector_id][sighting.id] = sighting
    found = (_turned(own, [*seen[sector].values()]) for sector, own in by_sector.items())
    return {panel.sector_id: panel for panel in found if panel is not None}


def _turned(own: list[tuple[StopScene, LegLink]], sightings: list[Sighting]) -> TurnedPanel | None:
    """What is known of one panel; None where that is too little."""
    places = [_place(scene) for scene, _ in own]
    count = Counter(places)
    if len(count) < FEWEST_PLACES and not sightings:
        return None
    log_fit = np.zeros_like(AZIMUTHS_DEG)
    for (scene, leg), place in zip(own, places, strict=True):
        log_fit += _log_fit(scene, leg) / count[place]
    for sighting in sightings:
        log_fit += _log_seen(sighting)
    first = own[0][1].candidate
    noted = first.azimuth_deg or 0.0
    fit = np.exp(log_fit - float(np.max(log_fit)))
    nodes, weight = normal_nodes(9)
    around = (noted + first.azimuth_sigma_deg * nodes) % 360.0
    as_noted = float(weight @ np.interp(around, [*AZIMUTHS_DEG, 360.0], [*fit, fit[0]]))
    chance = TURNED_PRIOR * float(fit.mean())
    chance /= chance + (1.0 - TURNED_PRIOR) * as_noted
    likely, sigma = _centre(fit)
    return TurnedPanel(
        sector_id=own[0][1].sector.id, noted_deg=noted, likely_deg=likely, sigma_deg=sigma,
        probability=chance, readings=len(own), places=len(count), sightings=len(sightings),
        beamwidth_deg=first.beamwidth_deg,
    )  # fmt: skip


def _seen_azimuth_deg(sighting: Sighting) -> float | None:
    """The panel's azimuth as one sighting saw it: bearing + 180 + facing."""
    bearing = usable(sighting.bearing_deg, 0.0, 360.0)
    facing = usable(sighting.facing_deg, -180.0, 180.0)
    return None if bearing is None or facing is None else (bearing + 180.0 + facing) % 360.0


def _log_seen(sighting: Sighting) -> FloatArray:
    """How well one sighting of the panel fits each azimuth, as a logarithm."""
    sigma = np.hypot(sighting.sigma_deg or COMPASS_SIGMA_DEG, FACING_SIGMA_DEG)
    apart = (AZIMUTHS_DEG - (_seen_azimuth_deg(sighting) or 0.0) + 180.0) % 360.0 - 180.0
    density = np.exp(-0.5 * (apart / sigma) ** 2) / (sigma * np.sqrt(2.0 * np.pi))
    return np.asarray(np.log((1.0 - WRONG_PANEL) * density + WRONG_PANEL / 360.0))


def _log_fit(scene: StopScene, leg: LegLink) -> FloatArray:
    """How well one reading fits each azimuth (azimuths), as a logarithm, 0 on average."""
    links = as_arrays(scene, [leg])
    found = levels(links)
    bearing = off_deg(leg, 0.0)
    gain = gain_towards_db(links, (bearing - AZIMUTHS_DEG)[:, None])[:, 0]
    peak = found.level_dbm[:, 0] - found.gain_db[0]
    seen = np.array([links.los_probability[0], 1.0 - links.los_probability[0]])
    apart = (links.measured_dbm[0] - peak[:, None] - gain) / found.sigma_db
    density = (seen / found.sigma_db[:, 0]) @ np.exp(-0.5 * np.minimum(apart**2, 1000.0))
    mean = float(density.mean())
    if not mean > 0.0:
        return np.zeros_like(density)
    own = leg.ranked.probability
    return np.asarray(np.log(own * density / mean + 1.0 - own + 1e-12))


def _centre(fit: FloatArray) -> tuple[float, float]:
    """Circular mean and standard deviation of the azimuths, weighed by their fit.

    Source: K. V. Mardia and P. E. Jupp, Directional Statistics (2000), section 2.
    """
    angle = np.radians(AZIMUTHS_DEG)
    weight = fit / fit.sum()
    mean = complex(weight @ np.cos(angle), weight @ np.sin(angle))
    length = min(max(abs(mean), 1e-9), 1.0 - 1e-12)
    sigma = float(np.degrees(np.sqrt(-2.0 * np.log(length))))
    return float(np.degrees(np.angle(mean)) % 360.0), sigma


def _place(scene: StopScene) -> tuple[int, int]:
    """A stop's place, the same for stops a few metres apart."""
    lat, lon = scene.stop.lat_deg or 0.0, scene.stop.lon_deg or 0.0
    return round(lat / PLACE_DEG), round(lon / PLACE_DEG / 2.0)
