"""Result files of iperf3 (`iperf3 --json`) as speed runs.

The phone ran the client. What counts is what arrived: `up` is what the server received,
`down` (`--reverse`) what the client received, and `--bidir` gives both at once. Member names
as iperf3 3.12 to 3.17 write them (seen in real files of 3.12).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from surveyapp.exchange.files import refused
from surveyapp.exchange.json_text import load_object
from surveyapp.model import SpeedRun, Streams

_FORWARD, _BACK = "sum_received", "sum_received_bidir_reverse"
_LAST_TIMESTAMP = 253_402_300_799  # end of the year 9999


@dataclass(frozen=True, kw_only=True, slots=True)
class Iperf3Result:
    """What one iperf3 run measured; None where the run did not measure it.

    `jitter_ms` (RFC 3550, smoothed interarrival jitter) and `loss_pct` come only from UDP
    runs, `retransmits` only from a TCP sender; the latter two are those of the direction
    towards the phone where both were run.
    """

    time_utc: datetime
    server: str
    protocol: str
    streams: Streams
    seconds: float
    down_mbps: float | None = None
    up_mbps: float | None = None
    jitter_ms: float | None = None
    loss_pct: float | None = None
    retransmits: int | None = None

    def speed_run(self, *, stop_id: str, device_id: str) -> SpeedRun:
        """The run as a row of the notebook; its server's place is the host's name."""
        return SpeedRun(
            stop_id=stop_id,
            device_id=device_id,
            time_utc=self.time_utc,
            down_mbps=self.down_mbps,
            up_mbps=self.up_mbps,
            jitter_ms=self.jitter_ms,
            loss_pct=self.loss_pct,
            server_place=self.server,
            streams=self.streams,
            retransmits=self.retransmits,
        )


def read_iperf3(path: Path) -> Iperf3Result:
    """The result in a file that `iperf3 --json` wrote.

    Raises FormatError for a file that is no such result, or one of a run that failed or was
    stopped before its end.
    """
    return result_of(load_object(path), path)


def result_of(document: Mapping[str, Any], path: Path) -> Iperf3Result:
    """The result in the JSON object of one run; `path` says where it comes from.

    Raises as `read_iperf3`.
    """
    start, end = _member(document, "start"), _member(document, "end")
    test = _member(start, "test_start")
    if "error" in document:
        raise refused(path, f"tells of a run that failed: {str(document['error'])[:200]}")
    if not test:
        raise refused(path, "is no result of iperf3 --json: it has no start.test_start")
    both_ways = _BACK in end
    forward, back = _member(end, _FORWARD), _member(end, _BACK)
    rate = _mbps(forward or _member(end, "sum"))
    if rate is None:
        raise refused(path, "tells of a run that was stopped before its end: run it again")
    to_phone = bool(_number(test.get("reverse"))) and not both_ways
    received = back if both_ways else forward or _member(end, "sum")
    sent = _member(end, "sum_sent_bidir_reverse" if both_ways else "sum_sent")
    return Iperf3Result(
        time_utc=_time(start, path),
        server=str(_member(start, "connecting_to").get("host", "")),
        protocol=str(test.get("protocol", "")),
        streams=Streams.MANY if (_number(test.get("num_streams")) or 1) > 1 else Streams.ONE,
        seconds=_number(received.get("seconds")) or 0.0,
        down_mbps=_mbps(back) if both_ways else rate if to_phone else None,
        up_mbps=None if to_phone else rate,
        jitter_ms=_number(received.get("jitter_ms")),
        loss_pct=_number(received.get("lost_percent")),
        retransmits=_whole(sent.get("retransmits")),
    )


def _member(parent: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """A member that is an object, or an empty one."""
    value = parent.get(name)
    return value if isinstance(value, dict) else {}


def _number(value: Any) -> float | None:
    """A finite number of at least 0; iperf3 writes flags as 0 and 1."""
    if isinstance(value, bool | int | float) and 0 <= value < math.inf:
        return float(value) if value < 1e18 else None
    return None


def _whole(value: Any) -> int | None:
    number = _number(value)
    return None if number is None else int(number)


def _mbps(total: Mapping[str, Any]) -> float | None:
    bits_per_second = _number(total.get("bits_per_second"))
    return None if bits_per_second is None else bits_per_second / 1e6


def _time(start: Mapping[str, Any], path: Path) -> datetime:
    seconds = _number(_member(start, "timestamp").get("timesecs"))
    if seconds is None or seconds > _LAST_TIMESTAMP:
        raise refused(path, "has no usable time (start.timestamp.timesecs)")
    return datetime.fromtimestamp(seconds, UTC)
