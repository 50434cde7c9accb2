"""The speed run sheet: one throughput test on one phone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from surveyapp.model import Reading, Row, SpeedRun, Streams
from surveyapp.ui.entries.devices import device_fields, device_in_turn, device_of
from surveyapp.ui.entries.earlier import runs_before
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, Told, amount, chips, choices_of, plain, whole
from surveyapp.ui.entries.remaining import ONE_LINE_CHOICE, remaining_fields, remaining_rows
from surveyapp.ui.entries.run_file import (
    FROM_FILE,
    PASTE,
    RETRANSMITS,
    choose_run_file,
    paste_run,
    remember_file,
    retransmit_fields,
    run_time,
    told_of_file,
)
from surveyapp.ui.server_places import offered_towns, server_note, server_position
from surveyapp.ui.session import Session
from surveyapp.ui.words import clock_text, joined, rates_text

ALONE = ""
SERVER_TYPED = "server_typed"
VALUES = {
    "down": "down_mbps",
    "up": "up_mbps",
    "ping": "ping_ms",
    "jitter": "jitter_ms",
    "loss": "loss_pct",
}


class SpeedRunForm(Form):
    """Phone and five values on the path; server, streams and company a tap away."""

    name = "speed_run"
    title = "Speed run"
    row_kind = SpeedRun
    main = "down"

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The server of the last run is taken over; it can be changed."""
        earlier = runs_before(session, texts)
        places = _places(session, texts, earlier)
        server = Field(
            name="server", label="Server at", kind=Kind.TEXT, suggestions=places, on_path=False,
            hint="Town of the test server",
        )  # fmt: skip
        return (
            *device_fields(session, texts),
            *(_with_chips(field, earlier) for field in _MEASURED),
            *retransmit_fields(texts),
            server,
            _STREAMS,
            _together(session),
            *remaining_fields(texts),
        )

    def next_device(self, session: Session, texts: Texts) -> str:
        """Phones take turns; with one alone its next run follows."""
        return device_in_turn(session, SpeedRun, also=texts.get("device", ""))

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """One line instead of the pad; what iperf3 or ping wrote, from a file or pasted."""
        return (ONE_LINE_CHOICE, FROM_FILE, PASTE)

    def act(self, sheet: Any, action: str) -> None:
        """Open the one line or the list of files, or take the clipboard."""
        if action == FROM_FILE.value:
            choose_run_file(sheet)
        elif action == PASTE.value:
            paste_run(sheet)
        else:
            sheet.router.open_entry("one_line")

    def told(self, session: Session, texts: Texts) -> tuple[Told, ...]:
        """Which file filled it, and when that run was made."""
        return told_of_file(session, texts)

    def start(self, session: Session) -> Texts:
        """The phone whose turn it is; server and streams as they were last."""
        last = session.notebook.newest(SpeedRun, 1)
        before = last[0] if last else None
        return {
            "device": device_in_turn(session, SpeedRun),
            "server": before.server_place if before else "",
            "streams": (before.streams if before else Streams.MANY).value,
            "together": ALONE,
        }

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """A server that was typed is looked for among the towns."""
        return {SERVER_TYPED: texts["server"]} if name == "server" else {}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """How far away the server is."""
        return server_note(session, texts.get("server", "")) if name == "server" else ""

    def texts_of(self, session: Session, row: SpeedRun) -> Texts:
        """The run as it was typed."""
        values = {name: plain(getattr(row, field)) for name, field in VALUES.items()}
        return {
            **values,
            "device": row.device_id,
            "server": row.server_place,
            "streams": row.streams.value,
            "together": row.together_with or ALONE,
            RETRANSMITS: plain(row.retransmits),
        }

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Keep the run; its file is known from then on, and the town of its server."""
        kept = self.rows(session, texts, row)
        session.save(*kept, what=self.what(row), finished=draft)
        run = next(one for one in kept if isinstance(one, SpeedRun))
        remember_file(session, texts, run.id)

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """The run, hung on the phone's last reading at this stop."""
        device_id, new = device_of(texts)
        base = row or SpeedRun(
            stop_id=session.need_stop().id, device_id=device_id,
            time_utc=run_time(texts) or session.clock(),
        )  # fmt: skip
        values = {field: amount(texts, name) for name, field in VALUES.items()}
        place = texts.get("server", "").strip()
        at = server_position(session.notebook, place) or (None, None)
        run = replace(
            base,
            device_id=device_id,
            reading_id=_reading_of(session, base.stop_id, device_id),
            server_place=place,
            streams=Streams(texts.get("streams") or Streams.MANY),
            together_with=texts.get("together") or None,
            server_lat_deg=at[0],
            server_lon_deg=at[1],
            retransmits=whole(texts, RETRANSMITS),
            **values,
        )
        return (*new, run, *remaining_rows(texts, run))


_MEASURED = (
    Field(name="down", label="Down", unit="Mbit/s", decimals=1, low=0, high=20_000),
    Field(name="up", label="Up", unit="Mbit/s", decimals=1, low=0, high=20_000),
    Field(name="ping", label="Ping", unit="ms", decimals=1, low=0, high=10_000),
    Field(name="jitter", label="Jitter", unit="ms", decimals=1, low=0, high=10_000),
    Field(name="loss", label="Loss", unit="%", decimals=1, low=0, high=100),
)
REPEATED = ("ping", "jitter", "loss")  # come again to the unit; rates hardly ever do
_STREAMS = Field(
    name="streams",
    label="Streams",
    kind=Kind.CHOICE,
    choices=choices_of(Streams, {"many": "Many at once", "one": "One"}),
    on_path=False,
)


def _together(session: Session) -> Field:
    """Runs of this stop that another phone may have made at the same time."""
    runs = session.scene.speed_runs if session.scene else ()
    labels = {device.id: device.label for device in session.devices}
    zone = session.survey.time_zone if session.survey else "UTC"
    others = tuple(
        Choice(
            value=run.id,
            label=joined(
                [labels.get(run.device_id, ""), rates_text(run), clock_text(run.time_utc, zone)]
            ),
        )
        for run in reversed(runs)
    )
    alone = Choice(value=ALONE, label="Alone")
    return Field(
        name="together", label="At the same time as", kind=Kind.CHOICE,
        choices=(alone, *others), on_path=False,
    )  # fmt: skip


def _reading_of(session: Session, stop_id: str, device_id: str) -> str | None:
    last = session.notebook.newest(Reading, 1, stop_id=stop_id, device_id=device_id)
    return last[0].id if last else None


def _with_chips(field: Field, earlier: Sequence[SpeedRun]) -> Field:
    """A value that often comes again is offered as it was."""
    if field.name not in REPEATED:
        return field
    values = (getattr(run, VALUES[field.name]) for run in earlier)
    return replace(field, suggestions=chips(values))


def _places(session: Session, texts: Texts, earlier: Sequence[SpeedRun]) -> tuple[Choice, ...]:
    """Towns that begin as was typed; servers of earlier runs while nothing was."""
    typed = texts.get(SERVER_TYPED, "")
    if typed and typed == texts.get("server"):
        return tuple(Choice(value=town, label=told) for town, told in offered_towns(session, typed))
    return chips(run.server_place for run in earlier)
