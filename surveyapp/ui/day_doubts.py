"""Every doubt of a survey gathered: where it arose, what settles it, whether it was accepted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from surveyapp.analysis.accepted_doubts import MOVING, acceptance_of, is_accepted
from surveyapp.analysis.doubts import clock_doubts, doubts_at
from surveyapp.analysis.value_doubts import Doubt, DoubtKind
from surveyapp.model import Row, StopScene
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.review import Review
from surveyapp.ui.words import clock_text, counted, joined

ALL = "all"
NOUNS = {
    "stop": "", "sighting": "sighting", "reading": "reading", "speed_run": "speed run",
    "remark": "remark",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DoubtItem:
    """One doubt of the list; a tap opens `sheet`, on the row `row_id` where it is one row's."""

    doubt: Doubt
    text: str
    where: str
    sheet: str
    row_id: str | None
    accepted: bool


def gathered(scenes: Sequence[StopScene], review: Review | None) -> list[Doubt]:
    """The doubts that values and places raise now, and those that only the last review of the
    whole survey could raise, about rows that are still there."""
    found = [doubt for scene in scenes for doubt in (*_placeless(scene), *doubts_at(scene, ()))]
    found += clock_doubts(scene.stop for scene in scenes)
    told = dict.fromkeys(acceptance_of(doubt) for doubt in found)
    there = {row.id for scene in scenes for _, row in rows_of(scene)}
    for doubt in review.doubts if review else ():
        late = doubt.kind in MOVING and acceptance_of(doubt) not in told
        of_a_row = doubt.kind in (DoubtKind.NOT_SETTLED, DoubtKind.PCI)
        if late and (doubt.row_id in there or not of_a_row):
            found.append(doubt)
    return found


def _placeless(scene: StopScene) -> Iterator[Doubt]:
    if scene.stop.lat_deg is None:
        yield Doubt(
            row_id=scene.stop.id,
            kind=DoubtKind.POSITION,
            words=f"Stop {scene.stop.number} has no position yet.",
            settle="Tap the place on the plan, or type it.",
        )


def doubt_items(
    scenes: Sequence[StopScene], doubts: Sequence[Doubt], accepted: Collection[str], kind: str
) -> list[DoubtItem]:
    """The doubts of a kind (or ALL) as rows: the open ones first, typed values before sectors."""
    places = dict(_places(scenes))
    items = [
        DoubtItem(
            doubt=doubt,
            text=doubt.words,
            where=places[doubt.row_id][1] if doubt.row_id in places else "",
            sheet=_sheet_of(doubt, places),
            row_id=None if doubt.kind is DoubtKind.CLOCK else doubt.row_id,
            accepted=acceptance_of(doubt) in accepted,
        )
        for doubt in doubts
        if kind in (ALL, doubt.kind)
    ]
    return sorted(items, key=lambda item: (item.accepted, item.doubt.kind in MOVING))


def kind_choices(doubts: Sequence[Doubt], accepted: Collection[str]) -> list[Choice]:
    """The kinds there are, each with how many are open; none where there is only one."""
    kinds = list(dict.fromkeys(doubt.kind for doubt in doubts))
    if len(kinds) < 2:
        return []
    still = [doubt.kind for doubt in doubts if acceptance_of(doubt) not in accepted]
    named = [Choice(value=k, label=f"{capital(k)} · {still.count(k)}") for k in kinds]
    return [Choice(value=ALL, label=f"All · {len(still)}"), *named]


def open_count(doubts: Sequence[Doubt], accepted: Collection[str]) -> int:
    """How many are not accepted."""
    return sum(not is_accepted(doubt, accepted) for doubt in doubts)


def count_words(still_open: int, looking: bool) -> str:
    """'37 doubts', 'no doubts'; while the survey is looked through, that it is."""
    told = counted(still_open, "doubt") if still_open else "no doubts"
    return f"{told}, still looking" if looking else told


_FIELD = {
    DoubtKind.BAND: "width", DoubtKind.PCI: "pci", DoubtKind.NOT_SETTLED: "pci",
    DoubtKind.CONTRADICTION: "rsrq", DoubtKind.PEAK: "down", DoubtKind.PING: "ping",
    DoubtKind.JITTER: "jitter", DoubtKind.SERVERS: "server", DoubtKind.TURNED: "azimuth",
}  # fmt: skip
_SAID = {
    "RSRP": "rsrp", "RSRQ": "rsrq", "SINR": "sinr", "PCI": "pci", "download": "down",
    "upload": "up", "ping": "ping", "jitter": "jitter", "loss": "loss",
}  # fmt: skip


def fields_doubted(doubt: Doubt) -> list[str]:
    """The names of the field that a doubt is about on its row's sheet, the likeliest first."""
    said = (field for word, field in _SAID.items() if word in doubt.words)
    name = next(said, "") if doubt.kind is DoubtKind.RANGE else _FIELD.get(doubt.kind, "")
    parts = ["anchor", "primary"] if "LTE" in doubt.words else ["primary"]
    return [*(f"{part}_{name}" for part in parts), name] if name else []


def capital(text: str) -> str:
    """With a capital first."""
    return text[:1].upper() + text[1:]


def _sheet_of(doubt: Doubt, places: Mapping[str, tuple[str, str]]) -> str:
    if doubt.kind is DoubtKind.CLOCK:
        return "clock"
    if doubt.row_id in places:
        return places[doubt.row_id][0]
    return "sector" if doubt.kind is DoubtKind.TURNED else "device"


def _places(scenes: Sequence[StopScene]) -> Iterator[tuple[str, tuple[str, str]]]:
    """By a row's id: its sheet, and 'Stop 3 · Phone A · reading · 09:40'."""
    for scene in scenes:
        labels = {device.id: device.label for device in scene.devices}
        for sheet, row in rows_of(scene):
            phone = labels.get(getattr(row, "device_id", None) or "", "")
            time_utc = None if sheet == "stop" else getattr(row, "time_utc", None)
            clock = clock_text(time_utc, scene.survey.time_zone) if time_utc else ""
            where = joined([f"Stop {scene.stop.number}", phone, NOUNS[sheet], clock])
            yield row.id, (sheet, where)


def rows_of(scene: StopScene) -> Iterator[tuple[str, Row]]:
    """Every row of a stop that a doubt may be about, with the sheet that opens it."""
    yield "stop", scene.stop
    for sheet, rows in (
        ("sighting", scene.sightings),
        ("reading", scene.readings),
        ("speed_run", scene.speed_runs),
        ("remark", scene.remarks),
    ):
        yield from ((sheet, row) for row in rows)
