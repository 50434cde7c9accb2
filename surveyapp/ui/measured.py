"""Measured against expected as rows of strips: levels, downloads, pings. No Kivy here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from surveyapp.model import StopScene
from surveyapp.ui.answer_words import Expectation
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.expectation_words import with_minus
from surveyapp.ui.review import Review
from surveyapp.ui.verdicts import verdicts
from surveyapp.ui.words import MINUS, joined, number, share, with_unit

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.analysis.expected import Expected
    from surveyapp.analysis.reading_expectation import LegExpectation
    from surveyapp.analysis.run_expectation import RunExpectation
    from surveyapp.ui.expectation_words import Matter

LEVEL, DOWN, PING = "level", "down", "ping"  # the runs' two are their verdicts' keys too
QUANTITIES = (
    Choice(value=LEVEL, label="RSRP"),
    Choice(value=DOWN, label="Download"),
    Choice(value=PING, label="Ping"),
)
BY_STOP, FARTHEST = "stop", "farthest"
ORDERS = (
    Choice(value=BY_STOP, label="Stop by stop"),
    Choice(value=FARTHEST, label="Farthest off first"),
)


@dataclass(frozen=True, slots=True)
class StripItem:
    """One value with its strip; a tap opens `sheet` on the row `row_id`."""

    text: str
    detail: str
    strip: Expectation
    sheet: str
    row_id: str
    off: float  # how many standard deviations from what was expected; 0 where nothing was


def strip_items(review: Review | None, quantity: str, order: str) -> list[StripItem]:
    """The strips of a quantity, in the stops' order or those farthest off first."""
    if review is None:
        return []
    told = zip(review.scenes, review.expectations, strict=True)
    items = [item for scene, found in told for item in _of_stop(scene, found, quantity)]
    return sorted(items, key=lambda item: -item.off) if order == FARTHEST else items


def _of_stop(scene: StopScene, found: StopExpectations, quantity: str) -> Iterator[StripItem]:
    labels = {device.id: device.label for device in scene.devices}
    told = verdicts(found, ())  # the words of the Stop page and the sheets
    if quantity == LEVEL:
        for leg in found.legs:
            if leg.rsrp.measured is not None:
                said = told[leg.reading_id].of(leg.leg)
                yield _level(scene, leg, labels.get(leg.device_id, ""), said)
        return
    for run in found.runs:
        value = run.down if quantity == DOWN else run.ping
        if value.measured is not None:
            said = told[run.run_id].of(quantity)
            yield _rate(scene, run, value, labels.get(run.device_id, ""), said)


def _level(scene: StopScene, leg: LegExpectation, label: str, said: Matter | None) -> StripItem:
    from_where = f"{leg.sector}, {share(leg.probability)}" if leg.sector else ""
    likely = leg.reasons[0].told if leg.reasons and abs(leg.rsrp.sigmas or 0.0) >= 1.0 else ""
    return StripItem(
        text=joined([f"Stop {scene.stop.number}", label, leg.leg, from_where]),
        detail=_told(said, likely or ("" if leg.sector else leg.words)),
        strip=strip_of(leg.rsrp),
        sheet="reading",
        row_id=leg.reading_id,
        off=abs(leg.rsrp.sigmas or 0.0),
    )


def _rate(
    scene: StopScene, run: RunExpectation, value: Expected, label: str, said: Matter | None
) -> StripItem:
    limit = run.limits[0].told if run.limits else ""
    unknown = run.words if run.likely_mbps is None else ""
    return StripItem(
        text=joined([f"Stop {scene.stop.number}", label]),
        detail=_told(said, f"{unknown} {limit}".strip() if value is run.down else ""),
        strip=strip_of(value),
        sheet="speed_run",
        row_id=run.run_id,
        off=abs(value.sigmas or 0.0),
    )


def strip_of(value: Expected) -> Expectation:
    """The strip of a value, with its numbers in words."""
    words = f"{value.quantity} {with_unit(value.measured, value.unit, 1)}"
    if value.mean is not None:
        words += f", expected {value.told.replace('-', MINUS)}"
    if value.sigmas is not None and value.least is None:
        way = "above" if value.sigmas > 0 else "below"
        off = abs(value.sigmas)
        words += f": {number(off, 1)} σ {way}" if off >= 0.05 else ": as expected"
    return Expectation(
        value.low, value.high, value.mean, value.measured, words, value.band(1.0), value.band(2.0)
    )  # fmt: skip


def _told(said: Matter | None, words: str) -> str:
    """The verdict where there is one, then what is known of its cause."""
    judged = said.verdict if said is not None and said.told else ""
    return " ".join(part for part in (_plain(judged), _plain(words)) if part)


def _plain(words: str) -> str:
    """Sentences as they are, clauses with a capital and a full stop."""
    if not words:
        return ""
    words = with_minus(words)
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "!", "?")) else ".")
