"""What RSRP, RSRQ and SINR of one carrier say together: received power, load, what it carries."""

from __future__ import annotations

import math

from surveyapp.analysis.expected import Line
from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.model import Carrier, Rat
from surveyapp.radio.quality import RULES_OF_THUMB, carried, load, rssi_dbm
from surveyapp.radio.report_ranges import Report, report_index, report_interval
from surveyapp.radio.usual_link import usual_link

WINDOW = {
    Rat.NR: "TS 38.215, over the window of the synchronisation blocks: says less about load",
    Rat.LTE: "TS 36.214, over the whole carrier",
}


def quality_lines(carrier: Carrier) -> tuple[Line, ...]:
    """One line each for RSSI, load and what the SINR carries, as far as they can be told."""
    return (*_rssi(carrier), *_load(carrier), *_carried(carrier))


def signalled_lines(carrier: Carrier) -> tuple[Line, ...]:
    """The report index of each value noted, and what that index stands for (TS 38.133)."""
    found = []
    for name, value, reports in (
        ("RSRP", carrier.rsrp_dbm, {Rat.NR: Report.SS_RSRP, Rat.LTE: Report.LTE_RSRP}),
        ("RSRQ", carrier.rsrq_db, {Rat.NR: Report.SS_RSRQ, Rat.LTE: Report.LTE_RSRQ}),
        ("SINR", carrier.sinr_db, {Rat.NR: Report.SS_SINR}),
    ):
        report = reports.get(carrier.rat)
        if value is not None and report is not None:
            index = report_index(report, value)
            found.append(Line(f"{name} report index", float(index), "", _interval(report, index)))
    return tuple(found)


def _interval(report: Report, index: int) -> str:
    """'from -86 up to -85 dBm'; the two ends are open."""
    low, high = report_interval(report, index)
    source = "TS 36.133" if report in (Report.LTE_RSRP, Report.LTE_RSRQ) else "TS 38.133"
    if not math.isfinite(low):
        return f"below {high:g} {report.value.unit}, {source}"
    if not math.isfinite(high):
        return f"{low:g} {report.value.unit} and more, {source}"
    return f"from {low:g} up to {high:g} {report.value.unit}, {source}"


def rules_of_thumb(carrier: Carrier) -> tuple[str, ...]:
    """What surveyors go by for the values noted; each is marked common practice."""
    noted = {"RSRP": carrier.rsrp_dbm, "RSRQ": carrier.rsrq_db, "SINR": carrier.sinr_db}
    told = [name for name, value in noted.items() if value is not None]
    return tuple(RULES_OF_THUMB[name] for name in (*told, *(("phones", "body") if told else ())))


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
