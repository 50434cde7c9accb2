"""What measuring programs wrote of a speed run: iperf3's JSON and the system ping's output.

A run is often measured in parts: one file a direction, then a ping. Parts of one place in time
that do not contradict one another are one run; `runs_of` joins them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from surveyapp.errors import FormatError
from surveyapp.exchange.files import reading, refused, text_of
from surveyapp.exchange.iperf3_json import Iperf3Result, result_of
from surveyapp.exchange.json_text import MOST_BYTES, object_of
from surveyapp.exchange.ping_text import PingResult, read_ping_text
from surveyapp.model import Streams

TOGETHER = timedelta(minutes=10)  # parts of one run begin within this of its first; our choice
SUFFIXES = (".json", ".txt", ".log")
PASTED = Path("The pasted text")
MEASURED = ("down_mbps", "up_mbps", "ping_ms", "jitter_ms", "loss_pct", "retransmits")
SPREAD = ("jitter_ms", "loss_pct")
_HEAD_BYTES = 4_000
_FIRST_YEAR = 2000


@dataclass(frozen=True, kw_only=True, slots=True)
class RunFacts:
    """A run, or a part of one; None where nothing measured it.

    `prints` tells its parts from all others, by the SHA-256 of their text; `time_told` says
    where the time comes from when it is not the program's own. A `paced` part sent at a rate it
    was told (UDP): beside an unpaced one it adds jitter and loss only.
    """

    files: tuple[str, ...]
    prints: tuple[str, ...] = ()
    time_utc: datetime | None = None
    time_told: str = ""
    host: str = ""
    streams: Streams | None = None
    paced: bool = False
    down_mbps: float | None = None
    up_mbps: float | None = None
    ping_ms: float | None = None
    jitter_ms: float | None = None
    loss_pct: float | None = None
    retransmits: int | None = None

    @property
    def is_ping(self) -> bool:
        """Whether it has no throughput, only a round trip."""
        return self.down_mbps is None and self.up_mbps is None

    @property
    def measured(self) -> dict[str, Any]:
        """The values there are, by the names of a speed run's fields."""
        return {name: value for name in MEASURED if (value := getattr(self, name)) is not None}


def looks_like_run(path: Path) -> bool:
    """Whether a file may be a result of iperf3 or output of ping; only its head is read."""
    if path.suffix.lower() not in SUFFIXES:
        return False
    with reading(path), open(path, "rb") as file:
        head = file.read(_HEAD_BYTES)
    if path.suffix.lower() == ".json":
        return b'"start"' in head and (b"iperf" in head or b'"test_start"' in head)
    return any(mark in head for mark in (b"PING ", b"Pinging ", b"ping statistics"))


def read_run_file(path: Path) -> RunFacts:
    """The run in a file. Output of ping without times of its own has the file's time.

    Raises FormatError for a file that is neither, or tells of a run that failed.
    """
    with reading(path):
        text = text_of(path, MOST_BYTES)
        written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    found = read_run_text(text, path)
    if found.time_utc is None:
        found = replace(found, time_utc=written, time_told="by the time of its file")
    return found


def read_run_text(text: str, path: Path = PASTED) -> RunFacts:
    """The run in a text: results of iperf3 one after another, output of ping, or both.

    Raises FormatError where it is neither, or holds more than one run.
    """
    rest, parts = text, []
    for found, rest in _objects(text):  # noqa: B007  what stands behind the last one is ping's
        found_part = _of_iperf3(result_of(object_of(found, path), path), path)
        parts.append(replace(found_part, prints=(_print(found),)))
    if rest.strip() or not parts:
        parts.append(replace(_of_ping(_ping(rest, path), path), prints=(_print(rest),)))
    runs = runs_of(parts)
    if len(runs) > 1:
        raise refused(path, f"holds {len(runs)} runs: bring them in one by one")
    return replace(runs[0], files=(path.name,))


def runs_of(parts: Iterable[RunFacts]) -> tuple[RunFacts, ...]:
    """Parts joined to runs, in order of time; each keeps the time of its first part."""
    runs: list[RunFacts] = []
    # Unpaced before paced, throughput before ping: what the others add to is laid first
    for part in sorted(parts, key=lambda one: (one.is_ping, one.paced, _time_key(one))):
        for at in sorted(range(len(runs)), key=lambda at: _apart(runs[at], part)):
            joined = joined_run(runs[at], part)
            if joined is not None:
                runs[at] = joined
                break
        else:
            runs.append(part)
    return tuple(sorted(runs, key=_time_key))


def joined_run(run: RunFacts, part: RunFacts) -> RunFacts | None:
    """The run with what another part measured, or None where the two are different runs.

    Streams and segments sent again are those of the download where both ways were measured;
    jitter and loss of ping, which belong to its round trip, stand before those of a paced run.
    """
    if _apart(run, part) > TOGETHER or _other_server(run, part):
        return None
    values, leads = part.measured, part.is_ping or part.down_mbps is not None
    if part.paced and not run.paced and not run.is_ping:
        values = {name: values[name] for name in SPREAD if name in values}
        leads = False
    known = run.measured.keys() & values.keys()
    if known - {"retransmits", *(SPREAD if part.is_ping else ())} or (run.is_ping and part.is_ping):
        return None
    if not leads:
        values = {name: value for name, value in values.items() if name not in known}
    times = [time for time in (run.time_utc, part.time_utc) if time is not None]
    return replace(
        run,
        files=(*run.files, *part.files),
        prints=(*run.prints, *part.prints),
        time_utc=min(times, default=None),
        host=run.host or part.host,
        streams=(part.streams if leads else None) or run.streams or part.streams,
        **values,
    )


def _time_key(run: RunFacts) -> tuple[bool, float]:
    return run.time_utc is None, run.time_utc.timestamp() if run.time_utc else 0.0


def _apart(run: RunFacts, part: RunFacts) -> timedelta:
    if run.time_utc is None or part.time_utc is None:
        return timedelta()
    return abs(run.time_utc - part.time_utc)


def _other_server(run: RunFacts, part: RunFacts) -> bool:
    """Two throughput parts towards different servers; a ping may well go elsewhere by name."""
    pinged = run.is_ping or part.is_ping
    return not pinged and bool(run.host and part.host) and run.host != part.host


def _of_iperf3(result: Iperf3Result, path: Path) -> RunFacts:
    set_clock = result.time_utc.year >= _FIRST_YEAR
    return RunFacts(
        files=(path.name,),
        time_utc=result.time_utc if set_clock else None,
        host=result.server,
        streams=result.streams,
        paced=result.protocol == "UDP",
        down_mbps=result.down_mbps,
        up_mbps=result.up_mbps,
        jitter_ms=result.jitter_ms,
        loss_pct=result.loss_pct,
        retransmits=result.retransmits,
    )


def _of_ping(result: PingResult, path: Path) -> RunFacts:
    return RunFacts(
        files=(path.name,),
        time_utc=result.time_utc,
        host=result.host,
        ping_ms=result.ping_ms,
        jitter_ms=result.jitter_ms,
        loss_pct=result.loss_pct,
    )


def _print(text: str) -> str:
    return hashlib.sha256(text.strip().encode()).hexdigest()[:32]


def _ping(text: str, path: Path) -> PingResult:
    try:
        return read_ping_text(text)
    except FormatError as error:
        what = "is neither a result of iperf3 --json nor output of ping"
        if "packets transmitted" in text:
            raise refused(path, f"cannot be used: {str(error).rstrip('.')}") from error
        raise refused(path, what) from error


def _objects(text: str) -> Iterator[tuple[str, str]]:
    """Each JSON object at the head of a text, and what stands behind it."""
    decoder, rest = json.JSONDecoder(), text.lstrip("\ufeff \t\r\n")
    while rest.startswith("{"):
        try:
            _, end = decoder.raw_decode(rest)
        except (ValueError, RecursionError):
            end = len(rest)  # torn: `object_of` says where
        yield rest[:end], rest[end:]
        rest = rest[end:].lstrip()
