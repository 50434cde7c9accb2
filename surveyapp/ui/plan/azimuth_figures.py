"""A panel's azimuth as readings and sightings tell it, each beside the other and to be taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from surveyapp.errors import NoAnswer
from surveyapp.model import Sector, Sighting, Site
from surveyapp.ui.plan.answers import Figure
from surveyapp.ui.words import counted, degrees, number

if TYPE_CHECKING:
    from surveyapp.analysis.sector_fit import MeasuredPlace

TAKE = "Tap to take it."


def azimuth_figures(
    site: Site, sector: Sector, measured: Sequence[MeasuredPlace], sightings: Sequence[Sighting]
) -> Iterable[Figure]:
    """What is noted, then what a walk's readings and what sightings say; a tap takes one over."""
    noted = "none yet" if sector.azimuth_deg is None else degrees(sector.azimuth_deg)
    yield Figure("Azimuth as noted", noted, icon="sector")
    yield from _by_readings(site, sector, measured)
    yield from _by_sightings(sector, sightings)


def _by_readings(site: Site, sector: Sector, measured: Sequence[MeasuredPlace]) -> Iterable[Figure]:
    from surveyapp.analysis.sector_panel import panel_of
    from surveyapp.analysis.walk_azimuth import walk_azimuth

    try:
        found = walk_azimuth(panel_of(site, sector), measured)
    except NoAnswer as reason:
        yield Figure("Azimuth by the readings", detail=str(reason), icon="heading")
        return
    low, high = (degrees(end % 360.0) for end in found.interval_deg)
    detail = f"95 %: {low} to {high}, from {counted(found.places, 'place')}"
    yield Figure(
        "Azimuth by the readings", degrees(found.azimuth_deg), f"{detail}\n{TAKE}",
        icon="heading", takes=_turned(sector, found.azimuth_deg, found.sigma_deg),
    )  # fmt: skip


def _by_sightings(sector: Sector, sightings: Sequence[Sighting]) -> Iterable[Figure]:
    from surveyapp.analysis.site_sightings import panel_facings

    for seen in panel_facings([sector], sightings):
        azimuth = seen.azimuth
        detail = f"± {number(azimuth.sigma_deg, 0)}°, from {counted(seen.sightings, 'sighting')}"
        yield Figure(
            "Azimuth by the sightings", degrees(azimuth.azimuth_deg), f"{detail}\n{TAKE}",
            icon="sighting", takes=_turned(sector, azimuth.azimuth_deg, azimuth.sigma_deg),
        )  # fmt: skip


def _turned(sector: Sector, azimuth_deg: float, sigma_deg: float) -> Sector:
    return replace(sector, azimuth_deg=round(azimuth_deg, 1) % 360.0, azimuth_sigma_deg=sigma_deg)
