"""The nodes: as they really hang, and as the notebook has them, with the errors of field work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.demo.hand import Hand
from surveyapp.demo.plan import INVENTED, LTE_CARRIER, NR_CARRIER, OPERATOR, SITES, SitePlan
from surveyapp.demo.town import Spot, Town
from surveyapp.demo.truth import Trouble, TrueSector, TrueSite
from surveyapp.geometry.geodesy import destination, normalise_azimuth_deg
from surveyapp.model import PositionFrom, Rat, Sector, Site, SiteKind, SiteStatus

BEAMWIDTH_DEG = 65.0  # TR 38.901 table 7.3-1
HIGHEST_PCI = 1007  # TS 38.211 section 7.4.2.1
HIGHEST_LTE_PCI = 503  # TS 36.211 section 6.11
MOUNTING_SIGMA_DEG = 6.0  # how exactly a panel is turned along its street: an assumption
SITE_SIGMA_M = 3.0
AZIMUTH_SIGMA_DEG = 8.0
PCI_KNOWN_SHARE = 0.5
WRONG_BY_DEG = 70.0


@dataclass(frozen=True, slots=True)
class Records:
    """The rows of the nodes that the notebook knows, and the azimuth planted wrong among them."""

    rows: tuple[Site | Sector, ...]
    trouble: Trouble


def true_sites(town: Town, spots: Sequence[Spot], hand: Hand) -> tuple[TrueSite, ...]:
    """Hang the planned panels on their spots."""
    return tuple(_site(town, spot, plan, hand) for spot, plan in zip(spots, SITES, strict=True))


def _site(town: Town, spot: Spot, plan: SitePlan, hand: Hand) -> TrueSite:
    lat_deg, lon_deg = town.to_world(spot)
    identity = hand.new_id()
    return TrueSite(
        id=identity, name=plan.name, kind=plan.kind.value, lat_deg=lat_deg, lon_deg=lon_deg,
        height_m=plan.height_m, listed=plan.listed,
        sectors=tuple(
            _sector(identity, plan, f"S{count}", spot.azimuth_deg + turn_deg, hand)
            for count, turn_deg in enumerate(plan.turns_deg, start=1)
        ),
    )  # fmt: skip


def _sector(site_id: str, plan: SitePlan, label: str, azimuth_deg: float, hand: Hand) -> TrueSector:
    is_nr = plan.rat is Rat.NR
    carrier = NR_CARRIER if is_nr else LTE_CARRIER
    turned_deg = azimuth_deg + MOUNTING_SIGMA_DEG * hand.rng.standard_normal()
    return TrueSector(
        id=hand.new_id(), site_id=site_id, label=label,
        azimuth_deg=round(normalise_azimuth_deg(turned_deg), 1) % 360.0,
        beamwidth_deg=BEAMWIDTH_DEG, downtilt_deg=float(hand.rng.integers(2, 8)),
        eirp_dbm=round(plan.eirp_dbm + float(hand.rng.normal(0.0, 1.5)), 1),
        pci=int(hand.rng.integers((HIGHEST_PCI if is_nr else HIGHEST_LTE_PCI) + 1)),
        mhz=carrier.mhz or 0.0, carrier=carrier,
    )  # fmt: skip


def records(sites: Sequence[TrueSite], wrong_id: str, hand: Hand) -> Records:
    """The listed nodes as a surveyor would have them; the azimuth of one sector is wrong."""
    rows: list[Site | Sector] = []
    trouble: list[Trouble] = []
    for site in sites:
        if not site.listed:
            continue
        rows.append(_site_row(site, hand))
        for sector in site.sectors:
            is_wrong = sector.id == wrong_id
            row = _sector_row(site, sector, hand, WRONG_BY_DEG if is_wrong else 0.0)
            rows.append(row)
            if is_wrong:
                trouble.append(_told(site, sector, row))
    return Records(tuple(rows), trouble[0])


def _site_row(site: TrueSite, hand: Hand) -> Site:
    off_deg, off_m = hand.rng.uniform(0.0, 360.0), SITE_SIGMA_M * np.hypot(*hand.rng.normal(size=2))
    lat_deg, lon_deg = destination(site.lat_deg, site.lon_deg, float(off_deg), float(off_m))
    return Site(
        id=site.id, name=site.name, operator=OPERATOR, kind=SiteKind(site.kind),
        status=SiteStatus.LIVE, lat_deg=round(lat_deg, 6), lon_deg=round(lon_deg, 6),
        position_sigma_m=SITE_SIGMA_M, position_from=PositionFrom.STOOD_BENEATH,
        height_m=float(round(site.height_m + hand.rng.normal(0.0, 0.7))), text=INVENTED,
    )  # fmt: skip


def _sector_row(site: TrueSite, sector: TrueSector, hand: Hand, wrong_deg: float) -> Sector:
    noted_deg = sector.azimuth_deg + wrong_deg + AZIMUTH_SIGMA_DEG * hand.rng.standard_normal()
    return Sector(
        id=sector.id, site_id=site.id, label=sector.label,
        azimuth_deg=float(round(normalise_azimuth_deg(noted_deg)) % 360),
        azimuth_sigma_deg=AZIMUTH_SIGMA_DEG, beamwidth_deg=BEAMWIDTH_DEG,
        pci=sector.pci if hand.rng.random() < PCI_KNOWN_SHARE else None,
        carriers=(sector.carrier,),
    )  # fmt: skip


def _told(site: TrueSite, sector: TrueSector, row: Sector) -> Trouble:
    return Trouble(
        kind="wrong azimuth", visit=1, stop_number=None, row_id=row.id,
        text=f"{site.name} {sector.label} is noted at {row.azimuth_deg:.0f} degrees; "
             f"it hangs at {sector.azimuth_deg:.0f}.",
    )  # fmt: skip
