"""The output of ping on several systems; a real one where it is installed."""

from __future__ import annotations

import re
import shutil
import subprocess

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.ping_text import PingResult, read_ping_text

half_a_microsecond = 0.0005

# Wordings of each system from memory; host names and figures are invented.
LINUX = """PING speed.example (192.0.2.7) 56(84) bytes of data.
64 bytes from 192.0.2.7 (192.0.2.7): icmp_seq=1 ttl=57 time=17.0 ms
64 bytes from 192.0.2.7 (192.0.2.7): icmp_seq=2 ttl=57 time=21.0 ms
64 bytes from 192.0.2.7 (192.0.2.7): icmp_seq=2 ttl=57 time=21.9 ms (DUP!)
64 bytes from 192.0.2.7 (192.0.2.7): icmp_seq=4 ttl=57 time=16.0 ms
64 bytes from 192.0.2.7 (192.0.2.7): icmp_seq=5 ttl=57 time=18.0 ms

--- speed.example ping statistics ---
5 packets transmitted, 4 received, +1 duplicates, 20% packet loss, time 4005ms
rtt min/avg/max/mdev = 16.000/18.000/21.000/1.870 ms
"""
MACOS = """PING speed.example (192.0.2.7): 56 data bytes
64 bytes from 192.0.2.7: icmp_seq=0 ttl=57 time=17.000 ms
64 bytes from 192.0.2.7: icmp_seq=1 ttl=57 time=19.500 ms

--- speed.example ping statistics ---
2 packets transmitted, 2 packets received, 0.0% packet loss
round-trip min/avg/max/stddev = 17.000/18.250/19.500/1.250 ms
"""
WINDOWS = """Pinging speed.example [192.0.2.7] with 32 bytes of data:\r
Reply from 192.0.2.7: bytes=32 time=17ms TTL=57\r
Reply from 192.0.2.7: bytes=32 time<1ms TTL=57\r
Request timed out.\r
\r
Ping statistics for 192.0.2.7:\r
    Packets: Sent = 3, Received = 2, Lost = 1 (33% loss),\r
"""
QUIET = """PING speed.example (192.0.2.7): 56 data bytes

--- speed.example ping statistics ---
10 packets transmitted, 9 packets received, 10% packet loss
round-trip min/avg/max = 16.1/18.3/21.0 ms
"""
SILENT = """PING speed.example (192.0.2.7) 56(84) bytes of data.

--- speed.example ping statistics ---
4 packets transmitted, 0 received, 100% packet loss, time 3060ms
"""


@pytest.mark.parametrize(
    ("text", "sent", "received", "ping_ms", "jitter_ms", "loss_pct"),
    [
        (LINUX, 5, 4, 18.0, 3.0, 20.0),  # |21-17| and |18-16|; 2 to 4 is parted by a loss
        (MACOS, 2, 2, 18.25, 2.5, 0.0),
        (WINDOWS, 3, 2, 9.0, 16.0, 100.0 / 3.0),
        (QUIET, 10, 9, 18.3, None, 10.0),
        (SILENT, 4, 0, None, None, 100.0),
    ],
)
def test_each_systems_wording_is_read(
    text: str, sent: int, received: int, ping_ms: float, jitter_ms: float, loss_pct: float
) -> None:
    """Mean round trip, mean step between neighbours, and share of lost requests."""
    assert read_ping_text(text) == PingResult(
        host="speed.example",
        sent=sent,
        received=received,
        ping_ms=ping_ms,
        jitter_ms=jitter_ms,
        loss_pct=loss_pct,
    )


def test_a_session_cut_short_gives_no_loss() -> None:
    """Without the totals nobody knows how many requests were still on their way."""
    result = read_ping_text(LINUX.split("---")[0])

    assert result.loss_pct is None
    assert result.sent is None
    assert result.ping_ms == 18.0


@pytest.mark.parametrize("text", ["", "hello", "time is 12 ms", "1480/96 17ms 2.4 0%"])
def test_other_text_is_refused(text: str) -> None:
    """A sentence says what the output of ping looks like."""
    with pytest.raises(FormatError, match="no output of ping"):
        read_ping_text(text)


def test_more_replies_than_requests_are_refused() -> None:
    """Totals that cannot be are not turned into a negative loss."""
    with pytest.raises(FormatError, match="cannot receive 9 replies to 4 requests"):
        read_ping_text("4 packets transmitted, 9 received")


@pytest.mark.skipif(shutil.which("ping") is None, reason="needs the system's ping")
def test_a_real_ping_of_loopback_agrees_with_its_own_summary() -> None:
    """The mean that ping prints itself is the oracle."""
    done = subprocess.run(
        ["ping", "-c", "4", "-i", "0.2", "127.0.0.1"],
        capture_output=True, text=True, check=False, timeout=30,
    )  # fmt: skip
    if done.returncode != 0:
        pytest.skip("ping may not be used here")
    printed = re.search(r"= [0-9.]+/([0-9.]+)/", done.stdout)

    result = read_ping_text(done.stdout)

    assert printed is not None
    assert result.ping_ms == pytest.approx(float(printed[1]), abs=2 * half_a_microsecond)
    assert (result.sent, result.received, result.loss_pct) == (4, 4, 0.0)
