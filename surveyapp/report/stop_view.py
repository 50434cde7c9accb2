"""A stop as the page shows it: what was seen, which panel served, what was measured."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from surveyapp.analysis.expectation import StopExpectations
from surveyapp.analysis.expected import Cause
from surveyapp.analysis.reading_expectation import LegExpectation
from surveyapp.analysis.run_expectation import RunExpectation
from surveyapp.analysis.standing import LegAnswer
from surveyapp.model import Preparation, SpeedRun, StopScene
from surveyapp.report.account import Account
from surveyapp.report.record import SurveyRecord
from surveyapp.report.strip import strip_svg
from surveyapp.report.words import (
    capital,
    clock_text,
    listed,
    number,
    reading_text,
    run_figures,
    share,
    sighting_text,
    tidy,
    with_unit,
)

SHOWN = 3  # sectors of a leg that are named, besides 'none of these'
LEAST = 0.005  # sectors less likely than this are not named
USUAL = 1.0  # standard deviations from which the likeliest reason is told
TICKS = {
    "radio_reset_utc": "radio reset", "network_mode_utc": "network mode looked at",
    "battery_and_heat_utc": "battery and heat looked at", "server_chosen_utc": "server chosen",
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class LegView:
    """One leg of one reading: the likeliest sectors with their shares, and the strip."""

    leg: str
    ranking: tuple[tuple[str, str], ...]
    strip: Markup
    words: str
    settle: str


@dataclass(frozen=True, kw_only=True)
class RunView:
    """One speed run."""

    down: str
    strip: Markup
    figures: str
    expected: str
    words: str
    made: str


@dataclass(frozen=True, kw_only=True)
class PhoneView:
    """What one phone showed at a stop; without a phone, what its place alone tells."""

    label: str
    readings: tuple[tuple[str, str], ...] = ()
    legs: tuple[LegView, ...] = ()
    runs: tuple[RunView, ...] = ()
    prepared: str = ""


@dataclass(frozen=True, kw_only=True)
class StopView:
    """A stop with every entry made there, in words."""

    number: int
    place: str
    time: str
    position: str
    entries: tuple[tuple[str, str], ...]
    phones: tuple[PhoneView, ...]


def stop_views(account: Account) -> list[StopView]:
    """All stops in their order."""
    return [
        _stop_view(account.record, scene, expected)
        for scene, expected in zip(account.scenes, account.expectations, strict=True)
    ]


def _stop_view(record: SurveyRecord, scene: StopScene, expected: StopExpectations) -> StopView:
    return StopView(
        number=scene.stop.number,
        place=scene.stop.place_text,
        time=_time(record, scene.stop.time_utc),
        position=_position(record, scene),
        entries=tuple(_entries(record, scene)),
        phones=tuple(_phones(record, scene, expected)),
    )


def _entries(record: SurveyRecord, scene: StopScene) -> Iterable[tuple[str, str]]:
    """Sightings, remarks and photos, each under its kind."""
    labels = {device.id: device.label for device in scene.devices}
    names = {site.id: site.name for site in scene.sites}
    panels = {sector.id: sector.label for sector in scene.sectors}
    for one in scene.sightings:
        name = f"{names.get(one.site_id, 'A site')} {panels.get(one.sector_id or '', '')}".strip()
        yield "Seen", f"{name}, {sighting_text(one, exact=record.exact_places)}"
    for remark in scene.remarks:
        phone = labels.get(remark.device_id or "", "")
        said = remark.text or "no more was noted"
        yield capital(remark.kind), f"{phone}: {said}" if phone else said
    for photo in scene.photos:
        yield "Photo", photo.caption or "without a caption"


def _phones(
    record: SurveyRecord, scene: StopScene, expected: StopExpectations
) -> Iterable[PhoneView]:
    """One view a phone, in the order of their labels; first what no phone was needed for."""
    own = [answer for answer in expected.answers if answer.device_id is None]
    if own:
        legs = tuple(_legs(record, own, expected))
        yield PhoneView(label="Without a reading, by place and sightings", legs=legs)
    for device in scene.devices:
        yield PhoneView(
            label=device.label,
            readings=tuple(
                (reading_text(one), _time(record, one.time_utc))
                for one in scene.readings
                if one.device_id == device.id
            ),
            legs=tuple(
                _legs(record, [a for a in expected.answers if a.device_id == device.id], expected)
            ),
            runs=tuple(_runs(record, scene, device.id, expected)),
            prepared="; ".join(
                _prepared(one) for one in scene.preparations if one.device_id == device.id
            ),
        )


def _time(record: SurveyRecord, moment: datetime) -> str:
    return clock_text(moment, record.survey.time_zone) if record.exact_times else ""


def _position(record: SurveyRecord, scene: StopScene) -> str:
    stop = scene.stop
    if stop.lat_deg is None or stop.lon_deg is None:
        return "no position"
    decimals = 5 if record.exact_places else 4
    place = f"{stop.lat_deg:.{decimals}f}, {stop.lon_deg:.{decimals}f}".replace("-", "−")
    if stop.position_sigma_m is None:
        return place
    return f"{place} ± {number(stop.position_sigma_m, 0)} m"


def _legs(
    record: SurveyRecord, answers: Iterable[LegAnswer], expected: StopExpectations
) -> Iterable[LegView]:
    told = {(leg.reading_id, leg.leg): leg for leg in expected.legs}
    for answer in answers:
        own = told.get((answer.reading_id or "", answer.leg))
        yield LegView(
            leg=answer.leg,
            ranking=_ranking(answer),
            strip=strip_svg(own.rsrp) if own else Markup(""),
            words=_leg_words(own, exact=record.exact_places) if own else "",
            settle=_settle_words(answer.answer.settle),
        )


def _ranking(answer: LegAnswer) -> tuple[tuple[str, str], ...]:
    """The likeliest sectors and 'none of these' with their shares, the likeliest first."""
    *sectors, none = answer.answer.ranking
    shown = [one for one in sectors[:SHOWN] if one.probability >= LEAST] or sectors[:1]
    ranked = sorted([*shown, none], key=lambda one: -one.probability)
    return tuple(
        (one.name if one.sector_id is not None else "none of these", share(one.probability))
        for one in ranked
    )


def _settle_words(settle: str) -> str:
    """What would settle the answer; nothing where it is settled."""
    if not settle or settle.startswith("Settled"):
        return ""
    return tidy(settle if settle.startswith("No ") else f"To settle it: {settle}")


def _leg_words(leg: LegExpectation, *, exact: bool) -> str:
    """The level beside what was expected; where that is not usual, a sentence and why.

    Reasons tell angles and distances, so they stay out where places are not exact.
    """
    level, sigmas = leg.rsrp, leg.rsrp.sigmas
    if sigmas is None or abs(sigmas) >= USUAL:
        others = [one for one in leg.reasons if not one.counted] or leg.reasons
        reason = others[0].told if others and sigmas is not None and exact else ""
        return tidy(f"{leg.words} {reason}".strip())
    return (
        f"RSRP {with_unit(level.measured, 'dBm', 0)}, expected {number(level.mean, 0)} ± "
        f"{number(level.sigma, 0)} dBm."
    )


def _runs(
    record: SurveyRecord, scene: StopScene, device_id: str, expected: StopExpectations
) -> Iterable[RunView]:
    partners = {run.together_with for run in scene.speed_runs}
    for run in scene.speed_runs:
        if run.device_id != device_id:
            continue
        own = expected.of_run(run.id)
        together = run.together_with is not None or run.id in partners
        made = (
            _time(record, run.time_utc),
            f"server {run.server_place}" if run.server_place else "",
            "at the same time as another phone's" if together else "",
        )
        yield RunView(
            down=with_unit(run.down_mbps, "Mbit/s", 0) if run.down_mbps is not None else "–",
            strip=strip_svg(own.down) if own else Markup(""),
            figures=run_figures(run),
            expected=_expected_rate(own),
            words=_run_words(run, own),
            made=", ".join(part for part in made if part),
        )


def _expected_rate(own: RunExpectation | None) -> str:
    """'expected 1151 (933 to 1983)'."""
    if own is None or own.likely_mbps is None:
        return ""
    low, likely, high = (number(v, 0) for v in (own.low_mbps, own.likely_mbps, own.high_mbps))
    return f"expected {likely} ({low} to {high})"


def _run_words(run: SpeedRun, own: RunExpectation | None) -> str:
    """The verdict on a run and what most likely stands behind it, or why there is none."""
    if own is None or run.down_mbps is None:
        return ""
    if own.low_mbps is None:
        return tidy(own.words)
    low = run.down_mbps < own.low_mbps
    told = [one.told for one in own.limits if one.cause is not Cause.RADIO][: 2 if low else 1]
    return tidy(" ".join([f"{own.headline}.", *told])) if told else ""


def _prepared(one: Preparation) -> str:
    return listed(words for name, words in TICKS.items() if getattr(one, name) is not None)
