"""Result files of a real iperf3 on this machine's loopback, and damaged ones."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.iperf3_json import read_iperf3
from surveyapp.model import Streams

a_tenth_of_a_mbps = 0.1


def run_iperf3(folder: Path, *options: str) -> Path:
    """One run of a second against a server of our own; gives the result file."""
    if shutil.which("iperf3") is None:
        pytest.skip("needs iperf3")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    result = folder / "run.json"
    server = subprocess.Popen(
        ["iperf3", "--server", "--one-off", "--forceflush", "--port", port],
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert server.stdout is not None
        assert any("listening" in line for line in server.stdout)
        done = subprocess.run(
            ["iperf3", "--client", "127.0.0.1", "--port", port, "--time", "1", "--json", *options],
            capture_output=True, check=True, timeout=30,
        )  # fmt: skip
        server.communicate(timeout=30)
    finally:
        server.kill()
        server.wait()
    result.write_bytes(done.stdout)
    return result


def test_an_upload_is_what_the_server_received(tmp_path: Path) -> None:
    """Without options the client sends: `up` is filled, paced here at 40 Mbit/s."""
    path = run_iperf3(tmp_path, "--bitrate", "40M")

    result = read_iperf3(path)

    assert result.up_mbps == pytest.approx(40.0, rel=0.1)
    assert result.down_mbps is None
    assert (result.server, result.protocol, result.streams) == ("127.0.0.1", "TCP", Streams.ONE)
    assert result.seconds == pytest.approx(1.0, abs=0.3)
    assert result.retransmits is not None
    assert abs(result.time_utc - datetime.now(UTC)) < timedelta(minutes=1)


def test_a_reverse_udp_run_gives_download_jitter_and_loss(tmp_path: Path) -> None:
    """`--reverse` turns the run round; only UDP measures jitter and loss."""
    result = read_iperf3(run_iperf3(tmp_path, "--udp", "--bitrate", "5M", "--reverse"))

    assert result.down_mbps == pytest.approx(5.0, rel=0.2)
    assert result.up_mbps is None
    assert result.jitter_ms is not None
    assert result.loss_pct == pytest.approx(0.0, abs=5.0)


def test_both_directions_and_several_streams_come_as_one_run(tmp_path: Path) -> None:
    """`--bidir` fills both directions; each stream is paced, so the sum is known."""
    path = run_iperf3(tmp_path, "--bidir", "--parallel", "2", "--bitrate", "10M")

    run = read_iperf3(path).speed_run(stop_id="stop", device_id="phone")

    end = json.loads(path.read_text())["end"]
    assert run.up_mbps == pytest.approx(20.0, rel=0.15)
    assert run.down_mbps == pytest.approx(
        end["sum_received_bidir_reverse"]["bits_per_second"] / 1e6, abs=a_tenth_of_a_mbps
    )
    assert run.streams is Streams.MANY
    assert (run.stop_id, run.device_id, run.server_place) == ("stop", "phone", "127.0.0.1")


def test_a_run_that_found_no_server_says_so(tmp_path: Path) -> None:
    """iperf3 writes a file all the same; its own words are passed on."""
    if shutil.which("iperf3") is None:
        pytest.skip("needs iperf3")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        done = subprocess.run(
            ["iperf3", "-c", "127.0.0.1", "-p", str(probe.getsockname()[1]), "--json"],
            capture_output=True, check=False, timeout=30,
        )  # fmt: skip
    path = tmp_path / "failed.json"
    path.write_bytes(done.stdout)

    with pytest.raises(FormatError, match=r"a run that failed: .*connect"):
        read_iperf3(path)


START = '"start": {"timestamp": {"timesecs": 1780000000}, "test_start": {"protocol": "TCP"}}'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{}", "no result of iperf3"),
        ("[]", "no object"),
        ('{"start": 7, "end": []}', "no result of iperf3"),
        ("{" + START + ', "end": {}}', "stopped before its end"),
        ("{" + START + ', "end": {"sum_received": {"bits_per_second": "x"}}}', "stopped before"),
        ("{" + START + ', "end": {"sum_received": {"bits_per_second": -1}}}', "stopped before"),
        ("{" + START + ', "end": {"sum_received": {"bits_per_second": NaN}}}', "no number in JSON"),
        (
            '{"start": {"test_start": {"reverse": 0}}, '
            '"end": {"sum_received": {"bits_per_second": 1}}}',
            "no usable time",
        ),
        ('{"start": {', "no valid JSON"),
    ],
)
def test_what_is_no_whole_result_is_refused(tmp_path: Path, text: str, says: str) -> None:
    """One sentence that names the file and the fault."""
    path = tmp_path / "run.json"
    path.write_text(text)

    with pytest.raises(FormatError) as caught:
        read_iperf3(path)

    assert says in str(caught.value)
    assert str(path) in str(caught.value)
