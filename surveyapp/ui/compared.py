"""A comparison as rows for the screen: what can be compared, its pairs, its words. No Kivy here."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from surveyapp.analysis.compare_notes import notes_of
from surveyapp.analysis.compare_words import figure
from surveyapp.analysis.runs import Quantity, settled_sectors
from surveyapp.model import StopScene
from surveyapp.ui.compared_hours import BETWEEN, HOURS
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.review import Review
from surveyapp.ui.words import number

if TYPE_CHECKING:
    from surveyapp.analysis.compare import Comparison

PHONES, SERVERS, VISITS = "phones", "servers", "visits"
SIDES = (
    Choice(value=PHONES, label="Phones"),
    Choice(value=SERVERS, label="Servers"),
    Choice(value=VISITS, label="Visits"),
    Choice(value=HOURS, label="Hours"),
)
QUANTITIES = (
    Choice(value=Quantity.DOWN, label="Download"),
    Choice(value=Quantity.UP, label="Upload"),
    Choice(value=Quantity.PING, label="Ping"),
)
UNITS = {Quantity.DOWN: "Mbit/s", Quantity.UP: "Mbit/s", Quantity.PING: "ms"}
NEAREST_ENDS = 1.25  # the scale of ratios reaches at least from 1/1.25 to 1.25


@dataclass(frozen=True, slots=True)
class RatioRow:
    """A ratio on the common scale: a pair's, or the `mean` with its interval."""

    text: str
    ratio: float
    low: float
    high: float
    mean: bool = False


@dataclass(frozen=True, slots=True)
class ComparedView:
    """All that is shown of a comparison; the scale of ratios goes from 1/`reach` to `reach`."""

    sentence: str
    rows: tuple[RatioRow, ...] = ()
    reach: float = NEAREST_ENDS
    notes: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def phone_pairs(scenes: Sequence[StopScene]) -> list[Choice]:
    """Every two phones that ran speed tests, by their labels."""
    used = {run.device_id for scene in scenes for run in scene.speed_runs}
    labels = {d.id: d.label for scene in scenes for d in scene.devices if d.id in used}
    return _twos(sorted(labels.items(), key=lambda item: item[1]))


def server_pairs(scenes: Sequence[StopScene]) -> list[Choice]:
    """Every two test servers that were used."""
    places = {run.server_place for scene in scenes for run in scene.speed_runs} - {""}
    return _twos([(place, place) for place in sorted(places)])


def _twos(named: Sequence[tuple[str, str]]) -> list[Choice]:
    return [
        Choice(value=f"{one}{BETWEEN}{other}", label=f"{own} and {its}")
        for (one, own), (other, its) in combinations(named, 2)
    ]


def compared(
    review: Review, what: str, chosen: str, quantity: Quantity, earlier: Review | None = None
) -> Comparison:
    """The comparison of two phones or servers of a survey, or of it with an earlier one."""
    from surveyapp.analysis.compare import compare_devices, compare_servers, compare_visits

    served = _served(review)
    if what == VISITS:
        before = earlier or Review()
        both = _served(before) | served
        return compare_visits(before.scenes, review.scenes, quantity=quantity, served=both)
    first, _, second = chosen.partition(BETWEEN)
    compare = compare_devices if what == PHONES else compare_servers
    return compare(review.scenes, first, second, quantity=quantity, served=served)


def _served(review: Review) -> dict[str, str | None]:
    """The sector of each reading, from the answers at hand."""
    told: dict[str, str | None] = {}
    for scene, found in zip(review.scenes, review.expectations, strict=True):
        told |= settled_sectors(scene, found.answers)
    return told


def view_of(found: Comparison, title: str = "") -> ComparedView:
    """The rows and words of a comparison; `title` is the survey's, which its places begin with."""
    rows = tuple(_rows(found, title))
    ends = [max(abs(math.log(end)) for end in (row.low, row.high)) for row in rows]
    return ComparedView(
        sentence=found.sentence,
        rows=rows,
        reach=max(NEAREST_ENDS, 1.05 * math.exp(max(ends, default=0.0))),
        notes=tuple(_notes(found)),
        doubts=found.doubts,
    )


def _rows(found: Comparison, title: str) -> Iterator[RatioRow]:
    if found.ratio is not None:
        mean, ends = found.ratio.ratio, found.ratio.interval
        text = f"Mean ratio {figure(mean)}, 95 % interval {figure(ends.low)} to {figure(ends.high)}"
        yield RatioRow(text, mean, ends.low, ends.high, mean=True)
    unit = UNITS[found.quantity]
    for pair in found.pairs:
        ratio = math.exp(pair.log_ratio)
        place = pair.place.removeprefix(f"{title}, ")
        values = f"{_value(pair.first_value)} and {_value(pair.second_value)} {unit}"
        place = place[:1].upper() + place[1:]
        unlike = f", unlike carriers: {pair.unlike}" if pair.unlike else ""
        yield RatioRow(f"{place}: {values}, ratio {figure(ratio)}{unlike}", ratio, ratio, ratio)


def _value(value: float) -> str:
    return number(value, 0 if value >= 100 else 1)


def _notes(found: Comparison) -> Iterator[str]:
    ratio = found.ratio
    if ratio is not None:
        yield (
            f"Typical ratio {figure(ratio.typical)}, which single odd pairs move less than the "
            f"mean; {'exact test' if ratio.exact else 'test'} p {number(ratio.p, 3)}."
        )
    yield from notes_of(found)
