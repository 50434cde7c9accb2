"""Everything the notebook doubts: about one stop's entries, and about a survey as a whole.

Doubts are shown, never hidden, and never block saving.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from surveyapp.analysis.candidates import (
    POSITION_SIGMA_M,
    UNKNOWN_POSITION_SIGMA_M,
)
from surveyapp.analysis.expectation import SurveyView
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.ping import server_distance_m
from surveyapp.analysis.standing import LEG_NAME, LegAnswer, leg_carrier
from surveyapp.analysis.stop_order import set_back
from surveyapp.analysis.tied_cells import answers_alone
from surveyapp.analysis.value_doubts import Doubt, DoubtKind, reading_doubts, run_doubts
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import (
    NorthReference,
    Rat,
    Reading,
    Remark,
    Site,
    SiteKind,
    Stop,
    StopScene,
)

__all__ = ["Doubt", "DoubtKind", "clock_doubts", "doubts_at", "survey_doubts"]

WORST_POSITION_M = 25.0
SETTLED = 0.8
STEEL_M = 3.0  # steel within a few metres spoils a compass; common practice
STEEL_WORDS = ("steel", "iron", "metal", "compass", "railing", "parked car")
STEEL_SITES = {SiteKind.LAMP_POST, SiteKind.TRAFFIC_SIGNAL, SiteKind.POLE}
TURNED = 0.5
SERVERS_APART_M = 100_000.0
FEWEST_PAIRS = 4


def doubts_at(
    scene: StopScene,
    answers: Sequence[LegAnswer] | None = None,
    offsets: Mapping[str, PhoneOffset] | None = None,
) -> tuple[Doubt, ...]:
    """All doubts about one stop and its entries, in the entries' order.

    `answers` are the serving answers where they are at hand already.
    """
    if answers is None:
        answers = answers_alone(scene, offsets)
    found = [*_position(scene.stop), *_steel(scene)]
    for reading in scene.readings:
        found += reading_doubts(reading)
        found += _pci(scene, reading, answers)
        found += _not_settled(reading, answers)
    for run in scene.speed_runs:
        found += run_doubts(scene, run)
    return (*found, *_servers(scene))


def survey_doubts(view: SurveyView) -> tuple[Doubt, ...]:
    """All doubts of a survey: each stop's, then those that only many stops together show."""
    found: list[Doubt] = []
    for scene, expected in zip(view.scenes, view.expectations, strict=True):
        found += doubts_at(scene, expected.answers)
    clocks = clock_doubts(scene.stop for scene in view.scenes)
    return (*found, *clocks, *_turned(view), *_order(view.scenes))


def clock_doubts(stops: Iterable[Stop]) -> Iterator[Doubt]:
    """Where the times of a survey's stops run against their numbers."""
    for before, after in set_back(stops):
        yield Doubt(
            row_id=after.id,
            kind=DoubtKind.CLOCK,
            words=f"A clock was set back between stop {before.number} and stop {after.number}.",
            settle="Set right the times that the phone noted. The stops keep their order.",
        )


def _position(stop: Stop) -> Iterator[Doubt]:
    """A stop whose place is not known well."""
    sigma = stop.position_sigma_m
    if stop.lat_deg is None:
        return
    if sigma is None:
        sigma = (
            UNKNOWN_POSITION_SIGMA_M
            if stop.position_from is None
            else POSITION_SIGMA_M[stop.position_from]
        )
    if sigma > WORST_POSITION_M:
        yield Doubt(
            row_id=stop.id,
            kind=DoubtKind.POSITION,
            words=f"The position of stop {stop.number} is good to {sigma:.0f} m only.",
            settle="Tap the place on the plan, or wait for a better position.",
        )


def _steel(scene: StopScene) -> Iterator[Doubt]:
    """Magnetic bearings beside steel, by a remark or beneath a post."""
    told = [remark for remark in scene.remarks if _speaks_of_steel(remark)]
    post = next((site for site in scene.sites if _stands_beneath(scene.stop, site)), None)
    if not told and post is None:
        return
    why = f"you remarked '{told[0].text}'" if told else f"you stood beneath {post and post.name}"
    for sighting in scene.sightings:
        if sighting.bearing_deg is None or sighting.raw_reference is not NorthReference.MAGNETIC:
            continue
        yield Doubt(
            row_id=sighting.id,
            kind=DoubtKind.STEEL,
            words=f"Steel may have turned the compass: {why}.",
            settle="Take the bearing from two points on the plan, or some metres away.",
        )


def _speaks_of_steel(remark: Remark) -> bool:
    """Whether a remark names steel."""
    return any(word in remark.text.casefold() for word in STEEL_WORDS)


def _stands_beneath(stop: Stop, site: Site) -> bool:
    """Whether the stop lies within a few metres of a steel post."""
    places = (stop.lat_deg, stop.lon_deg, site.lat_deg, site.lon_deg)
    if site.kind not in STEEL_SITES or any(place is None for place in places):
        return False
    try:
        return inverse(*(float(place or 0.0) for place in places)).distance_m <= STEEL_M
    except ValueError:
        return False


def _pci(scene: StopScene, reading: Reading, answers: Sequence[LegAnswer]) -> Iterator[Doubt]:
    """A PCI noted for another sector than the one that most likely serves."""
    for answer in answers:
        rat = next(rat for rat, name in LEG_NAME.items() if name == answer.leg)
        carrier = leg_carrier(reading, rat)
        if answer.reading_id != reading.id or carrier is None or carrier.pci is None:
            continue
        owners = dict(_owners(scene, rat, carrier.pci))
        best = answer.answer.best
        if owners and best.sector_id not in owners:
            serving = "no listed sector" if best.sector_id is None else best.name
            yield Doubt(
                row_id=reading.id,
                kind=DoubtKind.PCI,
                words=f"PCI {carrier.pci} is noted for {' and '.join(owners.values())}, yet "
                f"{serving} most likely serves the {answer.leg}.",
                settle="Read the PCI again, and check the one noted for the sector.",
            )


def _owners(scene: StopScene, rat: Rat, pci: int) -> list[tuple[str, str]]:
    """Sectors in reach noted with this PCI for this radio technology: id and name."""
    sites = {site.id: site.name for site in scene.sites}
    found = []
    for sector in scene.sectors:
        own = {carrier.pci for carrier in sector.carriers if carrier.rat is rat}
        if {carrier.rat for carrier in sector.carriers} <= {rat}:
            own.add(sector.pci)
        if pci in own:
            found.append((sector.id, f"{sites.get(sector.site_id, '')} {sector.label}".strip()))
    return found


def _not_settled(reading: Reading, answers: Sequence[LegAnswer]) -> Iterator[Doubt]:
    """A leg whose sector is not sure."""
    for answer in answers:
        best = answer.answer.best
        if answer.reading_id == reading.id and best.probability < SETTLED:
            name = "an unlisted sector" if best.sector_id is None else best.name
            yield Doubt(
                row_id=reading.id,
                kind=DoubtKind.NOT_SETTLED,
                words=f"Which sector served the {answer.leg} is not settled: {name} at "
                f"{best.probability:.0%} at most.",
                settle=answer.answer.settle,
            )


def _servers(scene: StopScene) -> Iterator[Doubt]:
    """Runs at one stop against servers far from each other."""
    known = [
        (distance, run)
        for run in scene.speed_runs
        if (distance := server_distance_m(scene.stop, run)) is not None
    ]
    if not known:
        return
    nearest, near = min(known, key=lambda pair: pair[0])
    for distance, run in known:
        if distance - nearest > SERVERS_APART_M:
            yield Doubt(
                row_id=run.id,
                kind=DoubtKind.SERVERS,
                words=f"This run went to {run.server_place or 'another server'}, "
                f"{distance / 1000.0:.0f} km away, others here to "
                f"{near.server_place or 'a nearer one'}, {nearest / 1000.0:.0f} km.",
                settle="Compare only runs against the same server.",
            )


def _turned(view: SurveyView) -> Iterator[Doubt]:
    """Panels whose noted azimuth fits neither sightings nor readings."""
    sites = {site.id: site.name for scene in view.scenes for site in scene.sites}
    names = {
        sector.id: f"{sites.get(sector.site_id, '')} {sector.label}".strip()
        for scene in view.scenes
        for sector in scene.sectors
    }
    for panel in view.turned.values():
        if panel.probability >= TURNED:
            yield Doubt(
                row_id=panel.sector_id,
                kind=DoubtKind.TURNED,
                words=f"{names[panel.sector_id]} is noted at {panel.noted_deg:.0f}°, but "
                f"{panel.basis} fit {panel.likely_deg:.0f}° ± {panel.sigma_deg:.0f}° better "
                f"({panel.probability:.0%}). It is noted wrong, or was turned since.",
                settle="Sight the panel again and note how it is turned.",
            )


def _order(scenes: Sequence[StopScene]) -> Iterator[Doubt]:
    """One phone read first at every stop where several were."""
    first = [
        min(scene.readings, key=lambda reading: reading.time_utc)
        for scene in scenes
        if len({reading.device_id for reading in scene.readings}) > 1
    ]
    if len(first) < FEWEST_PAIRS or len({reading.device_id for reading in first}) > 1:
        return
    label = next((d.label for s in scenes for d in s.devices if d.id == first[0].device_id), "")
    yield Doubt(
        row_id=first[0].device_id,
        kind=DoubtKind.ORDER,
        words=f"{label or 'One phone'} was first at all {len(first)} stops: what changes with "
        "time looks like a difference between phones.",
        settle="Take turns: begin with the other phone at every second stop.",
    )
