"""What the system's own ping command prints, as ping, jitter and loss.

Reads the wording of iputils (Linux, Android), BSD and macOS, busybox and English Windows.
Definitions: ping is the mean round trip of the replies; jitter the mean absolute difference
between round trips that follow one another (the delay variation of RFC 3393 between
consecutive packets, averaged), not the standard deviation some of them print; loss is the
share of requests without a reply.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from statistics import fmean

from surveyapp.errors import FormatError

MOST_CHARACTERS = 2_000_000
_REPLY = re.compile(r"\btime[=<]([0-9]{1,7}(?:[.,][0-9]{1,6})?) ?ms\b")
_SEQUENCE = re.compile(r"\b(?:icmp_)?seq=([0-9]{1,9})\b")
_TOTALS = re.compile(
    r"([0-9]{1,9}) packets transmitted, ([0-9]{1,9}) (?:packets )?received"
    r"|Sent = ([0-9]{1,9}), Received = ([0-9]{1,9})"
)
_MEAN = re.compile(r"min/avg/max(?:/\w+)? = [0-9.]{1,12}/([0-9]{1,7}(?:\.[0-9]{1,6})?)/")
_STAMP = re.compile(r"^\[([0-9]{1,11})(?:\.[0-9]{1,9})?\] ", re.MULTILINE)
_HOST = re.compile(r"(?:PING|Pinging) ([^\s:]{1,253})")


@dataclass(frozen=True, kw_only=True, slots=True)
class PingResult:
    """What one ping session measured; None where the text does not tell it.

    Only `ping -D` prints times: `time_utc` is that of its first reply.
    """

    host: str
    sent: int | None
    received: int
    ping_ms: float | None
    jitter_ms: float | None
    loss_pct: float | None
    time_utc: datetime | None = None


def read_ping_text(text: str) -> PingResult:
    """The session in what ping printed; raises FormatError for any other text."""
    if len(text) > MOST_CHARACTERS:
        raise FormatError("The text is too long to be the output of one ping session.")
    replies = list(_replies(text))
    totals, mean, host = _TOTALS.search(text), _MEAN.search(text), _HOST.search(text)
    if not replies and totals is None:
        raise FormatError(
            "The text is no output of ping: it has neither replies ('time=12.3 ms') "
            "nor totals ('4 packets transmitted, 4 received')."
        )
    stamp = _STAMP.search(text)
    trips_ms = [trip for _, trip in replies]
    sent, received = _counts(totals, len(replies))
    return PingResult(
        host=host[1] if host else "",
        sent=sent,
        received=received,
        ping_ms=fmean(trips_ms) if trips_ms else float(mean[1]) if mean else None,
        jitter_ms=_jitter_ms(replies),
        loss_pct=100.0 * (sent - received) / sent if sent else None,
        time_utc=datetime.fromtimestamp(int(stamp[1]), UTC) if stamp else None,
    )


def _replies(text: str) -> Iterator[tuple[int | None, float]]:
    """Sequence number, if printed, and round trip in ms of each reply.

    'time<1ms' counts as 1 ms; a second copy of a reply (marked DUP!) says nothing new.
    """
    for line in text.splitlines():
        trip, sequence = _REPLY.search(line), _SEQUENCE.search(line)
        if trip and "DUP!" not in line:
            yield int(sequence[1]) if sequence else None, float(trip[1].replace(",", "."))


def _counts(totals: re.Match[str] | None, replies: int) -> tuple[int | None, int]:
    if totals is None:
        return None, replies
    sent, received = (int(group) for group in totals.groups() if group is not None)
    if received > sent:
        raise FormatError(f"Ping cannot receive {received} replies to {sent} requests.")
    return sent, received


def _jitter_ms(replies: list[tuple[int | None, float]]) -> float | None:
    """Mean absolute difference of neighbours; a lost packet between them parts them."""
    steps = [
        abs(trip_b - trip_a)
        for (number_a, trip_a), (number_b, trip_b) in pairwise(replies)
        if number_a is None or number_b is None or number_b - number_a == 1
    ]
    return fmean(steps) if steps else None
