"""What was typed before and may come again: whole carrier sets, single values, the next phone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from surveyapp.model import Carrier, Rat, Reading, Role, SpeedRun
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.entries.form import Texts
from surveyapp.ui.session import Session
from surveyapp.ui.words import carrier_text, joined

AS_BEFORE = "carriers of "
SETS = 2  # carrier sets offered
LOOK_BACK = 30  # rows searched for values to offer


def carrier_sets(session: Session, texts: Texts) -> tuple[Choice, ...]:
    """The carriers of the last readings again in one touch, while no band has been typed."""
    if texts.get("primary_band"):
        return ()
    found: dict[str, str] = {}
    for reading in readings_before(session, texts):
        label = joined(map(carrier_text, reading.carriers))
        if label and label not in found and len(found) < SETS:
            found[label] = f"{AS_BEFORE}{reading.id}"
    words = ("As last: ", "As before: ")
    return tuple(
        Choice(value=value, label=f"{word}{label}", icon="redo")
        for word, (label, value) in zip(words, found.items(), strict=False)
    )


def bare(reading: Reading) -> Reading:
    """The reading without what was measured on its carriers."""
    carriers = (
        replace(c, rsrp_dbm=None, rsrq_db=None, sinr_db=None, pci=None) for c in reading.carriers
    )
    return replace(reading, carriers=tuple(carriers))


def readings_before(session: Session, texts: Texts) -> list[Reading]:
    """Readings of this phone, newest first; of any phone where it has none."""
    device = texts.get("device", "")
    own = session.notebook.newest(Reading, LOOK_BACK, device_id=device) if device else []
    return own or session.notebook.newest(Reading, LOOK_BACK)


def carriers_before(session: Session, texts: Texts) -> list[Carrier]:
    """Carriers whose values to offer: of this stop's readings first, then of this phone's."""
    here = session.stop.id if session.stop else ""
    at_stop = session.notebook.newest(Reading, LOOK_BACK, stop_id=here) if here else []
    readings = {row.id: row for row in (*at_stop, *readings_before(session, texts))}
    return [carrier for reading in readings.values() for carrier in reading.carriers]


def fits(carrier: Carrier, part: str, rat: Rat, texts: Texts) -> bool:
    """Whether an earlier carrier's values fit here: same radio, and same band once typed."""
    band = texts.get(f"{part}_band", "")
    anchor = (carrier.role is Role.ANCHOR) == (part == "anchor")
    return carrier.rat is rat and anchor and (not band or carrier.band[1:] == band)


def runs_before(session: Session, texts: Texts) -> list[SpeedRun]:
    """Earlier runs, newest first, those of this phone before others."""
    runs = session.notebook.newest(SpeedRun, LOOK_BACK)
    return sorted(runs, key=lambda run: run.device_id != texts.get("device"))


def same_carriers(texts: Texts) -> Iterator[tuple[str, str]]:
    """What of a typed reading holds for the next phone beside it: its mode and its carriers."""
    kept = ("_band", "_count", "_width", "_channel", "_mhz")
    for name, text in texts.items():
        if name in ("mode", "secondaries") or name.endswith(kept):
            yield name, text
