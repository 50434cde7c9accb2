"""What the next visit to a site should look at, most telling first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from surveyapp.analysis.visit_changes import Change, ChangeKind, Visit
from surveyapp.model import Sector, Site, SiteStatus

WIDE_POSITION_M = 25.0  # a position this wide is a doubt
WIDE_AZIMUTH_DEG = 15.0  # an azimuth this wide decides little between panels, our choice


def to_check(
    site: Site, panels: Sequence[Sector], visits: Sequence[Visit], changes: Sequence[Change]
) -> tuple[str, ...]:
    """Sentences for the surveyor; empty where all is known and nothing changed."""
    return (*_of_changes(changes), *_of_site(site, panels), *_of_panels(panels, visits))


def _of_changes(changes: Sequence[Change]) -> Iterator[str]:
    """What changed last should be seen once more."""
    for change in changes:
        panel = f"Panel {change.panel}".strip()
        if change.kind is ChangeKind.AZIMUTH:
            yield f"{panel} {change.what}: sight it from two stops."
        elif change.kind is ChangeKind.PCI:
            yield f"{panel}: {change.what}: read it beneath the panel."
        elif change.kind is ChangeKind.PANEL_GONE:
            yield f"{panel} {change.what}: look whether it still hangs there."
        elif change.kind is ChangeKind.POSITION:
            yield f"The site {change.what}: stand beneath it."


def _of_site(site: Site, panels: Sequence[Sector]) -> Iterator[str]:
    if site.status in (SiteStatus.LEAD, SiteStatus.SEEN, SiteStatus.DARK):
        yield f"The site is noted as {site.status}: see whether it is on air now."
    if site.lat_deg is None:
        yield "The site has no position: sight it from two stops, or stand beneath it."
    elif site.position_sigma_m is not None and site.position_sigma_m > WIDE_POSITION_M:
        yield f"Its position is known to ±{site.position_sigma_m:.0f} m only: stand beneath it."
    if site.height_m is None and all(panel.height_m is None for panel in panels):
        yield "Its height is not noted: take an elevation angle from a known distance."
    if not panels:
        yield "No panel of it is noted: sight each and how it is turned."


def _of_panels(panels: Sequence[Sector], visits: Sequence[Visit]) -> Iterator[str]:
    read = {panel.sector.id for visit in visits for panel in visit.panels if panel.readings}
    for panel in panels:
        name = f"Panel {panel.label}".strip()
        if panel.azimuth_deg is None:
            yield f"{name} has no azimuth: sight it and how it is turned."
        elif panel.azimuth_sigma_deg is not None and panel.azimuth_sigma_deg > WIDE_AZIMUTH_DEG:
            yield (
                f"{name}'s azimuth is known to ±{panel.azimuth_sigma_deg:.0f}° only: sight it "
                "from the side too."
            )
        if panel.id not in read:
            yield f"{name} has served no reading yet: stand on its boresight."
        elif panel.pci is None:
            yield f"{name}'s PCI is not noted: read it on its boresight."
