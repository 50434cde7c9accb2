"""A speed run filled in from what iperf3 or ping wrote, for review. No Kivy here."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from surveyapp.analysis.run_sorting import sort_run
from surveyapp.exchange.run_facts import (
    SUFFIXES,
    TOGETHER,
    RunFacts,
    read_run_file,
    read_run_text,
)
from surveyapp.model import Stop
from surveyapp.ui.entries.field import Choice, Field
from surveyapp.ui.entries.form import Texts, Told
from surveyapp.ui.run_files import keep_prints
from surveyapp.ui.server_places import keep_town, town_of
from surveyapp.ui.session import Session
from surveyapp.ui.words import clock_text, day_text, joined, number

FROM_FILE = Choice(value="from a file", label="From a file", icon="folder")
PASTE = Choice(value="paste", label="Paste", icon="text")
TIME, HOST, PRINTS, FILES = "run_time", "run_host", "run_prints", "run_files"
RETRANSMITS = "retransmits"
FILLED = {
    "down": "down_mbps", "up": "up_mbps", "ping": "ping_ms", "jitter": "jitter_ms",
    "loss": "loss_pct", RETRANSMITS: "retransmits",
}  # fmt: skip


def retransmit_fields(texts: Texts) -> tuple[Field, ...]:
    """The field of segments sent again, once a file told them."""
    if not texts.get(RETRANSMITS):
        return ()
    return (Field(name=RETRANSMITS, label="Sent again", unit="segments", low=0, on_path=False),)


def choose_run_file(sheet: Any) -> None:
    """Open the list of files over the sheet; the one tapped fills it."""
    from surveyapp.ui.sheets.file_sheet import FileSheet

    def take(path: Path) -> None:
        sheet.session.attempt(lambda: _fill(sheet, read_run_file(path)))

    files = FileSheet(
        session=sheet.session,
        router=sheet.router,
        take=take,
        title="Choose a result",
        kinds=list(SUFFIXES),
        file_icon="speed_run",
        nothing="No file of iperf3 (.json) or ping (.txt, .log) in this folder.",
    )
    sheet.router.open(files)


def paste_run(sheet: Any) -> None:
    """Fill the sheet from the clipboard, which is what a phone's terminal gives."""
    from kivy.core.clipboard import Clipboard

    text = Clipboard.paste() or ""
    sheet.session.attempt(lambda: _fill(sheet, read_run_text(text)))


def _fill(sheet: Any, facts: RunFacts) -> None:
    texts = filled_texts(sheet.session, facts, sheet.state.texts)
    if _another_run(sheet.state.texts, facts):
        sheet.session.say("This is another run: its values took the place of the earlier ones.")
    sheet.put_all(texts)


def filled_texts(session: Session, facts: RunFacts, before: Texts) -> Texts:
    """The sheet's texts from a file; those of an earlier part of the same run stay."""
    texts: Texts = {}
    other = _another_run(before, facts)
    if other:
        texts = dict.fromkeys((*FILLED, TIME, HOST, PRINTS, FILES), "")
    for name, field in FILLED.items():
        value = getattr(facts, field)
        if value is not None:
            texts[name] = number(value, 2).replace("−", "-")
    kept = {} if other else before
    times = [time for time in (_time(kept), facts.time_utc) if time is not None]
    if times:
        texts[TIME] = min(times).isoformat()
    for name, words in ((PRINTS, facts.prints), (FILES, facts.files)):
        texts[name] = "\n".join(dict.fromkeys((*_lines(kept, name), *words)))
    if facts.streams is not None:
        texts["streams"] = facts.streams.value
        texts[HOST] = facts.host
        texts["server"] = town_of(session.notebook, facts.host)
    return texts


def told_of_file(session: Session, texts: Texts) -> tuple[Told, ...]:
    """Which files filled the sheet, when the run was made, and what is doubtful about that."""
    files = _lines(texts, FILES)
    if not files:
        return ()
    time, survey = _time(texts), session.survey
    zone = survey.time_zone if survey else "UTC"
    when = ""
    if time is not None:
        when = joined([day_text(time.astimezone(ZoneInfo(zone)).date()), clock_text(time, zone)])
    return (Told(", ".join(files), when or "It tells no time: now is taken.",
                 _doubt(session, time)),)  # fmt: skip


def run_time(texts: Texts) -> datetime | None:
    """When the run was made by its file; None for one that was typed."""
    return _time(texts)


def remember_file(session: Session, texts: Texts, run_id: str) -> None:
    """After saving: the same file is known from now on, and in which town its server stands."""
    keep_prints(session.notebook, dict.fromkeys(_lines(texts, PRINTS), run_id))
    keep_town(session.notebook, texts.get(HOST, ""), texts.get("server", "").strip())


def _doubt(session: Session, time: datetime | None) -> str:
    stop, survey = session.stop, session.survey
    if time is None or stop is None or survey is None:
        return ""
    stops: Sequence[Stop] = session.notebook.all(Stop, survey_id=survey.id)
    place = sort_run(stops, {survey.id: ZoneInfo(survey.time_zone)}, time)
    if place.stop is None:
        return "It was made on another day than this survey."
    if place.stop.id != stop.id:
        return f"By its time it belongs to stop {place.stop.number}."
    return place.doubt


def _another_run(before: Texts, facts: RunFacts) -> bool:
    """Whether the sheet was filled from a run too far away in time to be the same."""
    time = _time(before)
    return time is not None and facts.time_utc is not None and abs(time - facts.time_utc) > TOGETHER


def _time(texts: Texts) -> datetime | None:
    text = texts.get(TIME, "")
    return datetime.fromisoformat(text).astimezone(UTC) if text else None


def _lines(texts: Texts, name: str) -> list[str]:
    return [line for line in texts.get(name, "").split("\n") if line]
