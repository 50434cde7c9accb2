"""All that is worked out for a report, once: answers, expectations, doubts, comparisons, fixes."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from surveyapp.analysis.compare import Comparison, compare_devices
from surveyapp.analysis.doubts import survey_doubts
from surveyapp.analysis.expectation import StopExpectations, survey_view
from surveyapp.analysis.phone_offset import PhoneOffset, learn_phone_offsets
from surveyapp.analysis.runs import SETTLED, WITH_5G, Quantity
from surveyapp.analysis.site_sightings import bearings_of
from surveyapp.analysis.standing import LEG_NAME
from surveyapp.analysis.value_doubts import Doubt
from surveyapp.errors import SurveyError
from surveyapp.geometry.sightings import Fix, fix
from surveyapp.model import Rat, Sighting, Site, SpeedRun, Stop, StopScene
from surveyapp.report.cover import CoverAccount, cover_account
from surveyapp.report.record import SurveyRecord

COVER_DBM = -100.0  # the level told as cover unless another is asked for, our choice


@dataclass(frozen=True, kw_only=True)
class Account:
    """One survey with everything that follows from it; `fixes` by the site's id.

    `record` is what may be shown. All else was worked out from the rows as they were noted, so
    that hiding exact places and times costs no truth. `scenes` are the stops as they may be shown,
    where that differs without the ground around them. `comparisons` hold, for each pair of
    phones that ran, download, upload and ping. `accepted` names the doubts that the surveyor has
    looked at, as `analysis.accepted_doubts` does.
    """

    record: SurveyRecord
    scenes: tuple[StopScene, ...]
    expectations: tuple[StopExpectations, ...]
    doubts: tuple[Doubt, ...]
    comparisons: tuple[tuple[Comparison, ...], ...]
    cover: CoverAccount
    fixes: dict[str, Fix | str] = field(default_factory=dict)
    accepted: frozenset[str] = frozenset()


def account_of(
    record: SurveyRecord,
    noted: SurveyRecord | None = None,
    cover_dbm: float = COVER_DBM,
    offsets: Mapping[str, PhoneOffset] | None = None,
    accepted: Collection[str] = (),
) -> Account:
    """Work out all that the page tells, from this survey's rows.

    `noted` holds the rows as they were noted where `record` hides something of them; both have
    the same ids. `offsets` are the phones' own, where more is known of them than this survey
    tells.
    """
    noted = noted or record
    scenes = noted.scenes
    offsets = learn_phone_offsets(scenes) if offsets is None else offsets
    view = survey_view(scenes, offsets)
    expectations = view.expectations
    return Account(
        record=record,
        scenes=scenes if noted is record else record.bare_scenes,
        expectations=expectations,
        doubts=survey_doubts(view),
        comparisons=_comparisons(noted, scenes, served_by(scenes, expectations)),
        cover=cover_account(noted, expectations, offsets, cover_dbm),
        fixes=_fixes(noted),
        accepted=frozenset(accepted),
    )


def served_by(
    scenes: Sequence[StopScene], expectations: Sequence[StopExpectations]
) -> dict[str, str | None]:
    """By reading id, the sector that served its fastest leg where that is more likely than not."""
    served: dict[str, str | None] = {}
    for scene, expected in zip(scenes, expectations, strict=True):
        modes = {reading.id: reading.mode for reading in scene.readings}
        for answer in expected.answers:
            if answer.reading_id is None:
                continue
            rat = Rat.NR if modes[answer.reading_id] in WITH_5G else Rat.LTE
            if answer.leg == LEG_NAME[rat]:
                best = answer.answer.ranking[0]
                settled = best.probability >= SETTLED
                served[answer.reading_id] = best.sector_id if settled else None
    return served


def _comparisons(
    record: SurveyRecord, scenes: Sequence[StopScene], served: dict[str, str | None]
) -> tuple[tuple[Comparison, ...], ...]:
    """Every two phones that ran, in each quantity that some run of theirs holds."""
    runs = record.of(SpeedRun)
    phones = list(dict.fromkeys(run.device_id for run in runs))
    labels = {device.id: device.label for scene in scenes for device in scene.devices}
    phones.sort(key=lambda one: labels.get(one, ""))
    return tuple(
        tuple(
            compare_devices(scenes, first, second, quantity=quantity, served=served)
            for quantity in Quantity
            if any(quantity.of(run) is not None for run in runs)
        )
        for first, second in combinations(phones, 2)
    )


def _fixes(record: SurveyRecord) -> dict[str, Fix | str]:
    """For each site sighted from two stops or more: where the bearings meet, or why nowhere."""
    stops = {stop.id: stop for stop in record.of(Stop)}
    found: dict[str, Fix | str] = {}
    for site in record.of(Site):
        own = [one for one in record.of(Sighting) if one.site_id == site.id]
        bearings = bearings_of(own, stops)
        if len(bearings) < 2:
            continue
        try:
            found[site.id] = fix([bearing for _, bearing in bearings])
        except SurveyError as reason:
            found[site.id] = str(reason)
    return found
