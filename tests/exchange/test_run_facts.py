"""Runs out of what iperf3 and ping wrote: real ones on this machine's loopback, joined."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.run_facts import RunFacts, looks_like_run, read_run_file, read_run_text
from surveyapp.exchange.run_facts import runs_of as joined
from surveyapp.model import Streams
from tests.exchange.test_iperf3_json import run_iperf3
from tests.exchange.test_ping_text import LINUX

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def part(minutes: float = 0.0, host: str = "speed.example", **values: object) -> RunFacts:
    """A part of a run, so long after noon."""
    when = NOON + timedelta(minutes=minutes)
    return RunFacts(files=(f"{minutes:g}",), time_utc=when, host=host, **values)  # type: ignore[arg-type]


UP = part(0.0, up_mbps=96.0, streams=Streams.ONE, retransmits=3)
DOWN = part(1.0, down_mbps=1480.0, streams=Streams.MANY, retransmits=40)
PACED = part(2.0, down_mbps=5.0, jitter_ms=0.4, loss_pct=0.1, streams=Streams.ONE, paced=True)
PING = part(3.0, host="192.0.2.7", ping_ms=17.0, jitter_ms=2.4, loss_pct=0.0)


def test_real_runs_of_both_directions_and_a_real_ping_are_one_run(tmp_path: Path) -> None:
    """Three files, in any order, give down, up, ping, jitter and loss of one run."""
    if shutil.which("ping") is None:
        pytest.skip("needs ping")
    (tmp_path / "b").mkdir()
    up = run_iperf3(tmp_path, "--bitrate", "40M")
    down = run_iperf3(tmp_path / "b", "--bitrate", "60M", "--reverse")
    files = [up, down, tmp_path / "ping.txt"]
    asked = ["ping", "-c", "3", "-i", "0.2", "127.0.0.1"]
    told = subprocess.run(asked, capture_output=True, check=False, timeout=20)
    if told.returncode != 0:
        pytest.skip("needs the right to ping")
    files[2].write_bytes(told.stdout)
    assert all(looks_like_run(file) for file in files)
    (run,) = joined(read_run_file(file) for file in reversed(files))
    pasted = read_run_text("\n".join(file.read_text() for file in files))

    assert run.up_mbps == pytest.approx(40.0, rel=0.1)
    assert run.down_mbps == pytest.approx(60.0, rel=0.1)
    assert 0.0 < (run.ping_ms or 0.0) < 50.0
    assert run.loss_pct == 0.0
    assert run.retransmits is not None
    assert pasted.measured == run.measured


def test_parts_of_one_time_are_one_run_and_the_download_leads() -> None:
    """Streams and segments sent again are the download's, jitter and loss the ping's."""
    (run,) = joined([PING, PACED, DOWN, UP])

    assert run.measured == {
        "down_mbps": 1480.0, "up_mbps": 96.0, "ping_ms": 17.0, "jitter_ms": 2.4, "loss_pct": 0.0,
        "retransmits": 40,
    }  # fmt: skip
    assert run.streams is Streams.MANY
    assert run.time_utc == NOON
    assert run.files == ("0", "1", "2", "3")


def test_a_paced_run_beside_another_adds_jitter_and_loss_only() -> None:
    """Its rate was told to it: 5 Mbit/s is no measure of what could have come."""
    (run,) = joined([PACED, DOWN])

    assert (run.down_mbps, run.jitter_ms, run.loss_pct) == (1480.0, 0.4, 0.1)


@pytest.mark.parametrize(
    "other",
    [
        part(1.0, down_mbps=900.0),  # the same direction again
        part(11.0, up_mbps=96.0),  # too long after
        part(1.0, up_mbps=96.0, host="other.example"),  # another server
    ],
)
def test_what_contradicts_is_a_run_of_its_own(other: RunFacts) -> None:
    """The same direction again, ten minutes later, another server."""
    assert len(joined([part(0.0, down_mbps=1480.0), other])) == 2


def test_two_downloads_each_find_their_own_upload() -> None:
    """A part goes to the run nearest in time."""
    first, second = joined([part(0.0, down_mbps=1.0), part(5.0, down_mbps=2.0),
                            part(6.0, up_mbps=20.0), part(1.0, up_mbps=10.0)])  # fmt: skip

    assert (first.down_mbps, first.up_mbps) == (1.0, 10.0)
    assert (second.down_mbps, second.up_mbps) == (2.0, 20.0)


def test_ping_has_the_time_of_its_file_unless_it_printed_one(tmp_path: Path) -> None:
    """`ping -D` stamps each line; otherwise the file's own time stands in, and is told."""
    plain, stamped = tmp_path / "plain.txt", tmp_path / "stamped.txt"
    plain.write_text(LINUX)
    os.utime(plain, (NOON.timestamp(), NOON.timestamp()))
    stamped.write_text(LINUX.replace("64 bytes", "[1780000000.358303] 64 bytes"))
    first, second = read_run_file(plain), read_run_file(stamped)

    assert (first.time_utc, first.time_told) == (NOON, "by the time of its file")
    assert (second.time_utc, second.time_told) == (datetime.fromtimestamp(1_780_000_000, UTC), "")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "neither a result of iperf3"),
        ("down 1480", "neither a result of iperf3"),
        ('{"start":', "no valid JSON"),
        ("3 packets transmitted, 5 received", "cannot receive 5 replies"),
    ],
)
def test_other_text_is_refused_in_one_sentence(text: str, says: str) -> None:
    """It says that it is the pasted text, and what was looked for."""
    with pytest.raises(FormatError, match=r"^The pasted text ") as caught:
        read_run_text(text)

    assert says in str(caught.value)


def test_two_runs_of_one_direction_in_one_text_are_refused(tmp_path: Path) -> None:
    """One sheet holds one run; nothing is chosen silently."""
    one = {"start": {"timestamp": {"timesecs": 1_780_000_000}, "test_start": {"protocol": "TCP"}},
           "end": {"sum_received": {"bits_per_second": 1e8}}}  # fmt: skip

    with pytest.raises(FormatError, match="holds 2 runs"):
        read_run_text(json.dumps(one) * 2)


def test_other_files_do_not_look_like_runs(tmp_path: Path) -> None:
    """A bundle of rows, a note and a picture are for other readers."""
    for name, text in (("a.json", '{"type": "x"}'), ("a.txt", "a note"), ("a.png", "PING ")):
        (tmp_path / name).write_text(text)

        assert not looks_like_run(tmp_path / name)
