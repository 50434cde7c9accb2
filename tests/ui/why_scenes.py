"""The scenes of what was expected: verdicts on the Stop place and on sheets, and why.

The figures are invented: a reading far too weak, and a run of it against a server far away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from surveyapp.model import Carrier, Device, Mode, Rat, Reading, Role, SpeedRun, Streams
from tests.ui import filled, harness
from tests.ui.harness import Pilot

WEAK = "5G RSRP −112 dBm"
SLOW = "Down 190 Mbit/s"
RESTED_S = 0.4  # longer than a sheet waits after a key


def weak_entries(stop_id: str, device_id: str) -> tuple[Reading, SpeedRun]:
    """A reading far below what the site near by should give, and a slow run against Madrid."""
    carriers = (
        Carrier(
            band="n258", bandwidth_mhz=100.0, count=4, pci=101,
            rsrp_dbm=-112.0, rsrq_db=-12.5, sinr_db=6.0,
        ),
        Carrier(
            role=Role.ANCHOR, rat=Rat.LTE, band="B20", bandwidth_mhz=10.0,
            rsrp_dbm=-91.0, rsrq_db=-11.0, sinr_db=12.0,
        ),
    )  # fmt: skip
    later = filled.NOW.replace(hour=10)
    reading = Reading(
        stop_id=stop_id, device_id=device_id, time_utc=later, mode=Mode.NSA, carriers=carriers
    )
    run = SpeedRun(
        stop_id=stop_id, device_id=device_id, reading_id=reading.id, time_utc=later,
        down_mbps=190.0, up_mbps=21.0, ping_ms=71.0, jitter_ms=3.0, loss_pct=0.0,
        streams=Streams.ONE, server_place="Madrid", server_lat_deg=40.42, server_lon_deg=-3.70,
    )  # fmt: skip
    return reading, run


def weak_stop(pilot: Pilot) -> None:
    """The newest stop with a weak reading and a slow run, judged."""
    session = pilot.session
    phone = session.notebook.all(Device)[0]
    reading, run = weak_entries(session.stop.id, phone.id)
    session.save(reading, replace(run, reading_id=reading.id), what="weak entries")
    harness.until(lambda: pilot.says(SLOW))


def _why(*words: str) -> Callable[[Pilot], None]:
    def go(pilot: Pilot) -> None:
        weak_stop(pilot)
        for word in words:
            pilot.touch(word)

    return go


def _seen(words: str) -> Callable[[Pilot], None]:
    """The Stop place, scrolled to a verdict."""

    def go(pilot: Pilot) -> None:
        weak_stop(pilot)
        pilot.bring_into_view(pilot.find(words))

    return go


def typed_reading(pilot: Pilot, rsrp: str = "118") -> None:
    """The reading sheet as its levels are typed; what was expected has appeared."""
    pilot.touch("Reading")
    pilot.touch("As last")
    for key in rsrp:
        pilot.touch_key(key)
    harness.wait(RESTED_S)


def _typed_run(pilot: Pilot) -> None:
    weak_stop(pilot)
    pilot.touch("Speed run")
    pilot.touch("Phone")
    pilot.touch("Phone A")
    for key in "9100":
        pilot.touch_key(key)
    harness.wait(RESTED_S)


def _typed_why(pilot: Pilot) -> None:
    typed_reading(pilot)
    pilot.touch("5G RSRP")


SCENES: list[tuple[str, Callable[[Pilot], None], bool]] = [
    ("verdict_reading", _seen(WEAK), False),
    ("verdict_run", _seen(SLOW), False),
    ("why_level", _why(WEAK), False),
    ("why_level_lte", _why(WEAK, "LTE leg"), False),
    ("why_rate", _why(SLOW), False),
    ("why_ping", _why(SLOW, "Ping"), False),
    ("typed_reading", typed_reading, False),
    ("typed_run", _typed_run, False),
    ("typed_why", _typed_why, False),
]
