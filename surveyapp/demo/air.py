"""How the invented sectors truly arrive at each stand: path loss, panels, fading, interference.

Median by TR 38.901 (urban micro) with the real line of sight through the ground's buildings.
Shadow fading is correlated along the streets over 10 m (TR 38.901 table 7.5-6, urban micro with
line of sight), common to all sectors of a site, and correlated 0.5 between sites.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.demo.plan import SPACING_KHZ, element_eirp_dbm
from surveyapp.demo.truth import TruePath, TrueSector, TrueSite
from surveyapp.model import Rat
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, path_loss_db, shadow_sigma_db

FloatArray = NDArray[np.float64]

USER_HEIGHT_M = 1.5
CORRELATION_M = 10.0
BETWEEN_SITES = 0.5
SAME_PLACE_LATER_DB = 1.0  # what three weeks change at one place: an assumption of the demo
NOISE_FIGURE_DB = 9.0  # common practice for a phone
# Share of the time that a neighbour's elements are busy: an assumption of the demo
LOAD = {Rat.NR: 0.1, Rat.LTE: 0.3}
HIGHEST_SINR_DB = 32.0


@dataclass(frozen=True, slots=True)
class Geometry:
    """Each stand against each site: arrays of shape (stands, sites), degrees and metres."""

    distance_m: FloatArray
    bearing_deg: FloatArray
    clear: NDArray[np.bool_]


def shadowing_db(
    east_m: FloatArray, north_m: FloatArray, clear: NDArray[np.bool_], rng: np.random.Generator
) -> FloatArray:
    """One draw of shadow fading for each stand and site, shape as `clear`."""
    apart_m = np.hypot(east_m[:, None] - east_m[None, :], north_m[:, None] - north_m[None, :])
    along = np.linalg.cholesky(np.exp(-apart_m / CORRELATION_M) + 1e-9 * np.eye(len(east_m)))
    common = along @ rng.standard_normal((len(east_m), 1))
    own = along @ rng.standard_normal(clear.shape)
    unit = np.sqrt(BETWEEN_SITES) * common + np.sqrt(1.0 - BETWEEN_SITES) * own
    return np.asarray(unit * shadow_sigma_db(Scenario.UMI, clear))


def later_db(shadow_db: FloatArray, rng: np.random.Generator) -> FloatArray:
    """The same shadow fading some weeks later."""
    return shadow_db + SAME_PLACE_LATER_DB * rng.standard_normal(shadow_db.shape)


def paths(
    sites: tuple[TrueSite, ...], geometry: Geometry, shadow_db: FloatArray
) -> list[tuple[TruePath, ...]]:
    """For each stand, how every sector arrives there."""
    sectors = [
        (column, site, sector) for column, site in enumerate(sites) for sector in site.sectors
    ]
    rsrp_dbm = np.stack(
        [
            _median_dbm(site, sector, geometry, column) + shadow_db[:, column]
            for column, site, sector in sectors
        ],
        axis=1,
    )
    rats = np.array([sector.carrier.rat.value for _, _, sector in sectors])
    return [
        tuple(
            _path(sector, bool(geometry.clear[stand, column]), row, index, rats)
            for index, (column, _, sector) in enumerate(sectors)
        )
        for stand, row in enumerate(rsrp_dbm)
    ]


def _median_dbm(site: TrueSite, sector: TrueSector, geometry: Geometry, column: int) -> FloatArray:
    distance_m = geometry.distance_m[:, column]
    down_deg = np.degrees(np.arctan2(site.height_m - USER_HEIGHT_M, distance_m))
    off_deg = geometry.bearing_deg[:, column] + 180.0 - sector.azimuth_deg
    gain_db = pattern_db(
        off_deg, sector.downtilt_deg - down_deg, beamwidth_deg=sector.beamwidth_deg
    )
    loss_db = path_loss_db(
        Scenario.UMI, distance_m, sector.mhz,
        los=geometry.clear[:, column], base_height_m=site.height_m, user_height_m=USER_HEIGHT_M,
    )  # fmt: skip
    return np.asarray(element_eirp_dbm(sector.eirp_dbm, sector.carrier.rat) + gain_db - loss_db)


def _path(
    sector: TrueSector, clear: bool, row_dbm: FloatArray, index: int, rats: NDArray[np.str_]
) -> TruePath:
    rat = sector.carrier.rat
    others = (rats == rat.value) & (np.arange(len(row_dbm)) != index)
    others_mw = LOAD[rat] * float(np.sum(10.0 ** (row_dbm[others] / 10.0)))
    disturbance = (others_mw + 10.0 ** (noise_dbm(rat) / 10.0)) / 10.0 ** (row_dbm[index] / 10.0)
    sinr_db = min(-10.0 * np.log10(disturbance), HIGHEST_SINR_DB)
    # RSRQ is N times RSRP over RSSI (TS 38.215 section 5.1.3): 12 elements a block, busy by load
    rsrq_db = -10.0 * np.log10(12.0 * (max(LOAD[rat], 2.0 / 12.0) + disturbance))
    return TruePath(
        sector_id=sector.id,
        clear=clear,
        rsrp_dbm=round(float(row_dbm[index]), 3),
        sinr_db=round(float(sinr_db), 3),
        rsrq_db=round(float(rsrq_db), 3),
    )


def noise_dbm(rat: Rat) -> float:
    """Thermal noise of one resource element in a phone: -174 dBm/Hz and the noise figure."""
    return float(-174.0 + 10.0 * np.log10(SPACING_KHZ[rat] * 1000.0) + NOISE_FIGURE_DB)


def efficiency_bps_hz(sinr_db: float) -> float:
    """Bits a second and hertz of one layer: 0.6 of Shannon's bound, at most 4.4.

    Shape after TR 36.942 annex A.2; both figures from memory, good enough for an invented day.
    """
    return float(min(0.6 * np.log2(1.0 + 10.0 ** (sinr_db / 10.0)), 4.4))
