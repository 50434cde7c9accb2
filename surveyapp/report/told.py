"""The day as a few sentences of facts, each taken from the rows."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median

from surveyapp.analysis.accepted_doubts import is_accepted
from surveyapp.analysis.doubts import SETTLED
from surveyapp.analysis.runs import WITH_5G
from surveyapp.analysis.standing import LEG_NAME
from surveyapp.model import (
    Device,
    Photo,
    Rat,
    Reading,
    Remark,
    RemarkKind,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Weather,
)
from surveyapp.report.account import Account
from surveyapp.report.words import (
    capital,
    clock_text,
    counted,
    day_text,
    listed,
    number,
    tidy,
    with_unit,
)
from surveyapp.wording import zone_of


def day_facts(account: Account) -> list[str]:
    """Sentences in the order of the day; those that nothing was noted for are left out."""
    facts = [
        _outing(account),
        _sites(account),
        _settled(account),
        _speeds(account),
        _lost(account),
        *(held[0].sentence for held in account.comparisons[:2]),
        _doubts(account),
    ]
    return [tidy(fact) for fact in facts if fact]


def picture_facts(account: Account) -> list[str]:
    """What a picture tells beside its plan, the weightiest first."""
    facts = [
        _outing(account),
        *(held[0].sentence for held in account.comparisons[:1]),
        _speeds(account),
        _settled(account),
        _lost(account),
        _doubts(account).replace("listed below", "told in the report"),
    ]
    return [tidy(fact) for fact in facts if fact]


def _outing(account: Account) -> str:
    """When, where, in what weather, and how many entries."""
    record = account.record
    survey, stops = record.survey, record.of(Stop)
    if not stops:
        return "No stop was made."
    first, last = min(s.time_utc for s in stops), max(s.time_utc for s in stops)
    zone = zone_of(survey.time_zone)
    when = f"On {day_text(first.astimezone(zone).date())}"
    if record.exact_times and last > first:
        ends = (clock_text(moment, survey.time_zone) for moment in (first, last))
        when += ", from {} to {}".format(*ends)
    place = f" in {survey.place_text}" if survey.place_text else ""
    weather = _weather(account)
    entries = [
        counted(len(record.of(Sighting)), "sighting"),
        counted(len(record.of(Reading)), "reading"),
        counted(len(record.of(SpeedRun)), "speed run"),
        counted(len(record.of(Photo)), "photo"),
        counted(len(record.of(Remark)), "remark"),
    ]
    kept = [entry for entry in entries if not entry.startswith("no ")]
    made = "was" if len(stops) == 1 else "were"
    phones = listed(device.label for device in record.of(Device) if _used(account, device))
    return (
        f"{when}, {counted(len(stops), 'stop')} {made} made{place}{weather}, with "
        f"{listed(kept) or 'no entry'}{f', using {phones}' if phones else ''}."
    )


def _weather(account: Account) -> str:
    survey = account.record.survey
    if survey.weather is None:
        return ""
    rain = f" ({number(survey.rain_mm_h)} mm/h)" if survey.rain_mm_h else ""
    weather = "dry weather" if survey.weather is Weather.DRY else str(survey.weather)
    return f", in {weather}{rain}"


def _used(account: Account, device: Device) -> bool:
    return any(device in scene.devices for scene in account.scenes)


def _sites(account: Account) -> str:
    sites, sectors = account.record.of(Site), account.record.of(Sector)
    if not sites:
        return ""
    kinds: dict[str, int] = {}
    for site in sites:
        kinds[site.kind] = kinds.get(site.kind, 0) + 1
    on = listed(f"{count} on a {kind}" for kind, count in kinds.items() if kind != "other")
    lie = "lies" if len(sites) == 1 else "lie"
    within = f"{counted(len(sites), 'site')} with {counted(len(sectors), 'panel')} {lie} in reach"
    return f"{capital(within)}{f': {on}' if on else ''}."


def _settled(account: Account) -> str:
    """At how many stops it is settled what served the 5G leg."""
    best = [
        max(answers, key=lambda one: one.probability)
        for expected in account.expectations
        for answers in [
            [
                answer.answer.best
                for answer in expected.answers
                if answer.leg == LEG_NAME[Rat.NR] and answer.reading_id is not None
            ]
        ]
        if answers
    ]
    if not best:
        return ""
    sure = [one for one in best if one.probability >= SETTLED]
    unlisted = sum(one.sector_id is None for one in sure)
    apart = f"; at {unlisted} of these it is none of the panels noted" if unlisted else ""
    return (
        f"Which panel served the 5G leg is settled ({SETTLED:.0%} or more) at {len(sure)} of the "
        f"{counted(len(best), 'stop')} where 5G was read{apart}."
    )


def _speeds(account: Account) -> str:
    """Fastest and middle download, and where."""
    runs = [
        (run.down_mbps, scene.stop.number, label)
        for scene in account.scenes
        for run in scene.speed_runs
        for label in [next((d.label for d in scene.devices if d.id == run.device_id), "")]
        if run.down_mbps is not None
    ]
    if not runs:
        return ""
    rate, stop, label = max(runs)
    middle = median(value for value, _, _ in runs)
    return (
        f"The fastest download was {with_unit(rate, 'Mbit/s', 0)}, on {label} at stop {stop}; "
        f"half of all {len(runs)} runs reached {with_unit(middle, 'Mbit/s', 0)} or more."
    )


def _lost(account: Account) -> str:
    """Where 5G was lost, by remark or by a reading without it beside one that had it."""
    labels = {device.id: device.label for device in account.record.of(Device)}
    told = [
        f"{f'on {labels[one.device_id]} ' if one.device_id in labels else ''}at stop {number}"
        for number, one in _remarks(account)
        if one.kind is RemarkKind.LOST_5G
    ]
    if told:
        return f"5G was lost {listed(told)}."
    modes = [reading.mode for reading in account.record.of(Reading)]
    return "5G was never lost." if modes and all(mode in WITH_5G for mode in modes) else ""


def _remarks(account: Account) -> Iterable[tuple[int, Remark]]:
    return ((scene.stop.number, one) for scene in account.scenes for one in scene.remarks)


def _doubts(account: Account) -> str:
    count = len(account.doubts)
    if not count:
        return "The notebook raised no doubt."
    accepted = sum(is_accepted(doubt, account.accepted) for doubt in account.doubts)
    seen = f", {accepted} of them accepted by the surveyor" if accepted else ""
    return f"{capital(counted(count, 'doubt'))} {'is' if count == 1 else 'are'} listed below{seen}."
