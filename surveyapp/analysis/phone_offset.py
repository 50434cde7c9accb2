"""By how much each phone shows too much, learned from pairs: readings at one stop.

Phones differ by several decibels (common practice). Two phones at one stop, on the same cell,
see the same level, so their difference tells the difference of their offsets; what all
phones have in common cannot be told and stays as wide as before.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.candidates import usable
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import Carrier, Reading, StopScene

UNLEARNED_SIGMA_DB = 4.0  # spread of phones' offsets, common practice
PAIR_SIGMA_DB = 3.0  # one phone's reading about the level they share: flicker and hand


@dataclass(frozen=True, slots=True)
class PhoneOffset:
    """A phone's offset with its standard deviation, from `pairs` comparisons."""

    offset_db: float = 0.0
    sigma_db: float = UNLEARNED_SIGMA_DB
    pairs: int = 0


def learn_phone_offsets(scenes: Iterable[StopScene]) -> dict[str, PhoneOffset]:
    """Offset of every device that stood in at least one pair, by device id."""
    return _learned(scene.readings for scene in scenes)


def offsets_from_readings(readings: Iterable[Reading]) -> dict[str, PhoneOffset]:
    """The same from readings alone, as of a whole notebook."""
    at_stop: dict[str, list[Reading]] = defaultdict(list)
    for reading in readings:
        at_stop[reading.stop_id].append(reading)
    return _learned(at_stop.values())


class OffsetLearner:
    """Learns again whenever readings were changed, and reads only the stops where they were.

    `learn` gets a stamp for each stop, another one whenever its readings are others, and what
    reads the readings of some stops.
    """

    def __init__(self) -> None:
        self._known: dict[str, tuple[str, list[Mapping[str, float]]]] = {}

    def learn(
        self, stamps: Mapping[str, str], read: Callable[[list[str]], Iterable[Reading]]
    ) -> dict[str, PhoneOffset]:
        """What `offsets_from_readings` gives for the readings of these stops."""
        before = self._known
        fresh = [stop for stop in stamps if before.get(stop, ("",))[0] != stamps[stop]]
        at_stop: dict[str, list[Reading]] = {stop: [] for stop in fresh}
        for reading in read(fresh) if fresh else ():
            at_stop[reading.stop_id].append(reading)
        made = {stop: (stamps[stop], list(_shared_levels(at_stop[stop]))) for stop in fresh}
        self._known = {stop: made[stop] if stop in made else before[stop] for stop in stamps}
        return _from_groups([levels for _, groups in self._known.values() for levels in groups])


def _learned(stops: Iterable[Sequence[Reading]]) -> dict[str, PhoneOffset]:
    """The same from the readings of each stop."""
    return _from_groups([levels for readings in stops for levels in _shared_levels(readings)])


def _from_groups(groups: Sequence[Mapping[str, float]]) -> dict[str, PhoneOffset]:
    """The same from levels that some phones shared.

    Each offset is normal about 0 with UNLEARNED_SIGMA_DB beforehand, and each level shared by
    some phones is free; the result is the exact posterior of that linear model.
    """
    devices = sorted({device for levels in groups for device in levels})
    if not devices:
        return {}
    place = {device: index for index, device in enumerate(devices)}
    precision = np.eye(len(devices)) / UNLEARNED_SIGMA_DB**2
    pull = np.zeros(len(devices))
    pairs = np.zeros(len(devices), dtype=int)
    for levels in groups:
        at = np.array([place[device] for device in levels])
        shown = np.array(list(levels.values()))
        precision[np.ix_(at, at)] += (np.eye(len(at)) - 1.0 / len(at)) / PAIR_SIGMA_DB**2
        pull[at] += (shown - shown.mean()) / PAIR_SIGMA_DB**2
        pairs[at] += 1
    covariance = np.linalg.inv(precision)
    offset, sigma = covariance @ pull, np.sqrt(np.diag(covariance))
    return {
        device: PhoneOffset(float(offset[i]), float(sigma[i]), int(pairs[i]))
        for device, i in place.items()
    }


def _shared_levels(readings: Sequence[Reading]) -> Iterator[Mapping[str, float]]:
    """For each cell that two phones or more showed at a stop: mean RSRP by device."""
    shown: dict[tuple[object, ...], dict[str, list[float]]] = {}
    for reading in readings:
        for carrier in reading.carriers:
            rsrp = usable(carrier.rsrp_dbm, *RSRP_RANGE_DBM)
            if rsrp is not None:
                by_device = shown.setdefault(_cell(carrier), {})
                by_device.setdefault(reading.device_id, []).append(rsrp)
    for by_device in shown.values():
        if len(by_device) >= 2:
            yield {device: sum(levels) / len(levels) for device, levels in by_device.items()}


def _cell(carrier: Carrier) -> tuple[object, ...]:
    """What tells two cells apart, as far as it was noted."""
    return carrier.rat, carrier.band.casefold(), carrier.channel, carrier.mhz, carrier.pci
