"""`surveyapp import` with results of iperf3 and output of ping: to stops, once and only once."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.model import Device, SpeedRun, Stop, Streams, Survey
from surveyapp.store.notebook import Notebook
from tests.exchange.test_ping_text import LINUX

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A notebook of three stops, 20 minutes apart, and two phones."""
    made = tmp_path / "walk.notebook"
    survey = Survey(title="Harbour", time_zone="Europe/Helsinki")
    with Notebook.create(made) as notebook:
        stops = [
            Stop(survey_id=survey.id, number=n, time_utc=NOON + timedelta(minutes=20 * n))
            for n in (1, 2, 3)
        ]
        notebook.save(survey, *stops, Device(label="Phone A"), Device(label="Phone B"))
    return made


def iperf(folder: Path, name: str, minutes: float, mbps: float, *, reverse: bool) -> Path:
    """A result as iperf3 writes it, cut to the members that count."""
    when = (NOON + timedelta(minutes=minutes)).timestamp()
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(
        json.dumps({
            "start": {
                "version": "iperf 3.12",
                "timestamp": {"timesecs": int(when)},
                "connecting_to": {"host": "speed.example"},
                "test_start": {"protocol": "TCP", "num_streams": 4, "reverse": int(reverse)},
            },
            "end": {
                "sum_sent": {"bits_per_second": mbps * 1e6, "retransmits": 7},
                "sum_received": {"bits_per_second": mbps * 1e6, "seconds": 10.0},
            },
        })
    )  # fmt: skip
    return folder / name


def ping(folder: Path, name: str, minutes: float) -> Path:
    """Output of ping, its file written so long after noon."""
    (folder / name).write_text(LINUX)
    when = (NOON + timedelta(minutes=minutes)).timestamp()
    os.utime(folder / name, (when, when))
    return folder / name


def runs(path: Path) -> list[SpeedRun]:
    """The runs of a notebook."""
    with Notebook.open(path) as notebook:
        return notebook.all(SpeedRun)


def test_a_folder_of_results_comes_in_once_and_says_why_where(
    path: Path, answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """Down, up and ping of stop 2 are one run with its reason; again, and nothing is new."""
    folder = tmp_path / "results"
    iperf(folder, "down.json", 43, 612.0, reverse=True)
    iperf(folder, "up.json", 44, 48.0, reverse=False)
    ping(folder, "ping.txt", 46)
    (folder / "notes.txt").write_text("windy")
    first = answer("import", path, folder, "--device", "phone a")
    again = answer("import", path, folder, "--device", "Phone A")
    alone = answer("import", path, folder / "up.json", "--device", "Phone A")
    (run,) = runs(path)

    assert [one["new"] for one in first["files"]] == [1]
    assert "stop 2 of 'Harbour': made 3 min after stop 2 began" in first["files"][0]["notes"][0]
    assert "1 other file was passed over" in first["passed_over"][0]
    assert [(one["new"], one["known"]) for one in again["files"]] == [(0, 1)]
    assert [(one["new"], one["known"]) for one in alone["files"]] == [(0, 1)]
    assert (run.down_mbps, run.up_mbps, run.ping_ms) == (612.0, 48.0, 18.0)
    assert (run.streams, run.retransmits, run.loss_pct) == (Streams.MANY, 7, 20.0)
    assert run.time_utc == NOON + timedelta(minutes=43)


def test_the_other_direction_joins_the_run_that_is_there(
    path: Path, answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """One file today, the other tomorrow: one run, changed; undo takes the second back."""
    down = iperf(tmp_path, "down.json", 43, 612.0, reverse=True)
    up = iperf(tmp_path, "up.json", 44, 48.0, reverse=False)
    answer("import", path, down, "--device", "Phone A")
    told = answer("import", path, up, "--device", "Phone A")["files"][0]
    other = answer("import", path, up, "--device", "Phone B")["files"][0]

    assert (told["new"], told["changed"]) == (0, 1)
    assert (other["new"], other["changed"]) == (1, 0)
    assert [(run.down_mbps, run.up_mbps) for run in runs(path)] == [(612.0, 48.0), (None, 48.0)]


def test_a_named_stop_stands_before_the_clock(
    path: Path, answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """A run of another day goes where it was sent; without a name it is left out and told."""
    file = iperf(tmp_path, "late.json", 3 * 24 * 60, 612.0, reverse=True)
    lost = answer("import", path, file, "--device", "Phone A")["files"][0]
    sent = answer("import", path, file, "--device", "Phone A", "--stop", 3)["files"][0]
    with Notebook.open(path) as notebook:
        (run,) = notebook.all(SpeedRun)
        number = notebook.get(Stop, run.stop_id).number

    assert (lost["new"], lost["known"]) == (0, 0)
    assert lost["problems"] == ["no stop was made on 2026-05-07: name its stop with --stop"]
    assert (sent["new"], number) == (1, 3)


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        ((), "Say with --device which phone made the runs; the notebook has: Phone A, Phone B."),
        (("--device", "Phone C"), "no device named 'Phone C'"),
        (("--device", "Phone A", "--stop", "9"), "has no stop 9"),
    ],
)
def test_what_was_not_said_is_asked_for_and_nothing_is_kept(
    path: Path, run: Callable[..., Result], tmp_path: Path, extra: tuple[str, ...], says: str
) -> None:
    """Two phones and no name; a phone or a stop that is not there."""
    file = iperf(tmp_path, "down.json", 43, 612.0, reverse=True)
    result = run("import", path, file, *extra)

    assert result.exit_code == 2
    assert says in result.stderr
    assert runs(path) == []


def test_an_empty_folder_and_options_for_nothing_are_refused(
    path: Path, run: Callable[..., Result], tmp_path: Path
) -> None:
    """Each in one sentence."""
    (tmp_path / "none").mkdir()
    leads = tmp_path / "leads.csv"
    leads.write_text("name,lat,lon\nQuay,60.1,24.9\n")

    assert "holds no picture" in run("import", path, tmp_path / "none").stderr
    assert "no file holds any" in run("import", path, leads, "--device", "Phone A").stderr
    assert "no file holds any" in run("import", path, leads, "--stop", "1").stderr
