"""A site as its sightings and visits tell it: texts for its page. No Kivy here."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.model import Row, Sector, Sighting, Site, Stop
from surveyapp.store.notebook import Notebook
from surveyapp.ui.day_doubts import capital
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.words import counted, day_text, degrees, number

if TYPE_CHECKING:
    from surveyapp.analysis.site_sightings import PanelFacing, SiteFix
    from surveyapp.analysis.visits import SiteHistory, Step
    from surveyapp.geometry.heights import Height
    from surveyapp.model import StopScene

PLACE, HEIGHT = "place", "height"
OLDER = "That was seen on an older visit: turned since, or noted wrong. Sight it again first."
SIGMAS, UNTOLD_DEG = 2.0, 10.0  # as analysis.visit_changes counts a difference
NEAR_M = 600.0  # a stop farther off tells nothing of a street-level site, unless it was sighted


@dataclass(frozen=True)
class Offer:
    """What the sightings tell that the notebook may take over: the chip, the row it would save,
    and what undo calls it."""

    choice: Choice
    row: Row
    what: str


@dataclass(frozen=True)
class Sighted:
    """What a site's sightings tell, in words, and what of it may be taken over."""

    words: tuple[str, ...]
    offers: tuple[Offer, ...]


def sighted(notebook: Notebook, site: Site) -> Sighted:
    """The fix, the height and the panels' azimuths from all sightings in the notebook."""
    from surveyapp.analysis.site_sightings import fix_or_reason, panel_facings, site_height

    sightings = notebook.all(Sighting, site_id=site.id)
    if not sightings:
        return Sighted(("Not sighted yet.",), ())
    ids = list({sighting.stop_id for sighting in sightings})
    stops = {stop.id: stop for stop in notebook.all(Stop, id=ids)}
    found = fix_or_reason(site, sightings, stops)
    words = [found] if isinstance(found, str) else list(_fix_words(site, found))
    offers = [] if isinstance(found, str) else [_place_offer(site, found)]
    told = site_height(site, sightings, stops)
    if told is not None:
        words.append(_height_words(site, *told))
        offers.append(_height_offer(site, told[0]))
    seen_last = panels_seen_last(sightings, stops)
    for panel in panel_facings(notebook.all(Sector, site_id=site.id), sightings):
        words.append(_panel_words(panel))
        if panel.sector.azimuth_deg is None or panel.sector.id in seen_last:
            offers.append(_azimuth_offer(panel))
        elif is_far_off(panel):
            words.append(OLDER)
    return Sighted(tuple(words), tuple(offer for offer in offers if offer is not None))


def is_far_off(panel: PanelFacing) -> bool:
    """Whether a panel is noted otherwise than it was seen, by more than both errors explain."""
    noted_deg = panel.sector.azimuth_sigma_deg
    sigma_deg = math.hypot(panel.azimuth.sigma_deg, UNTOLD_DEG if noted_deg is None else noted_deg)
    return abs(panel.from_noted_deg or 0.0) > SIGMAS * sigma_deg


def panels_seen_last(sightings: Sequence[Sighting], stops: Mapping[str, Stop]) -> set[str]:
    """The panels whose turn was seen on the newest visit that sighted the site: what an older
    one saw must not overwrite what is noted today."""
    newest = max((stops[one.stop_id] for one in sightings), key=lambda stop: stop.time_utc)
    return {
        one.sector_id
        for one in sightings
        if one.sector_id is not None
        and one.facing_deg is not None
        and stops[one.stop_id].survey_id == newest.survey_id
    }


def _fix_words(site: Site, found: SiteFix) -> Iterator[str]:
    one = found.fix
    away = ""
    if found.from_noted_m is not None:
        away = f", {number(found.from_noted_m, 0)} m from the place noted"
    yield (
        f"{counted(found.sightings, 'bearing')} meet at {number(one.lat_deg, 5)}, "
        f"{number(one.lon_deg, 5)}{away}; the 95 % ellipse is ± "
        f"{number(one.ellipse_major_m, 0)} m by ± {number(one.ellipse_minor_m, 0)} m."
    )
    taken, noted_m = found.taken_over(site), site.position_sigma_m
    if noted_m is not None and (taken.position_sigma_m or 0.0) > noted_m:
        yield f"The place noted is surer: ± {number(noted_m, 0)} m."
    yield from one.remarks


def _place_offer(site: Site, found: SiteFix) -> Offer | None:
    moved = found.taken_over(site)
    if (moved.lat_deg, moved.lon_deg) == (site.lat_deg, site.lon_deg):
        return None
    choice = Choice(value=PLACE, label="Take this place", icon="position")
    return Offer(choice, moved, f"place of {site.name} from sightings")


def _height_words(site: Site, height: Height, count: int) -> str:
    text = (
        f"Its antennas are {number(height.height_m, 1)} ± {number(height.sigma_m, 1)} m above "
        f"the street by {counted(count, 'elevation')}"
    )
    if site.height_m is None:
        return f"{text}; no height is noted."
    return f"{text}; noted is {number(site.height_m, 1)} m."


def _height_offer(site: Site, height: Height) -> Offer | None:
    height_m = round(height.height_m, 1)
    if height_m <= 0.0 or height_m == site.height_m:
        return None
    choice = Choice(value=HEIGHT, label=f"Take {number(height_m, 1)} m", icon="site")
    return Offer(choice, replace(site, height_m=height_m), f"height of {site.name} from sightings")


def _panel_words(panel: PanelFacing) -> str:
    name, seen = _panel(panel.sector), panel.azimuth
    text = (
        f"{name} faces {degrees(seen.azimuth_deg)} ± {number(seen.sigma_deg, 0)}° by "
        f"{counted(panel.sightings, 'sighting')}"
    )
    if panel.from_noted_deg is None:
        return f"{text}; no azimuth is noted."
    return f"{text}; noted is {degrees(panel.sector.azimuth_deg)}."


def _azimuth_offer(panel: PanelFacing) -> Offer | None:
    turned = panel.taken_over()
    if turned == panel.sector:
        return None
    name = _panel(panel.sector)
    label = f"Take {degrees(turned.azimuth_deg)} for {name[:1].lower() + name[1:]}"
    choice = Choice(value=panel.sector.id, label=label, icon="sector")
    return Offer(choice, turned, f"azimuth of {name[:1].lower() + name[1:]} from sightings")


def _panel(sector: Sector) -> str:
    return f"Panel {sector.label}".strip()


def history_of(path: Path, site_id: str, leave: Callable[[], bool]) -> SiteHistory | None:
    """A site's history over all surveys; None where `leave` asked to stop on the way."""
    from surveyapp.analysis.phone_offset import learn_phone_offsets
    from surveyapp.analysis.runs import sectors_served
    from surveyapp.analysis.visits import site_history

    scenes: list[StopScene] = []
    with Notebook.open(path) as notebook:
        site = notebook.get(Site, site_id)
        for scene in notebook.stop_scenes(stop.id for stop in _stops_near(notebook, site)):
            if leave():
                return None
            scenes.append(scene)
        sectors = notebook.all(Sector, site_id=site_id)
        versions = [notebook.versions(Sector, sector.id) for sector in sectors]
        states = notebook.versions(Site, site_id)
    served = sectors_served(scenes, learn_phone_offsets(scenes))
    return None if leave() else site_history(states, versions, scenes, served)


def _stops_near(notebook: Notebook, site: Site) -> Iterator[Stop]:
    """The stops from which the site was sighted, and those in its reach."""
    from surveyapp.geometry.geodesy import inverse

    seen_from = {one.stop_id for one in notebook.all(Sighting, site_id=site.id)}
    for stop in notebook.all(Stop):
        near = False
        if None not in (site.lat_deg, site.lon_deg, stop.lat_deg, stop.lon_deg):
            apart = inverse(site.lat_deg, site.lon_deg, stop.lat_deg, stop.lon_deg)
            near = apart.distance_m <= NEAR_M
        if near or stop.id in seen_from:
            yield stop


def visit_words(history: SiteHistory) -> list[str]:
    """A line for each visit, with what changed since the one before and the speeds."""
    steps = {step.after.survey_id: step for step in history.steps}
    lines = []
    for visit in history.visits:
        readings = sum(panel.readings for panel in visit.panels)
        lines.append(
            f"{visit.title}, {day_text(visit.time_utc.date())}: {visit.site.status}, "
            f"{counted(len(visit.panels), 'panel')}, {counted(visit.sightings, 'sighting')}, "
            f"{counted(readings, 'reading')} from it."
        )
        if visit.survey_id in steps:
            lines += _step_words(steps[visit.survey_id])
    return lines


def _step_words(step: Step) -> Iterator[str]:
    for change in step.changes:
        yield f"{f'Panel {change.panel}' if change.panel else 'The site'} {change.what}."
    if not step.changes:
        yield "Nothing noted or seen of it changed."
    yield capital(step.speeds.sentence)
