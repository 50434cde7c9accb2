"""Walks through a simulated sector whose figures are known, for coverage tests and benchmarks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from surveyapp.analysis.sector_fit import REFERENCE_M, MeasuredPlace
from surveyapp.analysis.sector_panel import SectorPanel
from surveyapp.geometry.plan_projection import Plane

SITE = (60.1699, 24.9384)
PANEL = SectorPanel(
    name="Node A S1", lat_deg=SITE[0], lon_deg=SITE[1], azimuth_deg=130.0, height_m=8.0
)
INTERCEPT_DBM, EXPONENT, SIGMA_DB = -52.0, 2.8, 5.0


def places(
    east_m: np.ndarray, north_m: np.ndarray, rsrp_dbm: np.ndarray, panel: SectorPanel = PANEL
) -> list[MeasuredPlace]:
    """Readings at places so far east and north of the panel."""
    lat, lon = Plane(panel.lat_deg, panel.lon_deg).to_world(east_m, north_m)
    return [
        MeasuredPlace(lat_deg=float(a), lon_deg=float(b), rsrp_dbm=float(level))
        for a, b, level in zip(lat, lon, rsrp_dbm, strict=True)
    ]


def walk(
    random: np.random.Generator,
    count: int = 12,
    *,
    panel: SectorPanel = PANEL,
    spread_deg: float = 60.0,
    sigma_db: float = SIGMA_DB,
    exponent: float = EXPONENT,
) -> list[MeasuredPlace]:
    """`count` readings 15 to 250 m off, within `spread_deg` of boresight, drawn at random."""
    off = random.uniform(-spread_deg, spread_deg, count)
    distance = np.exp(random.uniform(np.log(15.0), np.log(250.0), count))
    azimuth = np.radians(panel.known_azimuth_deg() + off)
    east, north = distance * np.sin(azimuth), distance * np.cos(azimuth)
    level = true_level(panel, east, north, exponent) + random.normal(0.0, sigma_db, count)
    return places(east, north, level, panel)


def true_level(
    panel: SectorPanel, east_m: np.ndarray, north_m: np.ndarray, exponent: float = EXPONENT
) -> np.ndarray:
    """The simulated median level."""
    ways = panel.ways_over(east_m, north_m)
    decades = 10.0 * np.log10(ways.slant_m / REFERENCE_M)
    return INTERCEPT_DBM + ways.gain_db - exponent * decades


def true_range_m(threshold_dbm: float, panel: SectorPanel = PANEL) -> float:
    """Where the simulated median on boresight falls to the threshold."""
    ahead = np.geomspace(1.0, 5000.0, 200_000)
    azimuth = np.radians(panel.known_azimuth_deg())
    level = true_level(panel, ahead * np.sin(azimuth), ahead * np.cos(azimuth))
    return float(ahead[np.flatnonzero(level >= threshold_dbm)[-1]])


def turned(panel: SectorPanel, azimuth_deg: float | None) -> SectorPanel:
    """The same panel, looking elsewhere."""
    return replace(panel, azimuth_deg=azimuth_deg)
