"""Each trouble planted in the demo, and what the expectations name for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from surveyapp.analysis.expectation import StopExpectations
from surveyapp.analysis.expected import Cause, Reason
from surveyapp.analysis.reading_expectation import LegExpectation
from surveyapp.demo.truth import NR_LEG, Trouble
from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.model import StopScene
from surveyapp.radio.antenna import pattern_db
from tests.analysis.demo_day import Day

# what must be named first or second; an unlisted site may look just like a listed, hidden one
DEMANDED = {
    "blocked stop", "wrong azimuth", "far server", "few carriers", "wild jitter", "lost 5G",
}  # fmt: skip
TELLING_DB = 6.0  # by which a wrong azimuth must move a reading to be asked for there
WANTED = {
    "blocked stop": Cause.BLOCKED,
    "wrong azimuth": Cause.WRONG_AZIMUTH,
    "far server": Cause.FAR_SERVER,
    "few carriers": Cause.FEW_CARRIERS,
    "wild jitter": Cause.WILD_JITTER,
    "unlisted site": Cause.UNLISTED,
    "lost 5G": Cause.NO_5G,
}


@dataclass(frozen=True)
class Named:
    """A planted trouble at one entry: the place of its cause among the reasons, 0 if none."""

    trouble: str
    where: str
    rank: int
    words: str


def table_of(rows: Sequence[Named]) -> str:
    """The table of planted against named."""
    lines = [f"{'planted':14} {'where':28} {'named as':>8}  in words"]
    lines += [f"{one.trouble:14} {one.where:28} {one.rank or '-':>8}  {one.words}" for one in rows]
    return "\n".join(lines)


def named(day: Day) -> list[Named]:
    """All planted troubles against what was named, entry by entry where each shows."""
    found = []
    for trouble in day.truth.troubles:
        for where, reasons in _entries(day, trouble):
            causes = [reason.cause for reason in reasons]
            cause = WANTED[trouble.kind]
            rank = causes.index(cause) + 1 if cause in causes else 0
            words = reasons[rank - 1].words if rank else "; ".join(causes) or "nothing"
            found.append(Named(trouble.kind, where, rank, words))
    return found


def _entries(day: Day, trouble: Trouble) -> Iterator[tuple[str, Sequence[Reason]]]:
    """Where a trouble shows: the entries' names and their reasons."""
    for scene, expected in zip(day.scenes, day.expectations, strict=True):
        visit = next(stop.visit for stop in day.truth.stops if stop.id == scene.stop.id)
        place = f"visit {visit}, stop {scene.stop.number}"
        if trouble.visit != visit:
            continue
        if trouble.kind == "wrong azimuth":
            legs: Sequence[LegExpectation] = _turned(day, scene, expected, trouble.row_id)
        elif trouble.stop_number != scene.stop.number:
            continue
        elif trouble.kind in {"blocked stop", "unlisted site"}:
            legs = _legs(scene, expected, trouble)
        else:
            yield from _runs(scene, expected, trouble, place)
            continue
        for leg in legs:
            yield f"{place}, {_label(scene, leg.device_id)}", leg.reasons


def _legs(scene: StopScene, expected: StopExpectations, trouble: Trouble) -> list[LegExpectation]:
    """The 5G legs a blocked view or an unlisted site concerns."""
    nr = [leg for leg in expected.legs if leg.leg == NR_LEG]
    if trouble.kind == "unlisted site":
        return [leg for leg in nr if leg.reading_id == trouble.row_id]
    sighting = next(one for one in scene.sightings if one.id == trouble.row_id)
    hidden = next(site.name for site in scene.sites if site.id == sighting.site_id)
    return [leg for leg in nr if leg.sector.startswith(hidden)]


def _turned(
    day: Day, scene: StopScene, expected: StopExpectations, sector_id: str
) -> list[LegExpectation]:
    """5G legs that truly come from the sector where its wrong azimuth moves the level much.

    Those whose line of sight is free and whose sector the serving answer names.
    """
    true = next(s for site in day.truth.sites for s in site.sectors if s.id == sector_id)
    site = next(site for site in day.truth.sites if site.id == true.site_id)
    noted = next((s.azimuth_deg for s in scene.sectors if s.id == sector_id), None)
    stop = next(stop for stop in day.truth.stops if stop.id == scene.stop.id)
    clear = next(path.clear for path in stop.paths if path.sector_id == sector_id)
    if noted is None or not clear:
        return []
    towards = inverse(site.lat_deg, site.lon_deg, stop.lat_deg, stop.lon_deg).azimuth_deg
    gains = [
        float(pattern_db(angle_between_deg(azimuth, towards), 0.0))
        for azimuth in (noted, true.azimuth_deg)
    ]
    name = f"{site.name} {true.label}"
    moved = abs(gains[0] - gains[1]) >= TELLING_DB
    return [
        leg
        for leg in expected.legs
        if moved and leg.sector == name and _serves(day, scene, leg, sector_id)
    ]


def _serves(day: Day, scene: StopScene, leg: LegExpectation, sector_id: str) -> bool:
    """Whether a sector truly carries a leg."""
    served = day.truth.serving(scene.stop.id, leg.device_id, leg.leg)
    return served is not None and served.sector_id == sector_id


def _runs(
    scene: StopScene, expected: StopExpectations, trouble: Trouble, place: str
) -> Iterator[tuple[str, Sequence[Reason]]]:
    """The runs a trouble of a run or of a reading concerns."""
    for run in scene.speed_runs:
        if trouble.row_id in (run.id, run.reading_id):
            found = expected.of_run(run.id)
            label = _label(scene, run.device_id)
            yield f"{place}, {label}", found.limits if found else ()


def _label(scene: StopScene, device_id: str) -> str:
    """A phone's label."""
    return next(device.label for device in scene.devices if device.id == device_id)
