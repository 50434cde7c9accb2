"""A reading and a speed run written as one line, to see that `read_line` reads it back equal."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from surveyapp.exchange.one_line import Speeds
from surveyapp.model import Carrier, Mode, Streams

_MODE_WORDS = {Mode.NSA: "nsa", Mode.SA: "sa", Mode.LTE: "mode lte", Mode.OTHER: "mode other"}
_STREAM_WORDS = {Streams.ONE: "one stream", Streams.MANY: "many streams"}


def reading_line(mode: Mode | None, carriers: Iterable[Carrier]) -> str:
    """'nsa; primary nr n258 4x100 MHz rsrp -86 dBm; anchor lte B20 10 MHz'.

    A carrier without any value of its own is not written.
    """
    parts = [_MODE_WORDS[mode]] if mode is not None else []
    parts += [line for line in map(_carrier_line, carriers) if line]
    return "; ".join(parts)


def speeds_line(speeds: Speeds) -> str:
    """'down 1480 Mbit/s up 96 Mbit/s ping 17 ms jitter 2.4 ms loss 0 % server "Porvoo"'."""
    values = (
        ("down", speeds.down_mbps, "Mbit/s"),
        ("up", speeds.up_mbps, "Mbit/s"),
        ("ping", speeds.ping_ms, "ms"),
        ("jitter", speeds.jitter_ms, "ms"),
        ("loss", speeds.loss_pct, "%"),
    )
    parts = [f"{word} {_plain(value)} {unit}" for word, value, unit in values if value is not None]
    if speeds.streams is not None:
        parts.append(_STREAM_WORDS[speeds.streams])
    if speeds.server_place:
        place = speeds.server_place.replace('"', "'").replace("\n", " ")
        parts.append(f'server "{place}"')
    return " ".join(parts)


def _carrier_line(carrier: Carrier) -> str:
    parts = [carrier.band] if carrier.band else []
    if carrier.bandwidth_mhz is not None:
        parts.append(f"{carrier.count}x{_plain(carrier.bandwidth_mhz)} MHz")
    elif carrier.count != 1:
        parts.append(f"{carrier.count} carriers")
    values = (
        ("channel", carrier.channel, ""),
        ("frequency", carrier.mhz, " MHz"),
        ("pci", carrier.pci, ""),
        ("rsrp", carrier.rsrp_dbm, " dBm"),
        ("rsrq", carrier.rsrq_db, " dB"),
        ("sinr", carrier.sinr_db, " dB"),
    )
    for word, value, unit in values:
        if value is not None:
            sign = "+" if word in ("rsrp", "rsrq") and value > 0 else ""
            parts.append(f"{word} {sign}{_plain(value)}{unit}")
    return " ".join([carrier.role.value, carrier.rat.value.lower(), *parts]) if parts else ""


def _plain(value: float) -> str:
    """All digits, without an exponent and without a needless '.0'."""
    text = format(Decimal(repr(value)), "f")
    return text.rstrip("0").removesuffix(".") if "." in text else text
