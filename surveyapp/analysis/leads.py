"""Leads: sites to look for, and how standing there ticks one off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from surveyapp.errors import InvalidValue
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Site, SiteStatus, Stop

AT_M = 40.0  # a phone's position and a lead's own are both some metres off
FOUND = (SiteStatus.SEEN, SiteStatus.LIVE, SiteStatus.DARK, SiteStatus.GONE)


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadHere:
    """A lead that a stop stands at, and how far off it is noted."""

    site: Site
    distance_m: float


def leads_at(stop: Stop, sites: Iterable[Site], within_m: float = AT_M) -> tuple[LeadHere, ...]:
    """The leads that standing at a stop may tick off, nearest first; none without a position."""
    if stop.lat_deg is None or stop.lon_deg is None:
        return ()
    found = [
        LeadHere(
            site=site,
            distance_m=inverse(stop.lat_deg, stop.lon_deg, site.lat_deg, site.lon_deg).distance_m,
        )
        for site in sites
        if site.status is SiteStatus.LEAD and site.lat_deg is not None and site.lon_deg is not None
    ]
    near = [lead for lead in found if lead.distance_m <= within_m]
    return tuple(sorted(near, key=lambda lead: lead.distance_m))


def open_leads(sites: Iterable[Site]) -> tuple[Site, ...]:
    """The leads nobody has ticked off yet, in the sites' own order."""
    return tuple(site for site in sites if site.status is SiteStatus.LEAD)


def ticked_off(lead: Site, status: SiteStatus, what_was_found: str = "") -> Site:
    """The lead as what was found there: seen, live, dark or gone, with words added to its text.

    Raises InvalidValue for a status that ticks nothing off.
    """
    if status not in FOUND:
        allowed = ", ".join(status.value for status in FOUND)
        raise InvalidValue(
            f"A lead is ticked off as {allowed}, not as {status.value}.",
            value=status,
            allowed=allowed,
        )
    text = "\n".join(part for part in (lead.text, what_was_found.strip()) if part)
    return replace(lead, status=status, text=text)
