"""Each leg of a stop's readings as a link to the sector it most likely came from.

What stands along the line is taken from the ground: buildings for the line of sight, trees
for leaves. Rain is that of the survey.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from surveyapp.analysis.candidates import (
    UNKNOWN_POSITION_SIGMA_M,
    candidates_at,
    frequency_mhz,
    usable,
)
from surveyapp.analysis.levels import WIDEST_SIGMA_DEG, Links
from surveyapp.analysis.line_ground import LineGround
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.standing import LEG_NAME, LegAnswer, leg_carrier
from surveyapp.geometry.geodesy import angle_between_deg
from surveyapp.geometry.serving import Candidate, Ranked
from surveyapp.geometry.serving_prediction import VIEW_LOS
from surveyapp.geometry.serving_terms import (
    CLASS_EIRP_SIGMA_DB,
    DEFAULT_MHZ,
    KNOWN_EIRP_SIGMA_DB,
    ROOF_M,
    class_eirp_dbm,
    resource_elements,
)
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import (
    Carrier,
    Device,
    Reading,
    Sector,
    StopScene,
    Weather,
)
from surveyapp.radio.propagation import Scenario, los_probability
from surveyapp.radio.rain import HEAVY_RAIN_MM_H, LIGHT_RAIN_MM_H, rain_loss_db
from surveyapp.radio.vegetation import foliage_db

CROWN_M = 6.0  # depth of one street tree's leaves; our assumption
RAIN_MM_H = {Weather.LIGHT_RAIN: LIGHT_RAIN_MM_H, Weather.HEAVY_RAIN: HEAVY_RAIN_MM_H}


@dataclass(frozen=True, kw_only=True, slots=True)
class LegLink:
    """One leg, the sector it most likely came from, and what stands between."""

    answer: LegAnswer
    reading: Reading
    device: Device | None
    carrier: Carrier
    ranked: Ranked
    sector: Sector
    candidate: Candidate
    mhz: float
    rain_mm_h: float
    rain_db: float
    trees: int
    foliage_db: float
    offset: PhoneOffset

    @property
    def eirp_dbm(self) -> float:
        """EIRP of the carrier: noted, else that of its class."""
        told = self.candidate.eirp_dbm
        return class_eirp_dbm(self.mhz, self.candidate.height_m) if told is None else told

    @property
    def elements(self) -> float:
        """Subcarriers that share it."""
        return resource_elements(self.candidate.rat, self.mhz, self.candidate.bandwidth_mhz)


def leg_links(
    scene: StopScene, answers: Sequence[LegAnswer], offsets: Mapping[str, PhoneOffset]
) -> dict[tuple[str, str], LegLink]:
    """The links of all legs that have a listed sector, by reading id and leg."""
    readings = {reading.id: reading for reading in scene.readings}
    ground = LineGround(scene)
    found = {}
    for answer in answers:
        reading = readings.get(answer.reading_id or "")
        ranked = answer.answer.ranking[0]
        if reading is not None and ranked.sector_id is not None:
            link = _link(scene, answer, reading, ranked, offsets, ground)
            if link is not None:
                found[reading.id, answer.leg] = link
    return found


def as_arrays(scene: StopScene, legs: Iterable[LegLink]) -> Links:
    """The links as arrays, in their order."""
    rows = [_row(scene, leg) for leg in legs]
    columns = np.array(rows, dtype=np.float64).T
    return Links(**dict(zip(Links.__dataclass_fields__, columns, strict=True)))


def _link(
    scene: StopScene,
    answer: LegAnswer,
    reading: Reading,
    ranked: Ranked,
    offsets: Mapping[str, PhoneOffset],
    ground: LineGround,
) -> LegLink | None:
    """One leg's link; None where its sector has left the scene."""
    rat = next(rat for rat, name in LEG_NAME.items() if name == answer.leg)
    carrier = leg_carrier(reading, rat)
    sector = next((s for s in scene.sectors if s.id == ranked.sector_id), None)
    site = next((s for s in scene.sites if sector and s.id == sector.site_id), None)
    if carrier is None or sector is None or site is None:
        return None
    device = next((d for d in scene.devices if d.id == reading.device_id), None)
    along = ground.along(site)
    only = replace(scene, sites=(site,), sectors=(sector,), ground=along)
    found = candidates_at(only, rat, carrier, device.operator if device else "")
    if not found:
        return None
    mhz = found[0].mhz or frequency_mhz(carrier) or DEFAULT_MHZ
    rain = scene.survey.rain_mm_h
    if rain is None and scene.survey.weather is not None:
        rain = RAIN_MM_H.get(scene.survey.weather, 0.0)
    rain = usable(rain, 0.0, 500.0) or 0.0
    trees = ground.trees_between(found[0], along.furniture)
    return LegLink(
        answer=answer, reading=reading, device=device, carrier=carrier, ranked=ranked,
        sector=sector, candidate=found[0], mhz=mhz, rain_mm_h=rain,
        rain_db=float(rain_loss_db(ranked.distance_m or 0.0, mhz, rain)), trees=trees,
        foliage_db=float(foliage_db(min(trees * CROWN_M, 400.0), mhz)),
        offset=offsets.get(reading.device_id, PhoneOffset()),
    )  # fmt: skip


def _row(scene: StopScene, leg: LegLink) -> tuple[float, ...]:
    """One link's values in the order of Links."""
    candidate, distance = leg.candidate, leg.ranked.distance_m or 0.0
    noted = leg.carrier.rsrp_dbm
    place = math.hypot(
        candidate.position_sigma_m, scene.stop.position_sigma_m or UNKNOWN_POSITION_SIGMA_M
    )
    told = KNOWN_EIRP_SIGMA_DB if candidate.eirp_dbm is not None else CLASS_EIRP_SIGMA_DB
    direction = math.degrees(place / max(distance, 0.1))
    rsrp = usable(noted, *RSRP_RANGE_DBM)
    return (
        leg.eirp_dbm - 10.0 * math.log10(leg.elements),
        told if candidate.eirp_sigma_db is None else candidate.eirp_sigma_db,
        leg.mhz,
        distance,
        candidate.height_m,
        off_deg(leg),
        math.hypot(candidate.azimuth_sigma_deg, min(direction, WIDEST_SIGMA_DEG)),
        place,
        candidate.beamwidth_deg,
        candidate.downtilt_deg,
        line_of_sight(candidate, distance),
        leg.rain_db,
        leg.offset.offset_db,
        leg.offset.sigma_db,
        math.nan if rsrp is None else rsrp,
    )


def off_deg(leg: LegLink, azimuth_deg: float | None = None) -> float:
    """Signed angle off the boresight (as noted, or of another azimuth); NaN where unknown."""
    azimuth = leg.candidate.azimuth_deg if azimuth_deg is None else azimuth_deg
    if azimuth is None or leg.ranked.bearing_deg is None:
        return math.nan
    return angle_between_deg(azimuth, leg.ranked.bearing_deg + 180.0)


def line_of_sight(candidate: Candidate, distance_m: float) -> float:
    """Probability of line of sight: as told, by the ground, else TR 38.901's."""
    if candidate.view is not None:
        return VIEW_LOS[candidate.view]
    if candidate.los_probability is not None:
        return candidate.los_probability
    scenario = Scenario.UMA if candidate.height_m >= ROOF_M else Scenario.UMI
    return float(los_probability(scenario, distance_m))
