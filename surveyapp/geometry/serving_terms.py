"""What the serving question is asked with, and what it is answered with.

Stated defaults, used where the notebook holds nothing: beamwidth 65 degrees (TR 38.901 table
7.3-1), downtilt 5 degrees, antennas 8 m above the street, EIRP by class of carrier, azimuth
known to 10 degrees, positions to 5 m. All but the first are common practice of street-level
sites, from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.geodesy import check_position
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import Rat, View
from surveyapp.radio.resource_grid import (
    SUBCARRIERS_PER_BLOCK,
    resource_blocks,
    usual_spacing_khz,
)

DEFAULT_MHZ = 3500.0
DEFAULT_DOWNTILT_DEG = 5.0
KNOWN_EIRP_SIGMA_DB = 3.0  # a record holds the class's peak; what is on air differs
CLASS_EIRP_SIGMA_DB = 7.0  # small cells span some 20 dB; common practice
LOWEST_TIME_DIVISION_MHZ = 2300.0  # below, carriers mostly come in pairs; common practice
ROOF_M = 18.0  # antennas from here up are urban macro, below street canyon; our choice
HIGHEST_PCI = {Rat.NR: 1007, Rat.LTE: 503}  # TS 38.211 clause 7.4.2.1, TS 36.211 clause 6.11


def class_eirp_dbm(mhz: float, height_m: float) -> float:
    """Usual EIRP of one carrier at the peak of the beam (common practice, from memory).

    55 dBm above 24 GHz, 60 dBm for antennas above 18 m (roofs), 47 dBm for street level.
    """
    if mhz >= 24_000.0:
        return 55.0
    return 60.0 if height_m >= ROOF_M else 47.0


@lru_cache(maxsize=256)
def resource_elements(rat: Rat, mhz: float, bandwidth_mhz: float | None) -> float:
    """Number of subcarriers that share the carrier's power.

    With the spacing usual at `mhz`; without a bandwidth 20 MHz is taken at 15 kHz and 100 MHz
    otherwise. For a width no table knows 95 % of the channel is taken to be in use (TS 38.101-1
    clause 5.3.2: mostly 90 to 98 %).
    """
    spacing_khz = usual_spacing_khz(mhz, rat=rat, time_division=mhz >= LOWEST_TIME_DIVISION_MHZ)
    width_mhz = bandwidth_mhz or (20.0 if spacing_khz == 15 else 100.0)
    try:
        blocks = resource_blocks(width_mhz, spacing_khz, rat=rat, mhz=mhz)
    except InvalidValue:
        return 950.0 * width_mhz / spacing_khz
    return float(SUBCARRIERS_PER_BLOCK * blocks)


@dataclass(frozen=True, kw_only=True, slots=True)
class Candidate:
    """One sector that may serve.

    `azimuth_deg` None is a direction not known: all are taken as equally likely. Sectors of
    equal `site_id` (or, without one, at one place) share their path. `view` is what the
    surveyor saw of the site; without it `los_probability` (0 to 1) counts, and without that
    TR 38.901's. `site_on_air` is the probability that the site has a carrier of the leg asked
    about on air at all, common to its sectors (which should tell the same), and `on_air` that
    this sector then has.
    """

    name: str
    lat_deg: float
    lon_deg: float
    azimuth_deg: float | None = None
    sector_id: str = ""
    site_id: str = ""
    site_name: str = ""
    azimuth_sigma_deg: float = 10.0
    beamwidth_deg: float = 65.0
    downtilt_deg: float = DEFAULT_DOWNTILT_DEG
    height_m: float = 8.0
    position_sigma_m: float = 5.0
    eirp_dbm: float | None = None
    eirp_sigma_db: float | None = None
    rat: Rat = Rat.NR
    mhz: float | None = None
    bandwidth_mhz: float | None = None
    pci: int | None = None
    view: View | None = None
    los_probability: float | None = None
    on_air: float = 0.98
    site_on_air: float = 1.0

    def __post_init__(self) -> None:
        where = f"sector '{self.name}'"
        check_position(self.lat_deg, self.lon_deg)
        check_range(self.azimuth_deg, 0.0, 360.0, "azimuth", "degrees", where)
        check_range(self.azimuth_sigma_deg, 0.0, 360.0, "azimuth's sigma", "degrees", where)
        check_range(self.beamwidth_deg, 1.0, 360.0, "beamwidth", "degrees", where)
        check_range(self.downtilt_deg, -90.0, 90.0, "downtilt", "degrees", where)
        check_range(self.height_m, 2.0, 150.0, "height", "m", where)
        check_range(self.position_sigma_m, 0.0, 1e4, "position's sigma", "m", where)
        check_range(self.eirp_dbm, -30.0, 100.0, "EIRP", "dBm", where)
        check_range(self.eirp_sigma_db, 0.0, 30.0, "EIRP's sigma", "dB", where)
        check_range(self.mhz, 500.0, 100_000.0, "frequency", "MHz", where)
        check_range(self.bandwidth_mhz, 1.0, 3200.0, "bandwidth", "MHz", where)
        check_range(self.los_probability, 0.0, 1.0, "probability of line of sight", "", where)
        check_range(self.on_air, 0.0, 1.0, "probability of being on air", "", where)
        check_range(self.site_on_air, 0.0, 1.0, "site's probability of being on air", "", where)
        check_pci(self.pci, HIGHEST_PCI[self.rat], where)

    @property
    def identity(self) -> str:
        """The sector's id, or its name where it has none."""
        return self.sector_id or self.name


@dataclass(frozen=True, kw_only=True, slots=True)
class Observation:
    """What is known at the place where the surveyor stands.

    `phone_offset_db` is what the phone shows too much, `phone_sigma_db` how uncertain that
    is (phones differ by several dB: common practice). `unlisted_share` is how many sectors
    the notebook lacks for each one it lists around.
    """

    lat_deg: float
    lon_deg: float
    position_sigma_m: float = 5.0
    height_m: float = 1.5
    mhz: float | None = None
    rsrp_dbm: float | None = None
    pci: int | None = None
    phone_offset_db: float = 0.0
    phone_sigma_db: float = 4.0
    unlisted_share: float = 0.1

    def __post_init__(self) -> None:
        where = "the stop"
        check_position(self.lat_deg, self.lon_deg)
        check_range(self.position_sigma_m, 0.0, 1e5, "position's sigma", "m", where)
        check_range(self.height_m, 1.5, 13.0, "height of the phone", "m", where)
        check_range(self.mhz, 500.0, 100_000.0, "frequency", "MHz", where)
        check_range(self.rsrp_dbm, *RSRP_RANGE_DBM, "RSRP", "dBm", where)
        check_range(self.phone_offset_db, -40.0, 40.0, "phone's offset", "dB", where)
        check_range(self.phone_sigma_db, 0.0, 40.0, "phone's sigma", "dB", where)
        check_range(self.unlisted_share, 0.0, 100.0, "share of unlisted sectors", "", where)
        check_pci(self.pci, HIGHEST_PCI[Rat.NR], where)


@dataclass(frozen=True, kw_only=True, slots=True)
class Ranked:
    """One sector's place in the answer; for 'none of these' all but the probability is None.

    `off_boresight_deg` is the angle in azimuth between boresight and phone, 0 to 180 (None
    for a sector of unknown azimuth), `bearing_deg` points from the stop to the site, and the
    predicted RSRP is the mean with its standard deviation over all that is uncertain.
    """

    sector_id: str | None
    name: str
    probability: float
    off_boresight_deg: float | None = None
    distance_m: float | None = None
    bearing_deg: float | None = None
    predicted_rsrp_dbm: float | None = None
    predicted_sigma_db: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class ServingAnswer:
    """Sectors by falling probability, 'none' last whatever its probability; they sum to 1."""

    ranking: tuple[Ranked, ...]
    settle: str
    reasons: tuple[str, ...]

    @property
    def best(self) -> Ranked:
        """The most probable entry, 'none' included."""
        return max(self.ranking, key=lambda entry: entry.probability)


def check_range(
    value: float | None, low: float, high: float, what: str, unit: str, where: str
) -> None:
    """Refuse a number outside its range, or no number at all; None passes."""
    if value is None:
        return
    allowed = f"{low:g} to {high:g} {unit}".rstrip()
    if not math.isfinite(value):
        raise InvalidValue(
            f"The {what} of {where} is no number: give {allowed}.", value=value, allowed=allowed
        )
    if not low <= value <= high:
        raise OutOfRange(
            f"The {what} of {where} is {value:g}: give {allowed}.", value=value, allowed=allowed
        )


def check_pci(pci: int | None, highest: int, where: str) -> None:
    """Refuse a physical cell identity that the standard does not know."""
    check_range(pci, 0, highest, "PCI", "", where)
