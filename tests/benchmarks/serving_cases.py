"""A stop to score serving answers on: what the notebook holds and what is true.

The laws of the invented world stand here as constants; where they are the model's own stated
defaults they are taken from it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from surveyapp.geometry.serving import Candidate, Observation
from surveyapp.geometry.serving_terms import CLASS_EIRP_SIGMA_DB
from surveyapp.model import LatLon, View

HEIGHT_M = 8.0
STOP_SIGMA_M, SITE_SIGMA_M = 5.0, 4.0
AZIMUTH_SIGMA_DEG = 10.0
EIRP_SIGMA_DB = CLASS_EIRP_SIGMA_DB
READING_SIGMA_DB, PHONE_SIGMA_DB = 1.5, 4.0
ON_AIR = 0.98
TREES_LEAVE, GAPS_OPEN = 0.9, 0.05  # how often a view is free where buildings leave it, or not
PCI_ERROR, PCI_RECORDED = 0.02, 0.8
SITES, NEAREST_SITES_M, RADIUS_M, STOPS_EACH = 9, 40.0, 330.0, 10
UNLISTED_RADIUS_M, UNLISTED_SHARE = 1500.0, 0.1


@dataclass(frozen=True)
class Truth:
    """How the world departs from what the model takes for granted; the defaults do not."""

    beamwidths_deg: tuple[float, ...] = (65.0,)
    eirp_off_db: float | None = None
    shadow_factor: float = 1.0
    azimuth_off_deg: float | None = None
    missing_sites: int = 0
    unlisted_share: float = UNLISTED_SHARE


OWN = Truth()
WRONG = Truth(
    beamwidths_deg=(45.0, 90.0),
    eirp_off_db=6.0,
    shadow_factor=1.25,
    azimuth_off_deg=10.0,
    missing_sites=1,
    unlisted_share=0.0,
)


@dataclass(frozen=True)
class Panel:
    """One sector as it truly is, and as the notebook has it (None where it is missing)."""

    site: int
    lat_deg: float
    lon_deg: float
    azimuth_deg: float
    eirp_dbm: float
    beamwidth_deg: float
    pci: int
    on_air: bool
    listed: Candidate | None


@dataclass(frozen=True)
class Case:
    """One stop: what the notebook knows, what an oracle knows, and what truly serves.

    `serves` is the index among `ours`, or len(ours) for a sector not listed. The oracle knows
    positions, azimuths, EIRP, beamwidths, views and what is on air as they truly are, and the
    spread of fading; it knows neither the fading, nor the phone's offset, nor unlisted sites.
    """

    ours: tuple[Candidate, ...]
    oracle: tuple[Candidate, ...]
    recorded_stop_deg: LatLon
    true_stop_deg: LatLon
    mhz: float
    serves: int
    rsrp_dbm: float
    pci: int

    def observation(self, *, rsrp: bool, pci: bool, oracle: bool = False) -> Observation:
        """What is observed, with or without RSRP and PCI."""
        lat_deg, lon_deg = self.true_stop_deg if oracle else self.recorded_stop_deg
        return Observation(
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            position_sigma_m=0.0 if oracle else STOP_SIGMA_M,
            mhz=self.mhz,
            rsrp_dbm=self.rsrp_dbm if rsrp else None,
            pci=self.pci if pci else None,
            unlisted_share=UNLISTED_SHARE,
        )


def as_it_is(panel: Panel, clear: bool) -> Candidate:
    """A listed panel as it truly is."""
    assert panel.listed is not None
    return replace(
        panel.listed,
        lat_deg=panel.lat_deg,
        lon_deg=panel.lon_deg,
        position_sigma_m=0.0,
        azimuth_deg=panel.azimuth_deg,
        azimuth_sigma_deg=0.0,
        eirp_dbm=panel.eirp_dbm,
        eirp_sigma_db=0.0,
        beamwidth_deg=panel.beamwidth_deg,
        view=View.CLEAR if clear else View.BLOCKED,
        on_air=1.0 if panel.on_air else 0.0,
    )
