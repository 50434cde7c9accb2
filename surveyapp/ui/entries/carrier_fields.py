"""The fields of one carrier in a reading, and the carrier made from what was typed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from surveyapp.model import Carrier, Rat, Role
from surveyapp.ui.entries.channel_offers import look_up, no_such_width
from surveyapp.ui.entries.field import Field, Sign
from surveyapp.ui.entries.form import Texts, amount, chips, plain, whole

# Reporting ranges: TS 38.133 clause 10.1 (SS-RSRP, SS-RSRQ, SS-SINR) and TS 36.133 clause 9.1
# (RSRP, RSRQ with their extensions), the latter from memory. PCI: TS 38.211 clause 7.4.2.1 and
# TS 36.211 clause 6.11. Channel numbers: TS 38.104 clause 5.4.2 and TS 36.101 clause 5.7.3.
RSRP_DBM = {Rat.NR: (-156, -29), Rat.LTE: (-156, -29)}
RSRQ_DB = {Rat.NR: (-43, 20), Rat.LTE: (-34, 2.5)}
SINR_DB = {Rat.NR: (-23, 40), Rat.LTE: (-23, 40)}
LAST_PCI = {Rat.NR: 1007, Rat.LTE: 503}
LAST_CHANNEL = {Rat.NR: 3_279_165, Rat.LTE: 262_143}
LAST_BAND = {Rat.NR: 512, Rat.LTE: 256}
LETTER = {Rat.NR: "n", Rat.LTE: "B"}
CHANNEL_NAME = {Rat.NR: "NR-ARFCN", Rat.LTE: "EARFCN"}
VALUES = ("band", "count", "width", "rsrp", "rsrq", "sinr", "pci", "channel", "mhz")
PATH_OF = {
    Role.PRIMARY: ("band", "count", "width", "rsrp", "rsrq", "sinr"),
    Role.SECONDARY: ("band", "count", "width"),
    Role.ANCHOR: ("band", "count", "width"),
}


def carrier_fields(
    part: str, role: Role, rat: Rat, section: str, earlier: Sequence[Carrier], texts: Texts
) -> tuple[Field, ...]:
    """The fields of the carrier `part`; `earlier` are carriers whose values to offer."""
    band, channel = texts.get(f"{part}_band", ""), texts.get(f"{part}_channel", "")
    made = []
    for value in VALUES:
        before = LETTER[rat] if value == "band" else ""
        offered = chips((plain(_number_of(carrier, value)) for carrier in earlier), before=before)
        made.append(
            Field(
                name=f"{part}_{value}",
                on_path=value in PATH_OF[role],
                section=section,
                suggestions=offered,
                looked_up=look_up(value, rat, band, channel, amount(texts, f"{part}_width")),
                doubted=partial(no_such_width, rat, band) if value == "width" else None,
                **_look(value, rat),
            )
        )
    return tuple(made)


def carrier_of(part: str, role: Role, rat: Rat, texts: Texts) -> Carrier | None:
    """The carrier that was typed; None where all of it is empty."""
    typed = {value: texts.get(f"{part}_{value}", "") for value in VALUES}
    if not any(typed.values()):
        return None
    return Carrier(
        role=role,
        rat=rat,
        band=f"{LETTER[rat]}{typed['band']}" if typed["band"] else "",
        count=max(whole(texts, f"{part}_count") or 1, 1),
        bandwidth_mhz=amount(texts, f"{part}_width"),
        rsrp_dbm=amount(texts, f"{part}_rsrp"),
        rsrq_db=amount(texts, f"{part}_rsrq"),
        sinr_db=amount(texts, f"{part}_sinr"),
        pci=whole(texts, f"{part}_pci"),
        channel=whole(texts, f"{part}_channel"),
        mhz=amount(texts, f"{part}_mhz"),
    )


def carrier_texts(part: str, carrier: Carrier) -> Texts:
    """What stands in the sheet for a carrier."""
    return {f"{part}_{value}": plain(_number_of(carrier, value)) for value in VALUES}


def _number_of(carrier: Carrier, value: str) -> float | None:
    digits = "".join(sign for sign in carrier.band if sign.isdigit())
    return {
        "band": int(digits) if digits else None,
        "count": carrier.count,
        "width": carrier.bandwidth_mhz,
        "rsrp": carrier.rsrp_dbm,
        "rsrq": carrier.rsrq_db,
        "sinr": carrier.sinr_db,
        "pci": carrier.pci,
        "channel": carrier.channel,
        "mhz": carrier.mhz,
    }[value]


def _look(value: str, rat: Rat) -> dict:
    """Label, unit, sign and range of a carrier's value."""
    low_rsrq, high_rsrq = RSRQ_DB[rat]
    return {
        "band": {"label": "Band", "before": LETTER[rat], "low": 1, "high": LAST_BAND[rat]},
        "count": {"label": "Carriers", "low": 1, "high": 32},
        "width": {"label": "Width of each", "unit": "MHz", "decimals": 1, "low": 1, "high": 2000},
        "rsrp": _level("RSRP", "dBm", *RSRP_DBM[rat], sign=Sign.MINUS),
        "rsrq": _level("RSRQ", "dB", low_rsrq, high_rsrq, sign=Sign.MINUS),
        "sinr": _level("SINR", "dB", *SINR_DB[rat], sign=Sign.EITHER),
        "pci": {"label": "PCI", "low": 0, "high": LAST_PCI[rat]},
        "channel": {"label": CHANNEL_NAME[rat], "low": 0, "high": LAST_CHANNEL[rat]},
        "mhz": {"label": "Frequency", "unit": "MHz", "decimals": 3, "low": 400, "high": 71_000},
    }[value]


def _level(label: str, unit: str, low: float, high: float, sign: Sign) -> dict:
    return {"label": label, "unit": unit, "low": low, "high": high, "sign": sign, "decimals": 1}
