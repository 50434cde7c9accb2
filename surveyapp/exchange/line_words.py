"""The words and units of the trade that a typed line may use, as tables.

Words are in lower case; a field may have several, and a word of several parts is a tuple.
Readings are 3GPP's names (TS 38.215 clause 5.1, TS 36.214 clause 5.1); short forms such as
'dl', 'bw' and '4cc' are common practice.
"""

from __future__ import annotations

from enum import StrEnum

from surveyapp.model import Mode, Rat, Role, Streams


class Name(StrEnum):
    """A value that a line can hold, named as the model's field is."""

    BAND = "band"
    COUNT = "count"
    WIDTH = "bandwidth_mhz"
    FREQUENCY = "mhz"
    CHANNEL = "channel"
    PCI = "pci"
    RSRP = "rsrp_dbm"
    RSRQ = "rsrq_db"
    SINR = "sinr_db"
    DOWN = "down_mbps"
    UP = "up_mbps"
    PING = "ping_ms"
    JITTER = "jitter_ms"
    LOSS = "loss_pct"
    SERVER = "server_place"
    STREAMS = "streams"
    MODE = "mode"
    RAT = "rat"
    ROLE = "role"


WHOLE = frozenset({Name.COUNT, Name.CHANNEL, Name.PCI})
NEGATIVE_UNLESS_TOLD = frozenset({Name.RSRP, Name.RSRQ})
NEVER_NEGATIVE = frozenset(
    {Name.COUNT, Name.WIDTH, Name.FREQUENCY, Name.CHANNEL, Name.PCI, Name.DOWN, Name.UP,
     Name.PING, Name.JITTER, Name.LOSS}
)  # fmt: skip
SPEEDS = (Name.DOWN, Name.UP, Name.PING, Name.JITTER, Name.LOSS)
LEVELS = (Name.RSRP, Name.RSRQ, Name.SINR)
OF_THE_RUN = frozenset({*SPEEDS, Name.SERVER, Name.STREAMS})

Words = tuple[str, ...]


def _table(*entries: tuple[Name, str]) -> dict[Words, Name]:
    return {
        tuple(words.split()): name for name, text in entries for words in text.split(", ")
    }  # fmt: skip


LABELS: dict[Words, Name] = _table(
    (Name.RSRP, "rsrp, ss-rsrp, ss rsrp, ssrsrp"),
    (Name.RSRQ, "rsrq, ss-rsrq, ss rsrq, ssrsrq"),
    (Name.SINR, "sinr, ss-sinr, ss sinr, rs-sinr, rssinr, rssnr, snr"),
    (Name.PCI, "pci, physical cell id, physical cell identity"),
    (Name.CHANNEL, "arfcn, nr-arfcn, nr arfcn, nrarfcn, earfcn, channel, ch"),
    (Name.FREQUENCY, "freq, frequency"),
    (Name.WIDTH, "bw, bandwidth, width"),
    (Name.DOWN, "down, dl, download, downlink, ↓"),
    (Name.UP, "up, ul, upload, uplink, ↑"),
    (Name.PING, "ping, latency, rtt"),
    (Name.JITTER, "jitter, jit"),
    (Name.LOSS, "loss, packet loss"),
)
EVERYDAY = frozenset({"down", "up", "loss", "channel", "width", "ch", "↓", "↑"})
"""Labels that also stand in plain sentences: read only where not amid unread words."""

RAT_OF_LABEL = {
    "earfcn": Rat.LTE, "rssnr": Rat.LTE, "rs-sinr": Rat.LTE, "rssinr": Rat.LTE,
    "nr-arfcn": Rat.NR, "nrarfcn": Rat.NR, "nr arfcn": Rat.NR,
    "ss-rsrp": Rat.NR, "ss rsrp": Rat.NR, "ssrsrp": Rat.NR,
    "ss-rsrq": Rat.NR, "ss rsrq": Rat.NR, "ssrsrq": Rat.NR,
    "ss-sinr": Rat.NR, "ss sinr": Rat.NR,
}  # fmt: skip

RATS: dict[Words, Rat] = {("nr",): Rat.NR, ("5g",): Rat.NR, ("lte",): Rat.LTE, ("4g",): Rat.LTE}
ROLES: dict[Words, Role] = {
    ("primary",): Role.PRIMARY, ("pcell",): Role.PRIMARY, ("pcc",): Role.PRIMARY,
    ("pscell",): Role.PRIMARY, ("secondary",): Role.SECONDARY, ("scell",): Role.SECONDARY,
    ("scc",): Role.SECONDARY, ("anchor",): Role.ANCHOR,
}  # fmt: skip
MODES: dict[Words, Mode] = {
    ("nsa",): Mode.NSA, ("5g", "nsa"): Mode.NSA, ("mode", "nsa"): Mode.NSA,
    ("mode", "5g", "nsa"): Mode.NSA, ("en-dc",): Mode.NSA, ("endc",): Mode.NSA,
    ("non-standalone",): Mode.NSA, ("non", "standalone"): Mode.NSA,
    ("sa",): Mode.SA, ("5g", "sa"): Mode.SA, ("mode", "sa"): Mode.SA,
    ("mode", "5g", "sa"): Mode.SA, ("standalone",): Mode.SA,
    ("mode", "lte"): Mode.LTE, ("lte", "only"): Mode.LTE, ("mode", "4g"): Mode.LTE,
    ("mode", "other"): Mode.OTHER,
}  # fmt: skip
STREAMS: dict[Words, Streams] = {
    ("one", "stream"): Streams.ONE, ("single", "stream"): Streams.ONE,
    ("many", "streams"): Streams.MANY, ("multi", "stream"): Streams.MANY,
    ("parallel", "streams"): Streams.MANY, ("many", "stream"): Streams.MANY,
    ("single-stream",): Streams.ONE, ("multi-stream",): Streams.MANY,
    ("streams", "one"): Streams.ONE, ("streams", "many"): Streams.MANY,
}  # fmt: skip
NO_LOSS: dict[Words, float] = {
    ("no", "loss"): 0.0, ("no", "packet", "loss"): 0.0, ("without", "loss"): 0.0,
}  # fmt: skip
BAND_LETTERS = {"n": Rat.NR, "b": Rat.LTE}
BAND_WORD = "band"
SERVER_WORD = "server"
CARRIERS_WORDS = frozenset({"cc", "carriers", "carrier"})
TIMES = frozenset({"x", "×", "*", "by"})
OVER = frozenset({"/", "over"})
JOINERS = frozenset({":", "=", "is", "of", "at", "was", "to"})
LIGHT_MARKS = frozenset({",", ".", "/", ":", "=", "and", "with", "on", "of"})
EDGE_MARKS = frozenset({",", "/", ":", "="})
"""Marks that belong to neither side where understood and unread words meet."""
BREAKS = frozenset({";", "|", "+"})

Unit = tuple[frozenset[Name], float]
_RATES = frozenset({Name.DOWN, Name.UP})
_MEGAHERTZ = frozenset({Name.WIDTH, Name.FREQUENCY})
_TIMES_MS = frozenset({Name.PING, Name.JITTER})
_SHARE = frozenset({Name.LOSS})
_DECIBELS = frozenset({Name.RSRQ, Name.SINR})
UNITS: dict[Words, Unit] = {
    ("mbps",): (_RATES, 1.0), ("mbit",): (_RATES, 1.0), ("mbit", "/", "s"): (_RATES, 1.0),
    ("mb", "/", "s"): (_RATES, 1.0), ("megabits",): (_RATES, 1.0),
    ("gbps",): (_RATES, 1000.0), ("gbit",): (_RATES, 1000.0), ("gbit", "/", "s"): (_RATES, 1000.0),
    ("gb", "/", "s"): (_RATES, 1000.0),
    ("kbps",): (_RATES, 0.001), ("kbit",): (_RATES, 0.001), ("kbit", "/", "s"): (_RATES, 0.001),
    ("mhz",): (_MEGAHERTZ, 1.0), ("megahertz",): (_MEGAHERTZ, 1.0),
    ("ghz",): (_MEGAHERTZ, 1000.0), ("gigahertz",): (_MEGAHERTZ, 1000.0),
    ("ms",): (_TIMES_MS, 1.0), ("msec",): (_TIMES_MS, 1.0), ("milliseconds",): (_TIMES_MS, 1.0),
    ("%",): (_SHARE, 1.0), ("percent",): (_SHARE, 1.0), ("pct",): (_SHARE, 1.0),
    ("dbm",): (frozenset({Name.RSRP}), 1.0), ("db",): (_DECIBELS, 1.0),
}  # fmt: skip
WIDEST_MHZ = 400.0  # TS 38.104 clause 5.3.5: widest carrier of FR2-1; lowest band from 410 MHz
WIDEST_EVER_MHZ = 2_000.0  # TS 38.104 clause 5.3.5: FR2-2
USUAL_WIDTHS_MHZ = frozenset(
    {1.4, 3, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 200, 400, 800, 1600, 2000}
)
"""Channel bandwidths of TS 38.104 clause 5.3.5 and TS 36.104 clause 5.6."""
LEAST_BARE_CHANNEL = 600
"""A whole number at least this large, right after 'nr' or 'lte', is a channel number."""
