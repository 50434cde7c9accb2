"""The serving answer as the Stop place shows it. Text and plain numbers, no Kivy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from surveyapp.geometry.serving_values import NONE_NAME, RSRP_RANGE_DBM
from surveyapp.model import Reading, StopScene
from surveyapp.ui.words import joined, number, share, with_unit

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.geometry.serving_terms import Ranked

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
    expected: float
    sigma: float
    measured: float | None
    text: str


@dataclass(frozen=True)
class LegView:
    """All that is shown for one leg of one reading."""

    key: str
    title: str
    lines: tuple[RankLine, ...]
    reasons: tuple[str, ...]
    settle: str
    strip: Expectation | None = None


def leg_views(scene: StopScene, answers: tuple[LegAnswer, ...]) -> list[LegView]:
    """One view for each leg answered, the newest reading's first."""
    labels = {device.id: device.label for device in scene.devices}
    readings = {reading.id: reading for reading in scene.readings}
    order = {reading.id: at for at, reading in enumerate(scene.readings)}
    newest_first = sorted(answers, key=lambda a: -order.get(a.reading_id or "", 0))
    return [
        _view(leg, labels.get(leg.device_id or "", ""), readings.get(leg.reading_id or ""))
        for leg in newest_first
    ]


def _view(leg: LegAnswer, label: str, reading: Reading | None) -> LegView:
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
        reasons=leg.answer.reasons,
        settle=leg.answer.settle,
        strip=_strip(leg, reading),
    )


def _line(ranked: Ranked) -> RankLine:
    off = ranked.off_boresight_deg
    aside = f"{number(off, 0)}° off boresight" if off is not None else ""
    detail = joined([with_unit(ranked.distance_m, "m", 0), aside])
    return RankLine(ranked.name, ranked.probability, share(ranked.probability), detail)


def _strip(leg: LegAnswer, reading: Reading | None) -> Expectation | None:
    from surveyapp.analysis.standing import LEG_NAME, leg_carrier

    first = leg.answer.ranking[0]
    if first.name == NONE_NAME or first.predicted_rsrp_dbm is None:
        return None
    rat = next(rat for rat, name in LEG_NAME.items() if name == leg.leg)
    carrier = leg_carrier(reading, rat) if reading is not None else None
    measured = carrier.rsrp_dbm if carrier is not None else None
    expected, sigma = first.predicted_rsrp_dbm, first.predicted_sigma_db or 0.0
    foreseen = f"expected {number(expected, 0)} ± {number(sigma, 0)} dBm from {first.name}"
    read = f"RSRP {with_unit(measured, 'dBm')}, " if measured is not None else "RSRP "
    return Expectation(*RSRP_RANGE_DBM, expected, sigma, measured, read + foreseen)
