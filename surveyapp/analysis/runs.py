"""Speed runs with all that decides whether two of them may be compared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.standing import LEG_NAME, LegAnswer
from surveyapp.analysis.tied_cells import survey_answers
from surveyapp.model import Mode, Rat, Reading, SpeedRun, Stop, StopScene
from surveyapp.wording import carrier_text

SETTLED = 0.5  # a sector at least this probable is taken as the one that served
READING_REACH = timedelta(minutes=10)  # a reading without its run belongs to one this close
WITH_5G = (Mode.NSA, Mode.SA)


class Quantity(StrEnum):
    """What of a speed run is compared."""

    DOWN = "down"
    UP = "up"
    PING = "ping"

    @property
    def noun(self) -> str:
        """What it is called within a sentence."""
        return {Quantity.DOWN: "download", Quantity.UP: "upload"}.get(self, self.value)

    @property
    def more_is_better(self) -> bool:
        """Whether the larger value is the better one."""
        return self is not Quantity.PING

    def of(self, run: SpeedRun) -> float | None:
        """The run's value, in Mbit/s or ms."""
        held = {
            Quantity.DOWN: run.down_mbps,
            Quantity.UP: run.up_mbps,
            Quantity.PING: run.ping_ms,
        }
        return held[self]


@dataclass(frozen=True, kw_only=True, slots=True)
class RunAt:
    """A speed run at its stop, with the reading that goes with it and the sector it was on.

    `mode` is None without a reading; `sector_id` is None where the sector is not settled;
    `shared_with` is the run made at the same time, whichever of the two names the other;
    `carriers` are those of the faster leg in words, '' where a width of them is not known.
    """

    run: SpeedRun
    stop: Stop
    shared_with: str | None = None
    mode: Mode | None = None
    sector_id: str | None = None
    carriers: str = ""

    @property
    def time_utc(self) -> datetime:
        """When it ran."""
        return self.run.time_utc

    @property
    def has_5g(self) -> bool | None:
        """Whether the phone was on 5G; None where no reading tells."""
        return None if self.mode is None else self.mode in WITH_5G


def runs_of(
    scenes: Iterable[StopScene], served: Mapping[str, str | None] | None = None
) -> list[RunAt]:
    """All speed runs of the scenes; `served` gives the sector of each reading, by its id."""
    found = []
    for scene in scenes:
        named = {run.together_with: run.id for run in scene.speed_runs if run.together_with}
        for run in scene.speed_runs:
            reading = reading_of(run, scene.readings)
            found.append(
                RunAt(
                    run=run,
                    stop=scene.stop,
                    shared_with=run.together_with or named.get(run.id),
                    mode=reading.mode if reading else None,
                    sector_id=(served or {}).get(reading.id) if reading else None,
                    carriers=_carriers(reading) if reading else "",
                )
            )
    return found


def _carriers(reading: Reading) -> str:
    """'n258 4 × 100 MHz': what the faster leg had, for runs to be held against like ones."""
    rat = Rat.NR if reading.mode in WITH_5G else Rat.LTE
    own = [carrier for carrier in reading.carriers if carrier.rat is rat]
    if not all(carrier.bandwidth_mhz for carrier in own):
        return ""
    return " + ".join(sorted(carrier_text(carrier) for carrier in own))


def reading_of(run: SpeedRun, readings: Iterable[Reading]) -> Reading | None:
    """The reading a run names, else the nearest in time of that phone at the stop."""
    own = [reading for reading in readings if reading.device_id == run.device_id]
    for reading in own:
        if reading.id == run.reading_id:
            return reading
    near = [one for one in own if abs(one.time_utc - run.time_utc) <= READING_REACH]
    return min(near, key=lambda one: abs(one.time_utc - run.time_utc), default=None)


def sectors_served(
    scenes: Iterable[StopScene],
    offsets: Mapping[str, PhoneOffset] | None = None,
    at_least: float = SETTLED,
) -> dict[str, str | None]:
    """By reading id, the sector that served it with probability `at_least` or more, else None.

    It is asked of the leg that carries most: the 5G leg where the phone had one. What one PCI
    shows at several stops of a survey is taken together, as the report does.
    """
    read = [scene for scene in scenes if scene.readings]
    served: dict[str, str | None] = {}
    for scene, answers in zip(read, survey_answers(read, offsets), strict=True):
        served |= settled_sectors(scene, answers, at_least)
    return served


def settled_sectors(
    scene: StopScene, answers: Iterable[LegAnswer], at_least: float = SETTLED
) -> dict[str, str | None]:
    """The same for one stop whose serving answers are at hand already."""
    modes = {reading.id: reading.mode for reading in scene.readings}
    served: dict[str, str | None] = {}
    for answer in answers:
        if answer.reading_id is None:
            continue
        rat = Rat.NR if modes[answer.reading_id] in WITH_5G else Rat.LTE
        if answer.leg == LEG_NAME[rat]:
            first = answer.answer.ranking[0]
            settled = first.probability >= at_least
            served[answer.reading_id] = first.sector_id if settled else None
    return served
