"""One outing of the demo: where the surveyor stops, what serves there, what is written down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from math import hypot

from surveyapp.demo.hand import READING_SIGMA_DB, Hand
from surveyapp.demo.plan import FAR_SERVER, NEAR_SERVER, PhonePlan, VisitPlan
from surveyapp.demo.troubles import Planting
from surveyapp.demo.truth import (
    LTE_LEG,
    NR_LEG,
    Trouble,
    TruePath,
    TrueSector,
    TrueServing,
    TrueSite,
    TrueStop,
)
from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.geometry.places import place_text
from surveyapp.model import (
    Carrier,
    LatLon,
    PositionFrom,
    Rat,
    Reading,
    Remark,
    RemarkKind,
    Role,
    Row,
    Sighting,
    SpeedRun,
    Stop,
    Street,
    Survey,
    View,
)

STOP_TAKES = timedelta(minutes=9)
POSITION_SIGMA_M = 6.0  # a phone among houses: 5 to 15 m (common practice)
SEEN_M = 150.0  # nodes nearer than this are looked for at each stop
SEEN_MOST = 2
WEAKEST_NR_DBM = -116.0  # below, a phone holds no 5G leg: an assumption of the demo
FADING_SIGMA_DB = 0.7  # by which one phone's moment differs from another's
PCI_SHARE = {Rat.NR: 0.4, Rat.LTE: 0.7}  # of the readings tell the cell's identity
RUNS = 2


@dataclass(slots=True)
class StopDay:
    """All that came of one stop, in the order it was entered."""

    stop: Stop
    truth: TrueStop
    rows: list[Row] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True, slots=True)
class Outing:
    """What stays the same during one visit."""

    number: int
    visit: VisitPlan
    survey: Survey
    sites: tuple[TrueSite, ...]
    streets: Sequence[Street]
    phones: tuple[PhonePlan, PhonePlan]
    hand: Hand

    def stop(
        self, number: int, place: LatLon, paths: tuple[TruePath, ...], planting: Planting
    ) -> StopDay:
        """Stand at `place`, look around, and enter what both phones show."""
        time_utc = self.visit.starts_utc + (number - 1) * STOP_TAKES
        stop = self._arrive(number, place, time_utc)
        served = self._serving(paths, planting)
        truth = TrueStop(
            id=stop.id, visit=self.number, number=number, lat_deg=place[0], lon_deg=place[1],
            paths=paths, serving=tuple(served),
        )  # fmt: skip
        day = StopDay(stop, truth, rows=[stop])
        day.rows += self._sightings(stop, place, paths, planting)
        order = self.phones if number % 2 else self.phones[::-1]
        for place_in_order, phone in enumerate(order):
            begins = time_utc + timedelta(minutes=2 + 3 * place_in_order)
            self._measure(day, phone, begins, planting)
        if planting.together:
            _mark_together(day)
        day.rows += self._remarks(stop, time_utc, planting)
        day.troubles += planting.told(day.stop, day.rows, self.sites, truth)
        return day

    def _arrive(self, number: int, place: LatLon, time_utc: datetime) -> Stop:
        rng = self.hand.rng
        off_m = POSITION_SIGMA_M * hypot(*rng.standard_normal(2))
        lat_deg, lon_deg = destination(*place, float(rng.uniform(0.0, 360.0)), off_m)
        return Stop(
            id=self.hand.new_id(), survey_id=self.survey.id, number=number, time_utc=time_utc,
            lat_deg=round(lat_deg, 6), lon_deg=round(lon_deg, 6),
            position_sigma_m=POSITION_SIGMA_M, position_from=PositionFrom.SENSOR,
            place_text=place_text(lat_deg, lon_deg, self.streets),
        )  # fmt: skip

    def _serving(self, paths: tuple[TruePath, ...], planting: Planting) -> list[TrueServing]:
        served = []
        by_id = {sector.id: (site, sector) for site in self.sites for sector in site.sectors}
        for phone in self.phones:
            for leg, rat in ((NR_LEG, Rat.NR), (LTE_LEG, Rat.LTE)):
                strength = {
                    path.sector_id: path.rsrp_dbm + FADING_SIGMA_DB * self.hand.rng.normal()
                    for path in paths
                    if by_id[path.sector_id][1].carrier.rat is rat
                }
                sector_id = max(strength, key=lambda key: strength[key])
                lost = leg == NR_LEG and (
                    phone.device.id == planting.lost_5g or strength[sector_id] < WEAKEST_NR_DBM
                )
                if not lost:
                    site = by_id[sector_id][0]
                    served.append(
                        TrueServing(device_id=phone.device.id, leg=leg, sector_id=sector_id,
                                    site_id=site.id, listed=site.listed)
                    )  # fmt: skip
        return served

    def _sightings(
        self, stop: Stop, place: LatLon, paths: tuple[TruePath, ...], planting: Planting
    ) -> list[Row]:
        clear = {path.sector_id: path.clear for path in paths}
        lines = sorted(
            ((inverse(*place, site.lat_deg, site.lon_deg), site) for site in self.sites),
            key=lambda pair: pair[0].distance_m,
        )
        known = [(line, site) for line, site in lines if site.listed]
        seen = [(line, site) for line, site in known if clear[site.sectors[0].id]]
        near = [pair for pair in seen if pair[0].distance_m <= SEEN_M][:SEEN_MOST]
        afar = [pair for pair in seen if pair[0].distance_m > SEEN_M][: 1 if planting.afar else 0]
        rows: list[Row] = [self.hand.sighting(stop, site, line) for line, site in near + afar]
        if planting.blocked is not None:
            rows.append(
                Sighting(id=self.hand.new_id(), stop_id=stop.id, site_id=planting.blocked,
                         view=View.BLOCKED)
            )  # fmt: skip
        return rows

    def _measure(
        self, day: StopDay, phone: PhonePlan, begins: datetime, planting: Planting
    ) -> None:
        served = [s for s in day.truth.serving if s.device_id == phone.device.id]
        carriers = self._carriers(day.truth, phone, served)
        if planting.few_carriers == phone.device.id:
            carriers = tuple(replace(c, count=1) for c in carriers)
        reading = self.hand.reading(day.stop, phone, begins, carriers)
        day.rows.append(reading)
        server = FAR_SERVER if planting.far_server == phone.device.id else NEAR_SERVER
        for count in range(RUNS):
            run_at = begins + timedelta(seconds=40 * (count + 1))
            run = self.hand.speed_run(day.stop, reading, run_at, server)
            if count == 0 and planting.wild_jitter == phone.device.id:
                run = replace(run, jitter_ms=planting.jitter_ms)
            day.rows.append(run)

    def _carriers(
        self, truth: TrueStop, phone: PhonePlan, served: Sequence[TrueServing]
    ) -> tuple[Carrier, ...]:
        sectors: dict[str, TrueSector] = {s.id: s for site in self.sites for s in site.sectors}
        paths = {path.sector_id: path for path in truth.paths}
        has_nr = any(one.leg == NR_LEG for one in served)
        carriers = []
        for one in served:
            is_nr = one.leg == NR_LEG
            path = paths[one.sector_id]
            share = PCI_SHARE[Rat.NR if is_nr else Rat.LTE]
            swing_db = phone.offset_db + READING_SIGMA_DB * self.hand.rng.normal()
            carriers.append(
                self.hand.carrier(
                    Role.ANCHOR if has_nr and not is_nr else Role.PRIMARY,
                    sectors[one.sector_id], path, path.rsrp_dbm + swing_db,
                    tells_pci=bool(self.hand.rng.random() < share),
                )
            )  # fmt: skip
        return tuple(carriers)

    def _remarks(self, stop: Stop, time_utc: datetime, planting: Planting) -> list[Row]:
        told: list[tuple[RemarkKind, str, str | None]] = []
        if planting.lost_5g is not None:
            told.append((RemarkKind.LOST_5G, "Dropped to LTE and stayed there.", planting.lost_5g))
        if planting.blocked is not None:
            told.append((RemarkKind.OBSTRUCTION, "A house stands before the node.", None))
        if self.visit.rain_mm_h and stop.number == 1:
            told.append((RemarkKind.WEATHER, "Light rain all along.", None))
        return [
            Remark(id=self.hand.new_id(), stop_id=stop.id, device_id=device_id,
                   time_utc=time_utc + timedelta(minutes=8), kind=kind, text=text)
            for kind, text, device_id in told
        ]  # fmt: skip


def _mark_together(day: StopDay) -> None:
    """Make the first run of one phone one made at the same time as the other's."""
    readings = [row for row in day.rows if isinstance(row, Reading)]
    runs = [row for row in day.rows if isinstance(row, SpeedRun)]
    first = next(run for run in runs if run.reading_id == readings[0].id)
    other = next(run for run in runs if run.reading_id == readings[1].id)
    half = replace(
        other, time_utc=first.time_utc, together_with=first.id,
        down_mbps=round((other.down_mbps or 0.0) / 2.0, 1),
    )  # fmt: skip
    day.rows[day.rows.index(other)] = half
    day.rows[day.rows.index(first)] = replace(
        first, together_with=other.id, down_mbps=round((first.down_mbps or 0.0) / 2.0, 1)
    )
