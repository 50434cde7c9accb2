"""The serving answer as the Stop place shows it. Text and plain numbers, no Kivy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from surveyapp.geometry.serving_values import NONE_NAME, RSRP_RANGE_DBM
from surveyapp.model import StopScene
from surveyapp.ui.words import clock_text, joined, number, share, with_unit

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.geometry.serving_terms import Ranked
    from surveyapp.ui.expectation_words import Verdict

SHOWN = 4  # sectors beyond these are told as 'others'


@dataclass(frozen=True)
class RankLine:
    """One sector with its probability; `detail` says where it lies."""

    name: str
    probability: float
    percent: str
    detail: str = ""


@dataclass(frozen=True)
class Expectation:
    """A measured value against what was expected, over the value's range."""

    low: float
    high: float
    expected: float | None
    measured: float | None
    text: str
    near: tuple[float, float] | None = None  # the band of what was expected
    far: tuple[float, float] | None = None  # its double, where it lies evenly


@dataclass(frozen=True)
class LegView:
    """All that is shown for one leg of one reading."""

    key: str
    title: str
    lines: tuple[RankLine, ...]
    reasons: tuple[str, ...]
    settle: str
    strip: Expectation | None = None


def leg_views(
    scene: StopScene,
    answers: tuple[LegAnswer, ...],
    verdicts: Mapping[str, Verdict] | None = None,
) -> list[LegView]:
    """One view for each leg answered, the newest reading's first.

    A leg that was read shows the strip of the verdict on it, the same as below the entry.
    """
    labels = _labels(scene)
    order = {reading.id: at for at, reading in enumerate(scene.readings)}
    newest_first = sorted(answers, key=lambda a: -order.get(a.reading_id or "", 0))
    return [
        _view(leg, labels.get(leg.reading_id or "", ""), (verdicts or {}).get(leg.reading_id or ""))
        for leg in newest_first
    ]


def _labels(scene: StopScene) -> dict[str, str]:
    """The phone of each reading by the reading's id; with the time where it has several here."""
    phones = {device.id: device.label for device in scene.devices}
    count = Counter(reading.device_id for reading in scene.readings)
    zone = scene.survey.time_zone
    return {
        one.id: joined([phones.get(one.device_id, ""),
                        clock_text(one.time_utc, zone) if count[one.device_id] > 1 else ""])
        for one in scene.readings
    }  # fmt: skip


def _view(leg: LegAnswer, label: str, verdict: Verdict | None) -> LegView:
    from surveyapp.ui.expectation_words import with_minus

    ranking = leg.answer.ranking
    sectors, none = ranking[:-1], ranking[-1]
    shown = [_line(ranked) for ranked in sectors[:SHOWN]]
    rest = sum(ranked.probability for ranked in sectors[SHOWN:])
    if len(sectors) > SHOWN:
        shown.append(RankLine(f"{len(sectors) - SHOWN} others", rest, share(rest)))
    shown.append(RankLine("None of these", none.probability, share(none.probability)))
    return LegView(
        key=f"{leg.leg} {leg.reading_id}",
        title=joined([leg.leg if not label else leg.leg.removesuffix(" leg"), label]),
        lines=tuple(shown),
        reasons=tuple(map(with_minus, leg.answer.reasons)),
        settle=with_minus(leg.answer.settle),
        strip=_strip(leg, verdict),
    )


def _line(ranked: Ranked) -> RankLine:
    off = ranked.off_boresight_deg
    aside = f"{number(off, 0)}° off boresight" if off is not None else ""
    detail = joined([with_unit(ranked.distance_m, "m", 0), aside])
    return RankLine(ranked.name, ranked.probability, share(ranked.probability), detail)


def _strip(leg: LegAnswer, verdict: Verdict | None) -> Expectation | None:
    first = leg.answer.ranking[0]
    if first.name == NONE_NAME or first.predicted_rsrp_dbm is None:
        return None
    judged = verdict.of(leg.leg) if verdict is not None else None
    if judged is not None and judged.key == leg.leg and judged.strip.expected is not None:
        words = judged.strip.text.removeprefix(f"{leg.leg.removesuffix(' leg')} ")
        return replace(judged.strip, text=f"{words} from {first.name}")
    expected, sigma = first.predicted_rsrp_dbm, first.predicted_sigma_db or 0.0
    foreseen = f"expected {number(expected, 0)} ± {number(sigma, 0)} dBm from {first.name}"
    near, far = ((expected - half, expected + half) for half in (sigma, 2.0 * sigma))
    return Expectation(*RSRP_RANGE_DBM, expected, None, f"RSRP {foreseen}", near, far)
