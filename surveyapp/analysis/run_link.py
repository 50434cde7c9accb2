"""What the carriers behind a speed run should carry: from its reading to an expected rate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from surveyapp.analysis.candidates import usable
from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.model import Carrier, Mode, Rat, Reading, SpeedRun, StopScene
from surveyapp.radio.bands import Direction
from surveyapp.radio.carrier_sets import carrier_set_name
from surveyapp.radio.expected_rate import ExpectedRate, expected_rate
from surveyapp.radio.link_adaptation import SINR_RANGE_DB
from surveyapp.radio.rates import carrier_peak_mbps
from surveyapp.radio.usual_link import UsualLink, usual_link

TOGETHER_SHARE = 0.5  # two runs at a time share the cell


@dataclass(frozen=True, kw_only=True, slots=True)
class RunLink:
    """A run's reading as links. `rate` is None where it cannot be told, `lacking` says why.

    `sinr_db` is that of each carrier counted; `up_peak_mbps` is counted with one layer on one
    carrier of each kind, as phones mostly send (common practice). `uncounted` names what has no
    SINR and is left out of the rate, which is told where that is the lesser part of the peak.
    """

    reading: Reading | None
    links: tuple[UsualLink, ...] = ()
    sinr_db: tuple[float, ...] = ()
    rate: ExpectedRate | None = None
    peak_mbps: float | None = None
    up_peak_mbps: float | None = None
    lacking: str = ""
    uncounted: str = ""

    @property
    def name(self) -> str:
        """The carriers in words."""
        return _name(self.reading.carriers) if self.reading else ""

    def bandwidth_mhz(self, rat: Rat) -> float:
        """Bandwidth held in one radio technology."""
        return sum(
            link.carrier.count * link.carrier.bandwidth_mhz
            for link in self.links
            if link.carrier.rat is rat
        )

    def likely_mbps(self, rat: Rat) -> float:
        """The expected rate's part of one radio technology."""
        parts = self.rate.parts if self.rate else ()
        return sum(part.likely_mbps for part in parts if part.carrier.rat is rat)


def run_link(scene: StopScene, run: SpeedRun) -> RunLink:
    """The links behind a run, and the rate to expect of them."""
    reading = reading_of(scene, run)
    if reading is None:
        return RunLink(
            reading=None, lacking="no reading of this phone is noted at this stop: add one"
        )
    if not reading.carriers:
        return RunLink(reading=reading, lacking="the reading holds no carrier: add one")
    try:
        links = tuple(usual_link(carrier) for carrier in reading.carriers)
    except (NoAnswer, InvalidValue) as error:
        return RunLink(reading=reading, lacking=str(error).rstrip("."))
    return _with_rate(RunLink(reading=reading, links=links), run)


def _with_rate(link: RunLink, run: SpeedRun) -> RunLink:
    """The same with its peaks, and with the rate to expect where enough SINRs are noted."""
    carriers = link.reading.carriers if link.reading else ()
    peaks = [carrier_peak_mbps(one.carrier) for one in link.links]
    sinrs = [_sinr_db(carrier, carriers) for carrier in carriers]
    up = sum(_up_peak_mbps(one) for one in link.links)
    link = replace(link, peak_mbps=sum(peaks), up_peak_mbps=up)
    counted = [
        (one, sinr, peak)
        for one, sinr, peak in zip(link.links, sinrs, peaks, strict=True)
        if sinr is not None
    ]
    if sum(peak for _, _, peak in counted) <= 0.5 * sum(peaks):
        return replace(link, lacking="no SINR is noted: add it to see what this place allows")
    known = tuple(sinr for _, sinr, _ in counted)
    rate = expected_rate(
        [one.carrier for one, _, _ in counted],
        known,
        tdd=[one.tdd for one, _, _ in counted],
        cell_share=TOGETHER_SHARE if run.together_with else 1.0,
    )
    left_out = [c for c, sinr in zip(carriers, sinrs, strict=True) if sinr is None]
    name = _name(left_out) if left_out else ""
    return replace(link, sinr_db=known, rate=rate, uncounted=name)


def reading_of(scene: StopScene, run: SpeedRun) -> Reading | None:
    """The reading a run names, else that of its phone at this stop nearest in time."""
    named = next((r for r in scene.readings if r.id == run.reading_id), None)
    if named is not None:
        return named
    own = [r for r in scene.readings if r.device_id == run.device_id]
    return min(own, key=lambda r: abs(r.time_utc - run.time_utc), default=None)


def with_5g(reading: Reading | None) -> bool:
    """Whether a reading shows a 5G leg."""
    if reading is None or reading.mode is Mode.LTE:
        return False
    return any(carrier.rat is Rat.NR for carrier in reading.carriers)


def _sinr_db(carrier: Carrier, others: Sequence[Carrier]) -> float | None:
    """A carrier's SINR, else that of another of the same technology in the reading."""
    same = [carrier, *(other for other in others if other.rat is carrier.rat)]
    usables = (usable(one.sinr_db, *SINR_RANGE_DB) for one in same)
    return next((sinr for sinr in usables if sinr is not None), None)


def _up_peak_mbps(link: UsualLink) -> float:
    """Peak of the uplink on one layer of one carrier."""
    share = link.tdd.share(Direction.UP) if link.tdd else 1.0
    return share * carrier_peak_mbps(replace(link.carrier, count=1, layers=1), Direction.UP)


def _name(carriers: Sequence[Carrier]) -> str:
    """The set in words, plain even where a value in it makes no sense."""
    try:
        return carrier_set_name(carriers)
    except InvalidValue:
        return "carriers as noted"
