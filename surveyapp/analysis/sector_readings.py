"""Which readings belong to a sector, and its level where each stop stood.

A reading belongs to a sector whose PCI it shows, or that the serving answer settled on. The
readings of one stop are one place: they share its fading.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace

from surveyapp.analysis.candidates import usable
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.sector_fit import MeasuredPlace
from surveyapp.analysis.standing import LegAnswer
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import Building, Rat, Reading, Sector, Site, Stop

SETTLED = 0.9  # a serving answer at least this sure tells whose reading it is
REACH_M = 1000.0  # a PCI seen farther off is another site's: they are used again

Attributed = AbstractSet[tuple[str, str]]
"""(reading id, sector id) pairs that serving answers settled."""


def settled_readings(answers: Iterable[LegAnswer], least: float = SETTLED) -> Attributed:
    """Readings whose serving answer names one sector with at least this probability."""
    return {
        (answer.reading_id, best.sector_id)
        for answer in answers
        if answer.reading_id is not None
        and (best := answer.answer.best).sector_id is not None
        and best.probability >= least
    }


def measured_places(
    site: Site,
    sector: Sector,
    stops: Sequence[Stop],
    readings: Sequence[Reading],
    *,
    offsets: Mapping[str, PhoneOffset] | None = None,
    attributed: Attributed = frozenset(),
    buildings: Sequence[Building] = (),
) -> tuple[MeasuredPlace, ...]:
    """The level of a sector at each stop where it was read, phones' own offsets taken off.

    With `buildings` each place is told in sight or not. Raises NoAnswer for a site without a
    position.
    """
    if site.lat_deg is None or site.lon_deg is None:
        raise NoAnswer(f"{site.name} has no position: sight it from two stops or set it by hand.")
    by_stop: dict[str, list[float]] = {}
    for reading in readings:
        offset = (offsets or {}).get(reading.device_id, PhoneOffset())
        named = (reading.id, sector.id) in attributed
        levels = [level - offset.offset_db for level in _levels(reading, sector, named)]
        if levels:
            by_stop.setdefault(reading.stop_id, []).append(sum(levels) / len(levels))
    places = [
        MeasuredPlace(
            lat_deg=stop.lat_deg,
            lon_deg=stop.lon_deg,
            rsrp_dbm=sum(by_stop[stop.id]) / len(by_stop[stop.id]),
            readings=len(by_stop[stop.id]),
            stop_id=stop.id,
        )
        for stop in stops
        if stop.id in by_stop
        and stop.lat_deg is not None
        and stop.lon_deg is not None
        and inverse(site.lat_deg, site.lon_deg, stop.lat_deg, stop.lon_deg).distance_m <= REACH_M
    ]
    return tuple(_told_in_sight(places, (site.lat_deg, site.lon_deg), site.height_m, buildings))


def sector_pcis(sector: Sector) -> dict[Rat, frozenset[int]]:
    """The PCIs of a sector's cells, for each radio technology it may hold."""
    rats = {carrier.rat for carrier in sector.carriers} or {Rat.NR}
    own = [] if sector.pci is None or len(rats) > 1 else [sector.pci]
    return {
        rat: frozenset(
            [*own, *(c.pci for c in sector.carriers if c.rat is rat and c.pci is not None)]
        )
        for rat in rats
    }


def _levels(reading: Reading, sector: Sector, named: bool) -> list[float]:
    """The possible RSRPs that a reading shows of the sector.

    A carrier with another PCI than the sector's is never its own, whatever the answer was.
    """
    found = []
    for rat, pcis in sector_pcis(sector).items():
        for carrier in reading.carriers:
            level = usable(carrier.rsrp_dbm, *RSRP_RANGE_DBM)
            if carrier.rat is not rat or level is None:
                continue
            if carrier.pci in pcis or (named and (carrier.pci is None or not pcis)):
                found.append(level)
    return found


def _told_in_sight(
    places: Sequence[MeasuredPlace],
    site_deg: tuple[float, float],
    height_m: float | None,
    buildings: Sequence[Building],
) -> list[MeasuredPlace]:
    """The places with what the ground's buildings say about the sight to the site."""
    if not buildings:
        return list(places)
    told = {} if height_m is None else {"target_height_m": height_m}
    return [
        replace(
            place,
            clear=Skyline((place.lat_deg, place.lon_deg), buildings)
            .sight_line(site_deg, **told)
            .clear,
        )
        for place in places
    ]
