"""Candidate sectors as arrays, and what each delivers over a distance and under an angle.

Level = EIRP per resource element + pattern (TR 38.901 table 7.3-1 with the sector's own
beamwidth) - path loss (TR 38.901 table 7.4.1-1: urban micro, and urban macro for antennas
from ROOF_M up).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.geometry.serving_terms import (
    CLASS_EIRP_SIGMA_DB,
    DEFAULT_MHZ,
    KNOWN_EIRP_SIGMA_DB,
    ROOF_M,
    Candidate,
    Observation,
    class_eirp_dbm,
    resource_elements,
)
from surveyapp.geometry.smoothing import BoolArray, FloatArray, IntArray
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, path_loss_db, shadow_sigma_db

AZIMUTH_NODES = 36
WIDEST_SIGMA_DEG = 104.0  # standard deviation of a direction not known at all, 360 / sqrt(12)
_LOS = np.array([[True], [False]])


@dataclass(frozen=True, slots=True)
class Panels:
    """n sectors as arrays of length n; boresights and their weights are (n, AZIMUTH_NODES)."""

    mhz: FloatArray
    element_eirp_dbm: FloatArray
    eirp_sigma_db: FloatArray
    height_m: FloatArray
    user_height_m: float
    downtilt_deg: FloatArray
    beamwidth_deg: FloatArray
    boresight_deg: FloatArray
    azimuth_weight: FloatArray
    roof: BoolArray

    def take(self, index: IntArray) -> Panels:
        """Some of the panels."""
        return Panels(
            self.mhz[index],
            self.element_eirp_dbm[index],
            self.eirp_sigma_db[index],
            self.height_m[index],
            self.user_height_m,
            self.downtilt_deg[index],
            self.beamwidth_deg[index],
            self.boresight_deg[index],
            self.azimuth_weight[index],
            self.roof[index],
        )

    def gain_db(self, towards_deg: FloatArray, distance_m: FloatArray) -> FloatArray:
        """Pattern (..., n, directions, azimuths) at each panel's boresight nodes.

        `towards_deg` (..., n, directions) is the azimuth from the panel to the phone,
        `distance_m` (..., n) that along the ground.
        """
        rise = np.degrees(
            np.arctan2(self.user_height_m - self.height_m, np.maximum(distance_m, 0.1))
        )
        return pattern_db(
            towards_deg[..., None] - self.boresight_deg[:, None, :],
            (rise + self.downtilt_deg)[..., None, None],
            beamwidth_deg=self.beamwidth_deg[:, None, None],
        )

    def loss_db(self, distance_m: FloatArray) -> FloatArray:
        """Median path loss (..., 2, n), with and without line of sight, over (..., n)."""
        loss = np.empty((*distance_m.shape[:-1], 2, distance_m.shape[-1]))
        for scenario, here in ((Scenario.UMI, ~self.roof), (Scenario.UMA, self.roof)):
            if here.any():
                loss[..., here] = path_loss_db(
                    scenario,
                    distance_m[..., None, here],
                    self.mhz[here],
                    los=_LOS,
                    base_height_m=self.height_m[here],
                    user_height_m=self.user_height_m,
                )
        return loss

    def shadow_db(self) -> FloatArray:
        """Standard deviation of shadow fading (2, n), with and without line of sight."""
        sigma = [shadow_sigma_db(s, _LOS[:, 0]) for s in (Scenario.UMI, Scenario.UMA)]
        return np.where(self.roof, sigma[1][:, None], sigma[0][:, None])


def panels(candidates: Sequence[Candidate], observation: Observation) -> Panels:
    """The candidates as arrays, with the stated defaults where the notebook holds nothing.

    A carrier of unknown frequency is taken at the one measured, else amid the known ones.
    """
    known = [c.mhz for c in candidates if c.mhz is not None]
    usual = observation.mhz or (float(np.median(known)) if known else DEFAULT_MHZ)
    mhz = [c.mhz or usual for c in candidates]
    nodes = [_azimuth_nodes(c) for c in candidates]
    height = np.array([c.height_m for c in candidates])
    return Panels(
        mhz=np.array(mhz),
        element_eirp_dbm=np.array(
            [_element_eirp_dbm(c, f) for c, f in zip(candidates, mhz, strict=True)]
        ),
        eirp_sigma_db=np.array([_eirp_sigma_db(c) for c in candidates]),
        height_m=height,
        user_height_m=observation.height_m,
        downtilt_deg=np.array([c.downtilt_deg for c in candidates]),
        beamwidth_deg=np.array([c.beamwidth_deg for c in candidates]),
        boresight_deg=np.stack([azimuths for azimuths, _ in nodes]),
        azimuth_weight=np.stack([weights for _, weights in nodes]),
        roof=height >= ROOF_M,
    )


def _azimuth_nodes(candidate: Candidate) -> tuple[FloatArray, FloatArray]:
    """Azimuths and weights (AZIMUTH_NODES): normal about the azimuth, or the whole circle."""
    if candidate.azimuth_deg is None or candidate.azimuth_sigma_deg >= WIDEST_SIGMA_DEG:
        start = candidate.azimuth_deg or 0.0
        turn = np.arange(AZIMUTH_NODES) * 360.0 / AZIMUTH_NODES
        return start + turn, np.full(AZIMUTH_NODES, 1.0 / AZIMUTH_NODES)
    return candidate.azimuth_deg + candidate.azimuth_sigma_deg * _NODES, _NODE_WEIGHT


def _element_eirp_dbm(candidate: Candidate, mhz: float) -> float:
    """EIRP per resource element at the peak of the beam."""
    whole = candidate.eirp_dbm
    if whole is None:
        whole = class_eirp_dbm(mhz, candidate.height_m)
    elements = resource_elements(candidate.rat, mhz, candidate.bandwidth_mhz)
    return whole - 10.0 * float(np.log10(elements))


def _eirp_sigma_db(candidate: Candidate) -> float:
    """Uncertainty of the EIRP: told, small where the EIRP is, else that of its class."""
    if candidate.eirp_sigma_db is not None:
        return candidate.eirp_sigma_db
    return CLASS_EIRP_SIGMA_DB if candidate.eirp_dbm is None else KNOWN_EIRP_SIGMA_DB


_NODES = np.linspace(-4.0, 4.0, AZIMUTH_NODES)
_NODE_WEIGHT = np.exp(-0.5 * _NODES**2) / np.exp(-0.5 * _NODES**2).sum()
