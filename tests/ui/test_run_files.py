"""Results of iperf3 and ping in the speed run's sheet, from a file and pasted, by touch."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from kivy.core.clipboard import Clipboard

from surveyapp.model import SpeedRun, Streams
from tests.cli.test_import_runs import NOON, iperf
from tests.exchange.test_ping_text import LINUX
from tests.ui import filled, harness
from tests.ui.harness import Pilot

AT_STOP_3 = filled.NOW + timedelta(minutes=34)


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook, at its third stop."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    yield running
    harness.stop(running)


def minutes(moment: datetime) -> float:
    """So long after noon of the day the results count from."""
    return (moment - NOON) / timedelta(minutes=1)


def test_two_files_and_pasted_ping_fill_one_run_for_review(full: Pilot, tmp_path: Path) -> None:
    """Each value stands in its field before Save; time, retransmits and town come along."""
    folder = tmp_path / "results"
    iperf(folder, "down.json", minutes(AT_STOP_3), 612.34, reverse=True)
    iperf(folder, "up.json", minutes(AT_STOP_3) + 1, 48.0, reverse=False)
    notebook = full.session.notebook
    notebook.keep_setting("last_folder", str(folder))
    before = {run.id for run in notebook.all(SpeedRun)}
    full.touch("Speed run")
    for name in ("down.json", "up.json"):
        full.touch("From a file")
        full.touch(name)
    Clipboard.copy(LINUX)
    full.touch("Paste")
    wanted = ("612.34 Mbit/s", "48 Mbit/s", "18 ms", "3 ms", "20 %", "7 segments")
    unseen = [text for text in wanted if not full.says(text)]
    full.touch("Server at")
    full.router.sheets[-1].put("server", "turk")
    harness.frames(4)
    nearest = [text for text in full.texts() if " km" in text and ", " in text]
    assert nearest[0].startswith("Turku, FI · 15")  # Helsinki to Turku: 150 km (common knowledge)
    full.touch("Turku, FI")
    assert unseen == []
    assert full.says("down.json, up.json")
    assert full.says("13:04")
    full.touch("Save")
    (run,) = (run for run in notebook.all(SpeedRun) if run.id not in before)

    assert (run.down_mbps, run.up_mbps, run.ping_ms, run.jitter_ms) == (612.34, 48.0, 18.0, 3.0)
    assert (run.loss_pct, run.retransmits, run.streams) == (20.0, 7, Streams.MANY)
    assert run.time_utc == AT_STOP_3
    assert notebook.setting("server_towns") == {"speed.example": "Turku, FI"}
    assert set(notebook.setting("run_prints").values()) == {run.id}


def test_a_run_of_another_time_is_doubted_and_other_text_refused(
    full: Pilot, tmp_path: Path
) -> None:
    """The sheet says to which stop it belongs by its time; a later run takes its place."""
    notebook = full.session.notebook
    early = iperf(tmp_path, "a.json", minutes(filled.NOW) + 12, 100.0, reverse=True)
    late = iperf(tmp_path, "b.json", minutes(filled.NOW) + 60 * 24 * 9, 48.0, reverse=False)
    full.touch("Speed run")
    Clipboard.copy("down 1480")
    full.touch("Paste")
    assert full.says("The pasted text is neither a result of iperf3 --json nor output of ping.")
    Clipboard.copy(early.read_text())
    full.touch("Paste")
    assert full.says("By its time it belongs to stop 1.")
    Clipboard.copy(late.read_text())
    full.touch("Paste")
    texts = full.router.sheets[-1].state.texts
    assert full.says("It was made on another day than this survey.")
    assert (texts["down"], texts["up"]) == ("", "48")
    (draft,) = notebook.drafts()

    assert draft.fields["run_time"].startswith("2026-06-19")
    assert datetime.fromisoformat(draft.fields["run_time"]).tzinfo == UTC
