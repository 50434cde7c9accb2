"""Rows of the notebook turned into candidates of the serving question, gaps filled.

Stated defaults, common practice and from memory unless a source is named: heights by kind of
site, beamwidth 65 degrees (TR 38.901 table 7.3-1), azimuth known to 10 degrees, EIRP by
class, positions by where they come from. Impossible values count as not recorded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.serving import Candidate
from surveyapp.geometry.serving_terms import DEFAULT_DOWNTILT_DEG, HIGHEST_PCI
from surveyapp.model import (
    Building,
    Carrier,
    LatLon,
    PositionFrom,
    Rat,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    StopScene,
)
from surveyapp.radio.channels import band_mhz, carrier_mhz

HEIGHT_M = {
    SiteKind.LAMP_POST: 8.0,
    SiteKind.TRAFFIC_SIGNAL: 5.0,
    SiteKind.WALL: 6.0,
    SiteKind.ROOF: 25.0,
    SiteKind.POLE: 10.0,
    SiteKind.STRAND: 6.0,
    SiteKind.OTHER: 8.0,
    SiteKind.LANDMARK: 8.0,
}
POSITION_SIGMA_M = {
    PositionFrom.STOOD_BENEATH: 6.0,
    PositionFrom.SIGHTINGS: 12.0,
    PositionFrom.PLAN: 4.0,
    PositionFrom.RECORD: 10.0,
    PositionFrom.SENSOR: 8.0,
    PositionFrom.TYPED: 5.0,
}
UNKNOWN_POSITION_SIGMA_M = 8.0  # a phone among houses: 5 to 15 m
AZIMUTH_SIGMA_DEG = 10.0
FACING_SIGMA_DEG = 20.0  # how well one judges by eye which way a panel is turned
ON_AIR = {
    SiteStatus.LIVE: 1.0,
    SiteStatus.SEEN: 0.9,
    SiteStatus.LEAD: 0.6,
    SiteStatus.DARK: 0.1,
    SiteStatus.GONE: 0.0,
}
SECTOR_ON_AIR = 0.98  # of a site on air: the rest is under work
UNKNOWN_CARRIERS = {Rat.NR: 0.85, Rat.LTE: 0.5}  # chance that a site noted without any has one
AS_ITS_SIBLINGS = 0.9  # chance that a sector of unknown carriers holds what its siblings hold
OTHER_CHANNEL, OTHER_BAND = 0.2, 0.05  # chance that the record lacks the carrier measured
OTHER_OPERATOR, UNKNOWN_OPERATOR = 0.02, 0.7
GROUND_CLEAR, GROUND_BLOCKED = 0.88, 0.08  # trees, vehicles, unknown roofs, positions off

Held = dict[str, tuple[SectorCarrier | None, float]]  # by sector: the carrier meant, its chance


def usable(value: float | None, low: float, high: float) -> float | None:
    """The value, or None where it lies outside its physical range or is no number."""
    return value if value is not None and low <= value <= high else None


def frequency_mhz(carrier: Carrier | SectorCarrier) -> float | None:
    """A carrier's frequency: as noted, by its channel number, else the middle of its band."""
    try:
        mhz = carrier_mhz(carrier.rat, carrier.channel, carrier.mhz)
        if mhz is None and carrier.band:
            mhz = band_mhz(carrier.band)
    except ValueError:
        return None
    return usable(mhz, 500.0, 100_000.0)


def site_position_sigma_m(site: Site) -> float:
    """How well a site's position is known, told or by where it comes from."""
    told = usable(site.position_sigma_m, 0.0, 1e4)
    if told is not None:
        return told
    if site.position_from is None:
        return UNKNOWN_POSITION_SIGMA_M
    return POSITION_SIGMA_M[site.position_from]


def candidates_at(
    scene: StopScene, rat: Rat, measured: Carrier | None, operator: str
) -> tuple[Candidate, ...]:
    """Every sector within the scene that may hold a carrier of `rat`, as a candidate.

    `measured` is the carrier a phone showed, None before any reading; `operator` is that of
    the phone, empty where unknown.
    """
    return tuple(_candidates(scene, rat, measured, operator))


def _candidates(
    scene: StopScene, rat: Rat, measured: Carrier | None, operator: str
) -> Iterator[Candidate]:
    """The candidates one by one."""
    sites = {site.id: site for site in scene.sites}
    skyline = _skyline(scene)
    views = {s.site_id: s.view for s in scene.sightings if s.view is not None}
    held = _carriers_held(scene.sectors, rat, measured)
    site_holds = _by_site(scene.sectors, held)
    for sector in scene.sectors:
        site = sites.get(sector.site_id)
        if site is None or site.lat_deg is None or site.lon_deg is None:
            continue
        carrier, holds = held[sector.id]
        most = site_holds[sector.site_id]
        site_on_air = ON_AIR[site.status] * most * _same_operator(site.operator, operator)
        if site_on_air * holds > 0.0:
            place = (site.lat_deg, site.lon_deg)
            view = views.get(site.id)
            plain = _candidate(place, site, sector, carrier, rat)
            azimuth, sigma = _azimuth(sector, scene.sightings)
            yield replace(
                plain,
                azimuth_deg=azimuth,
                azimuth_sigma_deg=sigma,
                view=view,
                los_probability=_ground_view(skyline, place, plain.height_m),
                site_on_air=site_on_air,
                on_air=SECTOR_ON_AIR * holds / most,
            )


def _candidate(
    place: LatLon, site: Site, sector: Sector, carrier: SectorCarrier | None, rat: Rat
) -> Candidate:
    """One sector as the book has it, with the defaults; view and azimuth are not yet set."""
    downtilt = usable(sector.downtilt_deg, -90.0, 90.0)
    return Candidate(
        name=f"{site.name} {sector.label}".strip(),
        lat_deg=place[0],
        lon_deg=place[1],
        sector_id=sector.id,
        site_id=site.id,
        site_name=site.name,
        beamwidth_deg=usable(sector.beamwidth_deg, 1.0, 360.0) or 65.0,
        height_m=_height_m(site, sector),
        position_sigma_m=site_position_sigma_m(site),
        eirp_dbm=usable(sector.eirp_dbm, -30.0, 100.0),
        rat=rat,
        mhz=None if carrier is None else frequency_mhz(carrier),
        bandwidth_mhz=None if carrier is None else usable(carrier.bandwidth_mhz, 1.0, 3200.0),
        pci=_pci(sector, carrier, rat),
        downtilt_deg=DEFAULT_DOWNTILT_DEG if downtilt is None else downtilt,
    )


def _ground_view(skyline: Skyline | None, place: LatLon, height_m: float) -> float | None:
    """Probability of line of sight by the ground's buildings, or None without any."""
    if skyline is None:
        return None
    return GROUND_CLEAR if _is_clear(skyline, place, height_m) else GROUND_BLOCKED


@lru_cache(maxsize=64)
def _is_clear(skyline: Skyline, place: LatLon, height_m: float) -> bool:
    """Whether a panel is in sight; the legs of a stop ask the same, so the last are kept."""
    return skyline.sight_line(place, target_height_m=height_m).clear


class _Same:
    """Buildings that are equal only to themselves, so that comparing them costs nothing."""

    def __init__(self, buildings: tuple[Building, ...]) -> None:
        self.buildings = buildings

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.buildings is other.buildings

    def __hash__(self) -> int:
        return id(self.buildings)


@lru_cache(maxsize=2)
def _skyline_of(stop_deg: LatLon, same: _Same) -> Skyline:
    """A skyline made ready once for all legs of a stop."""
    return Skyline(stop_deg, same.buildings)


def _skyline(scene: StopScene) -> Skyline | None:
    """The buildings seen from the stop, or None where no ground was brought in."""
    stop = scene.stop
    if not scene.ground.buildings or stop.lat_deg is None or stop.lon_deg is None:
        return None
    return _skyline_of((stop.lat_deg, stop.lon_deg), _Same(scene.ground.buildings))


def _height_m(site: Site, sector: Sector) -> float:
    """Height of the antenna: the sector's, the site's, else that of its kind."""
    for told in (sector.height_m, site.height_m):
        height = usable(told, 2.0, 150.0)
        if height is not None:
            return height
    return HEIGHT_M[site.kind]


def _azimuth(sector: Sector, sightings: Sequence[Sighting]) -> tuple[float | None, float]:
    """Azimuth and its sigma: recorded, else as this stop's sighting saw the panel turned."""
    told = usable(sector.azimuth_deg, 0.0, 360.0)
    if told is not None:
        sigma = usable(sector.azimuth_sigma_deg, 0.0, 360.0)
        return told, AZIMUTH_SIGMA_DEG if sigma is None else sigma
    for sighting in reversed(sightings):
        bearing, facing = sighting.bearing_deg, sighting.facing_deg
        if sighting.sector_id == sector.id and bearing is not None and facing is not None:
            sigma = math.hypot(usable(sighting.sigma_deg, 0.0, 180.0) or 5.0, FACING_SIGMA_DEG)
            return (bearing + 180.0 + facing) % 360.0, sigma
    return None, AZIMUTH_SIGMA_DEG


def _carriers_held(sectors: Sequence[Sector], rat: Rat, measured: Carrier | None) -> Held:
    """What each sector holds of the leg; one of unknown carriers mostly what its siblings do."""
    held = {s.id: _carrier_of(s, rat, measured) for s in sectors if s.carriers}
    known = _by_site([s for s in sectors if s.carriers], held)
    for sector in sectors:
        if not sector.carriers:
            of_site = known.get(sector.site_id)
            unknown = UNKNOWN_CARRIERS[rat] if of_site is None else AS_ITS_SIBLINGS * of_site
            held[sector.id] = (None, unknown)
    return held


def _by_site(sectors: Sequence[Sector], held: Held) -> dict[str, float]:
    """The highest chance that any sector of a site holds the carrier."""
    most: dict[str, float] = {}
    for sector in sectors:
        most[sector.site_id] = max(most.get(sector.site_id, 0.0), held[sector.id][1])
    return most


def _carrier_of(
    sector: Sector, rat: Rat, measured: Carrier | None
) -> tuple[SectorCarrier | None, float]:
    """The sector's carrier meant by the question, and the chance that it holds that one."""
    own = [carrier for carrier in sector.carriers if carrier.rat is rat]
    if not own:
        return None, 0.0
    if measured is None:
        return own[0], 1.0
    return max(((carrier, _agreement(carrier, measured)) for carrier in own), key=lambda c: c[1])


def _agreement(recorded: SectorCarrier, measured: Carrier) -> float:
    """Chance that the sector holds the measured carrier, by band and frequency."""
    here, there = frequency_mhz(recorded), frequency_mhz(measured)
    same_band = recorded.band.casefold() == measured.band.casefold()
    if recorded.band and measured.band and not same_band:
        return OTHER_BAND
    exact = all(c.mhz is not None or c.channel is not None for c in (recorded, measured))
    if here is None or there is None or (not exact and same_band):
        return 1.0
    apart = abs(here - there)
    if exact and apart <= _span_mhz(recorded) + _span_mhz(measured):
        return 1.0
    return OTHER_CHANNEL if apart <= 0.05 * here else OTHER_BAND


def _span_mhz(carrier: Carrier | SectorCarrier) -> float:
    """Within how many MHz two notes of the same carriers may differ."""
    return 0.5 * max(carrier.count, 1) * (carrier.bandwidth_mhz or 5.0)


def _same_operator(of_site: str, of_phone: str) -> float:
    """Chance that the phone may use the site."""
    site, phone = of_site.strip().casefold(), of_phone.strip().casefold()
    if not phone or site == phone:
        return 1.0
    return OTHER_OPERATOR if site else UNKNOWN_OPERATOR


def _pci(sector: Sector, carrier: SectorCarrier | None, rat: Rat) -> int | None:
    """PCI of the cell: the carrier's own, else the sector's where it has only this rat.

    The PCI of a sector with unknown carriers is taken as that of its NR cell.
    """
    told = carrier.pci if carrier is not None else None
    if told is None and ({c.rat for c in sector.carriers} or {Rat.NR}) == {rat}:
        told = sector.pci
    return told if told is not None and 0 <= told <= HIGHEST_PCI[rat] else None
