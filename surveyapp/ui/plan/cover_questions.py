"""How far a panel covers, asked of the notebook: outlines, the fit behind them, its range."""

from __future__ import annotations

from collections import Counter
from collections.abc import Generator, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, Reading, Sector, Sighting, Site, Stop, StopScene
from surveyapp.store.reach import within
from surveyapp.ui.plan.answers import Answer, Figure, line_of, place_of
from surveyapp.ui.plan.azimuth_figures import azimuth_figures
from surveyapp.ui.plan.findings import (
    CheckedPlace,
    Finding,
    FindingLabel,
    FindingLine,
    FloatArray,
    LineKind,
)
from surveyapp.ui.plan.marks import Place
from surveyapp.ui.plan.work import Question
from surveyapp.ui.session import Session
from surveyapp.ui.words import number, with_unit

if TYPE_CHECKING:
    from surveyapp.analysis.cover_grid import Cover
    from surveyapp.analysis.coverage import SectorLevels
    from surveyapp.analysis.phone_offset import PhoneOffset
    from surveyapp.analysis.sector_fit import MeasuredPlace, SectorFit
    from surveyapp.analysis.sector_readings import Attributed

HALF_M, STEP_M = 360.0, 6.0
SMOOTH_M = 9.0  # outlines follow no single wall: about what a position is worth
LEAST_OUTLINE_M = 100.0  # shorter ones are yards between houses
REACH_M = 2_200.0
MOST_SCENES = 40
KIND_OF = {0.9: LineKind.LIKELY, 0.5: LineKind.EVEN, 0.1: LineKind.UNLIKELY}


def cover_of(
    session: Session, plane: Plane, site: Site, sector: Sector, threshold_dbm: float
) -> Question[Answer]:
    """Cover of one panel at a threshold, what was measured and what is modelled apart."""
    from surveyapp.analysis.cover_chance import check_threshold

    check_threshold(threshold_dbm)
    read = yield from read_levels(session, [site])
    sightings = session.notebook.all(Sighting, sector_id=sector.id)
    buildings = session.notebook.ground.around(*_place(site), 1.5 * HALF_M).buildings
    yield

    def reckon() -> Answer:
        from surveyapp.analysis.coverage import Roofs, cover

        if sector.azimuth_deg is None:
            measured = read.measured(site, sector, buildings)
            return _no_azimuth(site, sector, azimuth_figures(site, sector, measured, sightings))
        levels = read.levels(site, sector, buildings)
        azimuths = azimuth_figures(site, sector, levels.measured, sightings)
        found = cover(
            [levels.model],
            threshold_dbm,
            centre_deg=_place(site),
            half_m=HALF_M,
            step_m=STEP_M,
            roofs=Roofs(buildings) if buildings else None,
        )
        finding = _finding(found, levels, plane, threshold_dbm)
        return Answer(
            finding.title,
            (_sentence(levels), *_range_text(levels, threshold_dbm), *outline_text(finding)),
            finding,
            (_area_figure(found), *azimuths, *_figures(levels, threshold_dbm)),
        )

    return reckon


def _no_azimuth(site: Site, sector: Sector, azimuths: Iterable[Figure]) -> Answer:
    """A panel whose direction nobody noted covers nothing that could be told; it may be found."""
    title = f"Azimuth of {site.name} {sector.label}".strip()
    says = ("No azimuth is noted, so no cover can be told: see what may be taken for it.",)
    return Answer(title, says, Finding(title), tuple(azimuths))


class ReadLevels:
    """Stops, readings and what is known of whose they are, for some sites."""

    def __init__(self, stops: Sequence[Stop], readings: Sequence[Reading]) -> None:
        self.stops = stops
        self.readings = readings
        self.scenes: list[StopScene] = []

    @cached_property
    def attributed(self) -> Attributed:
        """Whose readings the serving answers settled; worked out once for all panels."""
        from surveyapp.analysis.coverage import settled_readings
        from surveyapp.analysis.tied_cells import survey_answers

        answers = survey_answers(self.scenes, self.offsets)
        return settled_readings(answer for own in answers for answer in own)

    @cached_property
    def offsets(self) -> dict[str, PhoneOffset]:
        """By how much each phone differs from the others."""
        from surveyapp.analysis.standing import learn_phone_offsets

        return learn_phone_offsets(self.scenes)

    def measured(
        self, site: Site, sector: Sector, buildings: Sequence[Building]
    ) -> tuple[MeasuredPlace, ...]:
        """Where and how strongly a sector was read."""
        from surveyapp.analysis.coverage import measured_places

        return measured_places(
            site, sector, self.stops, self.readings,
            offsets=self.offsets, attributed=self.attributed, buildings=buildings,
        )  # fmt: skip

    def levels(self, site: Site, sector: Sector, buildings: Sequence[Building]) -> SectorLevels:
        """The best model of one sector there is."""
        from surveyapp.analysis.coverage import sector_levels

        return sector_levels(
            site, sector, self.stops, self.readings,
            offsets=self.offsets, attributed=self.attributed, buildings=buildings,
        )  # fmt: skip


def read_levels(session: Session, sites: Sequence[Site]) -> Generator[None, None, ReadLevels]:
    """Read what bears on the levels of some sites, a stop a frame."""
    places = [_place(site) for site in sites]
    stops = [
        stop
        for stop in session.notebook.all(Stop)
        if stop.lat_deg is not None
        and any(within(*place, stop.lat_deg, stop.lon_deg, REACH_M) for place in places)
    ]
    readings: list[Reading] = []
    for first in range(0, len(stops), 400):
        ids = [stop.id for stop in stops[first : first + 400]]
        readings += session.notebook.all(Reading, stop_id=ids)
        yield
    read = ReadLevels(stops, readings)
    told = {reading.stop_id for reading in readings}
    read_at = [stop.id for stop in stops if stop.id in told][-MOST_SCENES:]
    for scene in session.notebook.stop_scenes(read_at):
        read.scenes.append(scene)
        yield
    return read


def _finding(found: Cover, levels: SectorLevels, plane: Plane, threshold_dbm: float) -> Finding:
    lines: list[FindingLine] = []
    labels: list[FindingLabel] = []
    centre = place_of((levels.model.panel.lat_deg, levels.model.panel.lon_deg), plane)
    farthest_m = levels.model.farthest_m if levels.is_fit else 0.0
    smooth = replace(found.modelled, chance=smoothed(found.modelled.chance))
    for chance, kind in KIND_OF.items():
        kept = [line_of(line, plane) for line in smooth.outline(chance)]
        kept = [line for line in kept if _length_m(line) >= LEAST_OUTLINE_M]
        for line in kept:
            lines += _parts(line, kind, centre, farthest_m)
            at = line[np.linspace(0, len(line) - 1, 12).astype(int)]
            places = tuple(Place(*point) for point in at.tolist())
            labels.append(FindingLabel(f"{100 * chance:.0f} %", places))
    checked = tuple(
        CheckedPlace(place_of((one.lat_deg, one.lon_deg), plane), one.rsrp_dbm >= threshold_dbm)
        for one in levels.measured
    )
    title = f"Cover of {levels.model.panel.name} at {_dbm(threshold_dbm)}"
    return Finding(title, tuple(lines), (), checked, tuple(labels))


def smoothed(chance: FloatArray, cells: float = SMOOTH_M / STEP_M) -> FloatArray:
    """Chances (ny, nx) meaned over their neighbours, by a normal weight of so many cells."""
    reach = int(3 * cells)
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / cells) ** 2)
    weights /= weights.sum()
    padded = np.pad(chance, reach, mode="edge")
    rows = np.apply_along_axis(np.convolve, 1, padded, weights, mode="valid")
    return np.apply_along_axis(np.convolve, 0, rows, weights, mode="valid")


def _parts(
    line: FloatArray, kind: LineKind, centre: Place, farthest_m: float
) -> Iterator[FindingLine]:
    """A line cut where it leaves what the readings bear out."""
    beyond = np.hypot(*(line - centre).T) > farthest_m
    cuts = np.flatnonzero(beyond[1:] != beyond[:-1]) + 1
    for first, last in zip([0, *cuts], [*cuts, len(line)], strict=True):
        part = line[max(first - 1, 0) : last]
        if len(part) > 1:
            yield FindingLine(kind, part, broken=bool(beyond[first]))


def _sentence(levels: SectorLevels) -> str:
    if not levels.is_fit:
        return f"Modelled only, as TR 38.901 has a street canyon: {levels.why_not}"
    farthest = number(levels.model.farthest_m, 0)
    return f"Fitted to {len(levels.measured)} stops, up to {farthest} m; broken lines lie beyond."


def outline_text(finding: Finding) -> tuple[str, ...]:
    """What the numbers on the outlines mean, and why some outlines are open."""
    if not finding.lines:
        return ()
    meant = "Along a doubled line the level is reached with the chance written on it."
    ends = Counter(tuple(end) for line in finding.lines for end in line.points_m[[0, -1]].tolist())
    if all(count % 2 == 0 for count in ends.values()):
        return (meant,)
    return (meant, f"Open lines run on beyond the computed {2 * HALF_M:.0f} m.")


def _range_text(levels: SectorLevels, threshold_dbm: float) -> tuple[str, ...]:
    from surveyapp.analysis.boresight_range import boresight_range

    if not levels.is_fit:
        return ()
    try:
        found = boresight_range(levels.model, threshold_dbm)
    except NoAnswer as reason:
        return (str(reason),)
    high = "open" if found.high_m is None else f"{number(found.high_m, 0)} m"
    beyond = ", farther than anybody measured" if found.beyond_readings else ""
    return (
        f"Range on boresight {number(found.range_m, 0)} m "
        f"({number(found.low_m, 0)} m to {high}, 95 %){beyond}.",
    )


def _area_figure(found: Cover) -> Figure:
    hectares = with_unit(found.modelled.covered_m2() / 10_000.0, "ha")
    return Figure(
        "Covered area to expect", hectares,
        f"modelled, in a square of {2 * HALF_M:.0f} m about the site", "plan",
    )  # fmt: skip


def _figures(levels: SectorLevels, threshold_dbm: float) -> Iterable[Figure]:
    if levels.is_fit:
        yield from _fit_figures(levels.model)
        for one, off in zip(levels.model.measured, levels.model.residuals_db, strict=True):
            side = "above" if off >= 0 else "below"
            reached = "reached" if one.rsrp_dbm >= threshold_dbm else "not reached"
            yield Figure(
                f"Measured {_dbm(one.rsrp_dbm)}",
                detail=f"{number(abs(off))} dB {side} the fit; {_dbm(threshold_dbm)} {reached}",
                icon="stop",
                row_id=one.stop_id,
            )


def _fit_figures(fit: SectorFit) -> Iterable[Figure]:
    yield Figure(
        "Path loss exponent",
        number(fit.exponent, 2),
        f"± {number(fit.exponent_sigma, 2)}; "
        f"95 %: {number(fit.exponent_interval()[0], 1)} to {number(fit.exponent_interval()[1], 1)}",
    )
    yield Figure(
        "Level on boresight at 10 m", _dbm(fit.intercept_dbm),
        f"± {number(fit.intercept_sigma_db, 1)} dB",
    )  # fmt: skip
    low, high = fit.sigma_interval_db()
    yield Figure(
        "Spread about the fit", f"{number(fit.sigma_db, 1)} dB",
        f"95 %: {number(low, 1)} to {number(high, 1)} dB, {fit.degrees} degrees of freedom",
    )  # fmt: skip
    if fit.blocked_db is not None:
        yield Figure(
            "Taken by a blocked sight", f"{number(fit.blocked_db, 1)} dB",
            f"± {number(fit.blocked_sigma_db, 1)} dB",
        )  # fmt: skip
    for remark in fit.remarks:
        yield Figure(remark, icon="warn")


def _length_m(line: FloatArray) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def _dbm(level: float) -> str:
    return f"{number(level, 0)} dBm"


def _place(site: Site) -> tuple[float, float]:
    if site.lat_deg is None or site.lon_deg is None:
        raise NoAnswer(f"{site.name} has no position: sight it from two stops or set it by hand.")
    return site.lat_deg, site.lon_deg
