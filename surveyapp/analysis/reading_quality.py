"""What RSRP, RSRQ and SINR of one carrier say together: received power, load, what it carries."""

from __future__ import annotations

from surveyapp.analysis.expected import Line
from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.model import Carrier, Rat
from surveyapp.radio.quality import carried, load, rssi_dbm
from surveyapp.radio.usual_link import usual_link

WINDOW = {
    Rat.NR: "TS 38.215, over the window of the synchronisation blocks: says less about load",
    Rat.LTE: "TS 36.214, over the whole carrier",
}


def quality_lines(carrier: Carrier) -> tuple[Line, ...]:
    """One line each for RSSI, load and what the SINR carries, as far as they can be told."""
    return (*_rssi(carrier), *_load(carrier), *_carried(carrier))


def _rssi(carrier: Carrier) -> tuple[Line, ...]:
    """Everything received, this cell and all others."""
    if carrier.rsrp_dbm is None or carrier.rsrq_db is None:
        return ()
    try:
        blocks = usual_link(carrier).carrier.blocks
        power = rssi_dbm(carrier.rsrp_dbm, carrier.rsrq_db, blocks)
    except (NoAnswer, InvalidValue) as error:
        return (Line("RSSI", None, "dBm", str(error)),)
    return (Line("RSSI", power, "dBm", f"RSRP - RSRQ + 10 log10 of {blocks} blocks"),)


def _load(carrier: Carrier) -> tuple[Line, ...]:
    """How much of this cell was in use, the phone's own part included."""
    if carrier.rsrq_db is None or carrier.sinr_db is None:
        return ()
    try:
        share = load(carrier.rsrq_db, carrier.sinr_db, carrier.rat)
    except (NoAnswer, InvalidValue) as error:
        return (Line("cell in use", None, "%", str(error)),)
    return (Line("cell in use", 100.0 * share, "%", WINDOW[carrier.rat]),)


def _carried(carrier: Carrier) -> tuple[Line, ...]:
    """What one layer carries at the SINR read."""
    if carrier.sinr_db is None:
        return ()
    try:
        highest = usual_link(carrier).carrier.modulation
        words = carried(carrier.sinr_db, highest).words
    except (NoAnswer, InvalidValue) as error:
        return (Line("SINR carries", None, "", str(error)),)
    return (Line("SINR carries", carrier.sinr_db, "dB", f"one layer: {words}"),)
