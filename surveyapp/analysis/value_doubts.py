"""Doubts about what was typed into one entry: values that cannot be, or contradict each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from surveyapp.analysis.ping import lowest_ping_ms, server_distance_m
from surveyapp.analysis.run_limits import is_wild, typical_jitter_ms
from surveyapp.analysis.run_link import run_link
from surveyapp.errors import SurveyError
from surveyapp.geometry.serving_terms import HIGHEST_PCI
from surveyapp.model import Carrier, Rat, Reading, SpeedRun, StopScene
from surveyapp.radio.carrier_sets import band_excess_mhz
from surveyapp.radio.quality import rsrq_bounds_db

# What a phone can report: TS 38.133 tables 10.1.6.1-1, 10.1.11.1-1 and 10.1.16.1-1; LTE by
# TS 36.133 tables 9.1.4-1 and 9.1.7-1 with their extensions, and 9.1.17-1 (from memory)
RSRP_DBM = {Rat.NR: (-156.0, -31.0), Rat.LTE: (-156.0, -44.0)}
RSRQ_DB = {Rat.NR: (-43.0, 20.0), Rat.LTE: (-34.0, 2.5)}
SINR_DB = {Rat.NR: (-23.0, 40.0), Rat.LTE: (-23.0, 40.0)}
RSRQ_SPARE_DB = 2.0  # both values flicker, and phones show halves; our choice
PING_SPARE = 0.03  # glass lets light go at 0.68 c rather than 2/3 c
ROUNDING_MS = 0.5  # pings are mostly shown in whole milliseconds


class DoubtKind(StrEnum):
    """What is doubtful."""

    RANGE = "outside its physical range"
    CONTRADICTION = "RSRQ contradicts SINR"
    BAND = "more than the band holds"
    PCI = "PCI of another sector"
    PEAK = "above the peak"
    PING = "below the lowest ping"
    JITTER = "wild jitter"
    POSITION = "position worse than 25 m"
    NOT_SETTLED = "sector not settled"
    STEEL = "compass near steel"
    TURNED = "panel turned otherwise"
    SERVERS = "different servers"
    ORDER = "one phone always first"
    CLOCK = "clock set back"


@dataclass(frozen=True, kw_only=True, slots=True)
class Doubt:
    """Something that weakens a conclusion: the row, what, in words, and how to settle it."""

    row_id: str
    kind: DoubtKind
    words: str
    settle: str


def reading_doubts(reading: Reading) -> Iterator[Doubt]:
    """Values of a reading outside what a phone reports, or against each other."""
    for carrier in reading.carriers:
        yield from _levels(reading, carrier)
        yield from _contradiction(reading, carrier)
    yield from _band(reading)


def run_doubts(scene: StopScene, run: SpeedRun) -> Iterator[Doubt]:
    """Values of a speed run that cannot be, or stand out from the others at the stop."""
    yield from _run_range(run)
    yield from _above_peak(scene, run)
    yield from _ping(scene, run)
    others = [other for other in scene.speed_runs if other.id != run.id]
    typical = typical_jitter_ms(others)
    if run.jitter_ms is not None and typical is not None and is_wild(run.jitter_ms, typical):
        yield Doubt(
            row_id=run.id,
            kind=DoubtKind.JITTER,
            words=f"The jitter of {run.jitter_ms:g} ms is wild: the other runs here show "
            f"{typical:.1f} ms.",
            settle="Check the figure, and repeat the run.",
        )


def _levels(reading: Reading, carrier: Carrier) -> Iterator[Doubt]:
    """RSRP, RSRQ, SINR and PCI outside their ranges."""
    rat = carrier.rat
    values = (
        ("RSRP", carrier.rsrp_dbm, RSRP_DBM[rat], "dBm"),
        ("RSRQ", carrier.rsrq_db, RSRQ_DB[rat], "dB"),
        ("SINR", carrier.sinr_db, SINR_DB[rat], "dB"),
        ("PCI", carrier.pci, (0.0, float(HIGHEST_PCI[rat])), ""),
    )
    for name, value, (low, high), unit in values:
        if value is not None and not low <= value <= high:
            yield _out_of_range(reading.id, f"The {rat} {name}", value, low, high, unit)


def _run_range(run: SpeedRun) -> Iterator[Doubt]:
    """Rates, times and shares below nothing or above all."""
    values = (
        ("The download", run.down_mbps, 1e5, "Mbit/s"),
        ("The upload", run.up_mbps, 1e5, "Mbit/s"),
        ("The ping", run.ping_ms, 1e5, "ms"),
        ("The jitter", run.jitter_ms, 1e5, "ms"),
        ("The loss", run.loss_pct, 100.0, "%"),
    )
    for name, value, high, unit in values:
        if value is not None and not 0.0 <= value <= high:
            yield _out_of_range(run.id, name, value, 0.0, high, unit)


def _out_of_range(
    row_id: str, name: str, value: float, low: float, high: float, unit: str
) -> Doubt:
    """A value that no phone shows."""
    tail = f" {unit}" if unit else ""
    return Doubt(
        row_id=row_id,
        kind=DoubtKind.RANGE,
        words=f"{name} of {value:g}{tail} cannot be: it goes from {low:g} to {high:g}{tail}.",
        settle="Read it again, and mind the sign and the decimal point.",
    )


def _contradiction(reading: Reading, carrier: Carrier) -> Iterator[Doubt]:
    """An RSRQ that no load of the cell could give at this SINR."""
    rsrq, sinr, rat = carrier.rsrq_db, carrier.sinr_db, carrier.rat
    if rsrq is None or sinr is None:
        return
    if not _inside(rsrq, RSRQ_DB[rat]) or not _inside(sinr, SINR_DB[rat]):
        return
    low, high = rsrq_bounds_db(sinr, rat)
    if low - RSRQ_SPARE_DB <= rsrq <= high + RSRQ_SPARE_DB:
        return
    yield Doubt(
        row_id=reading.id,
        kind=DoubtKind.CONTRADICTION,
        words=f"The {rat} RSRQ of {rsrq:g} dB does not go with SINR {sinr:g} dB: a full cell "
        f"would show {low:.0f} dB, an empty one {high:.0f} dB.",
        settle="Read both again at the same moment.",
    )


def _inside(value: float, span: tuple[float, float]) -> bool:
    """Whether a value lies in its range."""
    return span[0] <= value <= span[1]


def _band(reading: Reading) -> Iterator[Doubt]:
    """Carriers that the band could not hold side by side."""
    try:
        excess = band_excess_mhz(reading.carriers)
    except SurveyError as error:
        yield Doubt(
            row_id=reading.id, kind=DoubtKind.RANGE, words=str(error), settle="Correct the carrier."
        )
        return
    for name, beyond in excess.items():
        yield Doubt(
            row_id=reading.id,
            kind=DoubtKind.BAND,
            words=f"The carriers in {name} add up to {beyond:g} MHz more than the band holds.",
            settle="Check how many carriers there are, how wide each is, and in which band.",
        )


def _above_peak(scene: StopScene, run: SpeedRun) -> Iterator[Doubt]:
    """More than the carriers noted could ever carry."""
    link = run_link(scene, run)
    if run.down_mbps is None or link.peak_mbps is None or run.down_mbps <= link.peak_mbps:
        return
    yield Doubt(
        row_id=run.id,
        kind=DoubtKind.PEAK,
        words=f"{run.down_mbps:g} Mbit/s is above the peak of {link.peak_mbps:.0f} Mbit/s of "
        f"{link.name}.",
        settle="Check the figure and the reading's carriers: one may be missing.",
    )


def _ping(scene: StopScene, run: SpeedRun) -> Iterator[Doubt]:
    """Faster than light in fibre."""
    distance = server_distance_m(scene.stop, run)
    if distance is None or run.ping_ms is None:
        return
    lowest = lowest_ping_ms(distance)
    if run.ping_ms + ROUNDING_MS >= (1.0 - PING_SPARE) * lowest:
        return
    yield Doubt(
        row_id=run.id,
        kind=DoubtKind.PING,
        words=f"A ping of {run.ping_ms:g} ms cannot be: {run.server_place or 'the server'} is "
        f"{distance / 1000.0:.0f} km away, light in fibre takes {lowest:.0f} ms there and back.",
        settle="Check which server was used, and its place.",
    )
