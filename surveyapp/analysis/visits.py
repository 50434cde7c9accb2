"""A site's history over surveys: how it stood at each visit, what changed, how fast it was.

What was noted comes from the versions the journal keeps of the site and its panels; what was
seen and read comes from the visit's own sightings and readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from surveyapp.analysis.compare import Comparison, compare_visits
from surveyapp.analysis.next_visit import to_check
from surveyapp.analysis.runs import Quantity, reading_of
from surveyapp.analysis.visit_changes import Change, PanelState, Visit, changes_between
from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG
from surveyapp.geometry.panel_facing import Facing, panel_azimuth
from surveyapp.model import Reading, Sector, Sighting, Site, StopScene

Served = Mapping[str, str | None]
R = TypeVar("R", Site, Sector)


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """What changed from one visit to the next, and the speeds before and after."""

    before: Visit
    after: Visit
    changes: tuple[Change, ...]
    speeds: Comparison


@dataclass(frozen=True, kw_only=True, slots=True)
class SiteHistory:
    """The visits at which a site was sighted or served, oldest first, the steps between them,
    and what the next visit should look at, most telling first."""

    site: Site
    visits: tuple[Visit, ...]
    steps: tuple[Step, ...]
    check_next: tuple[str, ...]


def site_history(
    site_versions: Sequence[Site],
    sector_versions: Sequence[Sequence[Sector]],
    scenes: Sequence[StopScene],
    served: Served,
    quantity: Quantity = Quantity.DOWN,
) -> SiteHistory:
    """The history of one site.

    `site_versions` are its states, oldest first, and `sector_versions` those of each panel, as
    the notebook's `versions` gives them; `scenes` all stops of all surveys; `served` the sector
    of each reading, as `runs.sectors_served` gives it. Raises NoAnswer for a site that has no
    state at all.
    """
    if not site_versions:
        raise NoAnswer("A site without any state has no history: give its versions.")
    own = {versions[0].id for versions in sector_versions if versions}
    site_id = site_versions[-1].id
    by_survey: dict[str, list[StopScene]] = {}
    for scene in sorted(scenes, key=lambda one: one.stop.time_utc):
        by_survey.setdefault(scene.survey.id, []).append(scene)
    met = [held for held in by_survey.values() if _is_met(held, site_id, own, served)]
    untils = [*(held[0].stop.time_utc for held in met[1:]), None]
    visits = tuple(
        _visit(site_versions, sector_versions, held, served, until)
        for held, until in zip(met, untils, strict=False)
    )
    steps = tuple(
        Step(
            before=visits[place],
            after=visits[place + 1],
            changes=changes_between(visits[place], visits[place + 1]),
            speeds=compare_visits(
                _on_site(met[place], own, served),
                _on_site(met[place + 1], own, served),
                quantity=quantity,
                served=served,
                names=(visits[place].title, visits[place + 1].title),
            ),
        )
        for place in range(len(visits) - 1)
    )
    latest = site_versions[-1]
    panels = [versions[-1] for versions in sector_versions if versions]
    present = [panel for panel in panels if panel.deleted_utc is None]
    last_step = steps[-1].changes if steps else ()
    return SiteHistory(
        site=latest,
        visits=visits,
        steps=steps,
        check_next=to_check(latest, present, visits, last_step),
    )


def _is_met(scenes: Sequence[StopScene], site_id: str, own: set[str], served: Served) -> bool:
    """Whether the site was sighted or served on a survey."""
    return any(
        any(sighting.site_id == site_id for sighting in scene.sightings)
        or any(served.get(reading.id) in own for reading in scene.readings)
        for scene in scenes
    )


def _visit(
    site_versions: Sequence[Site],
    sector_versions: Sequence[Sequence[Sector]],
    scenes: Sequence[StopScene],
    served: Served,
    until: datetime | None,
) -> Visit:
    """The site as it was noted before the next visit began, and what this one saw and read."""
    sightings = [one for scene in scenes for one in scene.sightings]
    readings = [one for scene in scenes for one in scene.readings]
    panels = []
    for versions in sector_versions:
        panel = _as_of(versions, until)
        if panel is not None and panel.deleted_utc is None:
            panels.append(_panel(panel, sightings, readings, served))
    first = scenes[0]
    return Visit(
        survey_id=first.survey.id,
        title=first.survey.title,
        time_utc=first.stop.time_utc,
        site=_as_of(site_versions, until) or site_versions[0],
        panels=tuple(panels),
        sightings=sum(one.site_id == site_versions[-1].id for one in sightings),
    )


def _as_of(versions: Sequence[R], until: datetime | None) -> R | None:
    held = [
        one
        for one in versions
        if until is None or one.changed_utc is None or one.changed_utc < until
    ]
    return held[-1] if held else None


def _panel(
    panel: Sector, sightings: Sequence[Sighting], readings: Sequence[Reading], served: Served
) -> PanelState:
    """A panel as noted, with the azimuth its sightings tell and the PCIs read from it."""
    facings = [
        Facing(one.bearing_deg, one.facing_deg, one.sigma_deg or COMPASS_SIGMA_DEG)
        for one in sightings
        if one.sector_id == panel.id and one.bearing_deg is not None and one.facing_deg is not None
    ]
    from_it = [one for one in readings if served.get(one.id) == panel.id]
    rats = {carrier.rat for carrier in panel.carriers}
    pcis = {
        carrier.pci
        for reading in from_it
        for carrier in reading.carriers
        if carrier.pci is not None and (not rats or carrier.rat in rats)
    }
    try:
        seen = panel_azimuth(facings) if facings else None
    except NoAnswer:
        seen = None  # sightings that cancel out tell nothing
    return PanelState(
        sector=panel,
        seen_azimuth_deg=seen.azimuth_deg if seen else None,
        seen_sigma_deg=seen.sigma_deg if seen else None,
        pcis_read=tuple(sorted(pcis)),
        readings=len(from_it),
    )


def _on_site(scenes: Sequence[StopScene], own: set[str], served: Served) -> list[StopScene]:
    """The stops with only those runs that this site's panels served."""
    kept = []
    for scene in scenes:
        runs = tuple(
            run
            for run in scene.speed_runs
            if (reading := reading_of(run, scene.readings)) and served.get(reading.id) in own
        )
        kept.append(replace(scene, speed_runs=runs))
    return kept
