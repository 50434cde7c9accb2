"""What is different about a site between two visits, each difference with its numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.model import Sector, SectorCarrier, Site

UNTOLD_AZIMUTH_SIGMA_DEG = 10.0  # of an azimuth noted without one, our assumption
UNTOLD_POSITION_SIGMA_M = 10.0  # likewise of a position
SIGMAS = 2.0  # a difference this many times its own sigma counts as one


class ChangeKind(StrEnum):
    """What about a site changed."""

    STATUS = "status"
    POSITION = "position"
    PANEL_ADDED = "panel added"
    PANEL_GONE = "panel gone"
    AZIMUTH = "azimuth"
    CARRIERS = "carriers"
    PCI = "PCI"


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One difference; `panel` is the label of the panel concerned, empty for the site itself."""

    kind: ChangeKind
    panel: str
    what: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelState:
    """A panel at one visit: as noted, as its sightings show it, and the PCIs read from it."""

    sector: Sector
    seen_azimuth_deg: float | None = None
    seen_sigma_deg: float | None = None
    pcis_read: tuple[int, ...] = ()
    readings: int = 0

    @property
    def is_seen(self) -> bool:
        """Whether its azimuth was seen on the visit."""
        return self.seen_azimuth_deg is not None and self.seen_sigma_deg is not None

    @property
    def how(self) -> str:
        """'seen' or 'noted'."""
        return "seen" if self.is_seen else "noted"

    @property
    def azimuth(self) -> tuple[float, float] | None:
        """Azimuth and sigma: as seen on the visit where it was, else as noted."""
        if self.seen_azimuth_deg is not None and self.seen_sigma_deg is not None:
            return self.seen_azimuth_deg, self.seen_sigma_deg
        if self.sector.azimuth_deg is None:
            return None
        sigma_deg = self.sector.azimuth_sigma_deg
        return self.sector.azimuth_deg, UNTOLD_AZIMUTH_SIGMA_DEG if sigma_deg is None else sigma_deg


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """A site at one survey."""

    survey_id: str
    title: str
    time_utc: datetime
    site: Site
    panels: tuple[PanelState, ...] = ()
    sightings: int = 0


def changes_between(before: Visit, after: Visit) -> tuple[Change, ...]:
    """All that changed from one visit to another, the site first."""
    old = {panel.sector.id: panel for panel in before.panels}
    new = {panel.sector.id: panel for panel in after.panels}
    found = list(_of_site(before.site, after.site))
    for sector_id, panel in new.items():
        if sector_id in old:
            found += _of_panel(old[sector_id], panel)
        else:
            found.append(_change(ChangeKind.PANEL_ADDED, panel, _looks(panel)))
    for sector_id, panel in old.items():
        if sector_id not in new:
            found.append(_change(ChangeKind.PANEL_GONE, panel, "is no longer noted"))
    return tuple(found)


def _of_site(before: Site, after: Site) -> Iterator[Change]:
    if before.status is not after.status:
        what = f"was {before.status}, is {after.status}"
        yield Change(kind=ChangeKind.STATUS, panel="", what=what)
    places = (before.lat_deg, before.lon_deg, after.lat_deg, after.lon_deg)
    if before.lat_deg is None or None in places or places[:2] == places[2:]:
        return
    moved_m = inverse(*places).distance_m  # type: ignore[arg-type]
    sigma_m = math.hypot(_sigma_m(before), _sigma_m(after))
    if moved_m > SIGMAS * sigma_m:
        what = f"moved by {moved_m:.0f} m, more than its ±{sigma_m:.0f} m explain"
        yield Change(kind=ChangeKind.POSITION, panel="", what=what)


def _sigma_m(site: Site) -> float:
    return UNTOLD_POSITION_SIGMA_M if site.position_sigma_m is None else site.position_sigma_m


def _of_panel(before: PanelState, after: PanelState) -> Iterator[Change]:
    if before.azimuth is not None and after.azimuth is not None:
        turned_deg = angle_between_deg(before.azimuth[0], after.azimuth[0])
        sigma_deg = math.hypot(before.azimuth[1], after.azimuth[1])
        if abs(turned_deg) > SIGMAS * sigma_deg:
            yield _change(ChangeKind.AZIMUTH, after, _turned(before, after, turned_deg, sigma_deg))
    gone = set(before.sector.carriers) - set(after.sector.carriers)
    come = set(after.sector.carriers) - set(before.sector.carriers)
    if gone or come:
        parts = [("without", gone), ("with", come)]
        told = [f"{word} {_carriers(held)}" for word, held in parts if held]
        yield _change(ChangeKind.CARRIERS, after, "now " + " and ".join(told))
    yield from _pci_changes(before, after)


def _turned(before: PanelState, after: PanelState, turned_deg: float, sigma_deg: float) -> str:
    """Two azimuths that differ; where one of them was not seen, it may only be noted wrong."""
    assert before.azimuth is not None
    assert after.azimuth is not None
    first, second = before.azimuth[0], after.azimuth[0]
    if before.is_seen and after.is_seen:
        return (
            f"turned by {turned_deg:+.0f}° from {first:.0f}° to {second:.0f}°, more than its "
            f"±{sigma_deg:.0f}° explain"
        )
    return (
        f"was {before.how} at {first:.0f}°, then {after.how} at {second:.0f}°, which is "
        f"{turned_deg:+.0f}° and more than ±{sigma_deg:.0f}° explain; turned since, or noted wrong"
    )


def _pci_changes(before: PanelState, after: PanelState) -> Iterator[Change]:
    """A PCI noted otherwise, or read otherwise on both visits."""
    noted = before.sector.pci, after.sector.pci
    if noted[0] is not None and noted[1] is not None and noted[0] != noted[1]:
        yield _change(ChangeKind.PCI, after, f"PCI noted as {noted[0]}, then as {noted[1]}")
    elif before.pcis_read and after.pcis_read and not set(before.pcis_read) & set(after.pcis_read):
        told = f"PCI read as {_list(before.pcis_read)}, then as {_list(after.pcis_read)}"
        yield _change(ChangeKind.PCI, after, told)


def _change(kind: ChangeKind, panel: PanelState, what: str) -> Change:
    return Change(kind=kind, panel=panel.sector.label, what=what)


def _looks(panel: PanelState) -> str:
    return "is new" + (f", looks to {panel.azimuth[0]:.0f}°" if panel.azimuth else "")


def _carriers(carriers: set[SectorCarrier]) -> str:
    told = []
    for one in sorted(carriers, key=str):
        name = one.band or (f"{one.mhz:g} MHz" if one.mhz is not None else "carrier")
        width = "" if one.bandwidth_mhz is None else f" {one.count} x {one.bandwidth_mhz:g} MHz"
        told.append(f"{one.rat} {name}{width}")
    return ", ".join(told)


def _list(numbers: tuple[int, ...]) -> str:
    return " and ".join(str(number) for number in numbers)
