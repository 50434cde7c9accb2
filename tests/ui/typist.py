"""A scripted surveyor who types without a window, in processes that are there to be killed.

`python -m tests.ui.typist`: for each notebook's path on stdin a child process is forked that
types into it; it tells its process id, then a number after each action that was acknowledged
as on disk. When a child has ended, however, 'ended' is said. What a child does is always the
same, so whoever kills it knows what must be there after each action.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from surveyapp.model import Device, SpeedRun, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.entries import form_named
from surveyapp.ui.entries.state import EntryState, state_of
from surveyapp.ui.session import Session

NOW = datetime(2026, 6, 10, 9, 30, tzinfo=UTC)
RUNS = (
    ("1480", "96", "17", "2.4", "0"), ("612.5", "48", "21", "3", "0.5"),
    ("98", "4", "44", "12", "2"),
)  # fmt: skip
FIELDS = ("down", "up", "ping", "jitter", "loss")
Snapshot = tuple[tuple[tuple[float | None, ...], ...], tuple[tuple[str, ...], ...]]


def write_notebook(path: Path) -> None:
    """A notebook with one stop and one phone."""
    with Notebook.create(path, clock=lambda: NOW) as notebook:
        survey = Survey(title="Kills")
        stop = Stop(survey_id=survey.id, number=1, time_utc=NOW)
        notebook.save(survey, stop, Device(label="Phone A"))


def typing(session: Session) -> Iterator[None]:
    """Enter speed runs for ever, key by key; each step returns when it is on disk."""
    nth = 0
    while True:
        state = state_of(form_named("speed_run"), session, None, {})
        yield from _typed(session, state, RUNS[nth % len(RUNS)])
        state.form.save(session, state.texts, None, state.draft())
        yield
        nth += 1


def _typed(session: Session, state: EntryState, values: tuple[str, ...]) -> Iterator[None]:
    for name, value in zip(FIELDS, values, strict=True):
        state.move_to(name)
        for key in value:
            state.press(key)
            session.notebook.keep_draft(state.draft())
            yield


def snapshot(notebook: Notebook) -> Snapshot:
    """What is on disk: the runs saved, and what stands in the half-typed sheets."""
    runs = [(r.down_mbps, r.up_mbps, r.ping_ms, r.jitter_ms, r.loss_pct)
            for r in sorted(notebook.all(SpeedRun), key=lambda run: run.created_utc)]  # fmt: skip
    drafts = [tuple(d.fields.get(name, "") for name in FIELDS) for d in notebook.drafts()]
    return tuple(sorted(runs, key=str)), tuple(drafts)


def type_and_tell(path: Path, told: int) -> None:
    """Type into the notebook until killed, and tell each action by its number."""
    os.write(told, f"{os.getpid()}\n".encode())
    with Notebook.open(path, clock=lambda: NOW) as notebook:
        for number, _ in enumerate(typing(Session(notebook, lambda: NOW)), start=1):
            os.write(told, f"{number}\n".encode())


def main() -> None:
    """Fork a typist for each path that is asked for; what it imports is there before."""
    form_named("speed_run")
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            type_and_tell(Path(line.strip()), 1)
        os.waitpid(child, 0)
        os.write(1, b"ended\n")


if __name__ == "__main__":
    main()
