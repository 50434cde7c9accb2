"""What this phone itself reports of its cells: a reading filled from Android's telephony.

Android hands over the latest cached result (for programs that target API 29 and later), so
every value comes with its age. What the system marks as unavailable stays empty, and so does
what lies outside the range Android documents; the rest is left to the hand. `getDbm` is never
used: in API 29 it gave the CSI-RSRP. No phone was at hand: tested against a fake of the
classes with the documented ranges (Android reference, November 2026).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.model import Carrier, Mode, Rat, Role
from surveyapp.sensors import android
from surveyapp.sensors.cell_values import Ranges, Value, taken

Cell = tuple[Carrier, bool]
"""A carrier, and whether it is the one the phone is registered on."""


@dataclass(frozen=True, kw_only=True, slots=True)
class RadioReport:
    """What the phone is on. `age_s` is that of the oldest value, None where Android hides it.

    `left_out` names values that Android gave and that cannot be.
    """

    mode: Mode
    carriers: tuple[Carrier, ...]
    age_s: float | None
    left_out: tuple[str, ...] = ()


class PhoneRadio(ABC):
    """The port."""

    permissions: tuple[str, ...] = android.LOCATION

    @abstractmethod
    def read(self) -> RadioReport:
        """The serving cells; raises SensorUnavailable where the phone tells of none."""


class FakePhoneRadio(PhoneRadio):
    """Says what it was told to."""

    def __init__(self, report: RadioReport | SensorUnavailable) -> None:
        self.report = report

    def read(self) -> RadioReport:
        """The report, or its refusal."""
        if isinstance(self.report, SensorUnavailable):
            raise SensorUnavailable(str(self.report)) from self.report
        return self.report


class AndroidPhoneRadio(PhoneRadio):
    """TelephonyManager.getAllCellInfo, the serving cells only."""

    def read(self) -> RadioReport:
        """Mode, carriers, and the age of the oldest; raises SensorUnavailable."""
        telephony = android.service("phone", "android.telephony.TelephonyManager")
        try:
            found = telephony.getAllCellInfo()
            cells = [found.get(at) for at in range(found.size())] if found is not None else []
        except Exception as error:  # SecurityException, as pyjnius hands it over
            raise SensorUnavailable(
                "The phone does not allow its radio to be read: allow the location, or type "
                "the reading."
            ) from error
        left_out: list[str] = []
        read: list[Cell] = []
        ages_s: list[float | None] = []
        for cell in filter(_serves, cells):
            carrier = _carrier(cell, left_out)
            if carrier is not None:
                read.append((carrier, bool(cell.isRegistered())))
                ages_s.append(_age_s(cell))
        if not read:
            raise SensorUnavailable(
                "The phone tells of no serving 5G or LTE cell just now: type the reading."
            )
        known = [age for age in ages_s if age is not None]
        return RadioReport(
            mode=_mode(read),
            carriers=_with_roles(read),
            age_s=max(known) if len(known) == len(ages_s) else None,
            left_out=tuple(left_out),
        )


def _serves(cell: Any) -> bool:
    """Registered, or serving as primary or secondary (API 28): the 5G leg of NSA is the latter."""
    if cell.isRegistered():
        return True
    try:
        info = android.java("android.telephony.CellInfo")
        serving = (info.CONNECTION_PRIMARY_SERVING, info.CONNECTION_SECONDARY_SERVING)
        return cell.getCellConnectionStatus() in serving
    except Exception:
        return False  # older than API 28


def _carrier(cell: Any, left_out: list[str]) -> Carrier | None:
    """The carrier of an NR or LTE cell; None for any other radio."""
    name = str(cell.getClass().getSimpleName())
    if name == "CellInfoNr":
        return _nr(cell, left_out)
    return _lte(cell, left_out) if name == "CellInfoLte" else None


def _nr(cell: Any, left_out: list[str]) -> Carrier:
    cast = android.jnius().cast
    cell = cast("android.telephony.CellInfoNr", cell)
    identity = cast("android.telephony.CellIdentityNr", cell.getCellIdentity())
    signal = cast("android.telephony.CellSignalStrengthNr", cell.getCellSignalStrength())

    def value(source: Any, method: str, kind: Value) -> float | None:
        return taken(source, method, Ranges.NR[kind], f"5G {kind.value}", left_out)

    return Carrier(
        rat=Rat.NR,
        band=_band(identity, "n"),
        channel=_whole(value(identity, "getNrarfcn", Value.CHANNEL)),
        pci=_whole(value(identity, "getPci", Value.PCI)),
        rsrp_dbm=value(signal, "getSsRsrp", Value.RSRP),
        rsrq_db=value(signal, "getSsRsrq", Value.RSRQ),
        sinr_db=value(signal, "getSsSinr", Value.SINR),
    )


def _lte(cell: Any, left_out: list[str]) -> Carrier:
    cast = android.jnius().cast
    cell = cast("android.telephony.CellInfoLte", cell)
    identity, signal = cell.getCellIdentity(), cell.getCellSignalStrength()

    def value(source: Any, method: str, kind: Value) -> float | None:
        return taken(source, method, Ranges.LTE[kind], f"LTE {kind.value}", left_out)

    width_khz = value(identity, "getBandwidth", Value.WIDTH)
    return Carrier(
        rat=Rat.LTE,
        band=_band(identity, "B"),
        channel=_whole(value(identity, "getEarfcn", Value.CHANNEL)),
        bandwidth_mhz=None if width_khz is None else width_khz / 1000.0,
        pci=_whole(value(identity, "getPci", Value.PCI)),
        rsrp_dbm=value(signal, "getRsrp", Value.RSRP),
        rsrq_db=value(signal, "getRsrq", Value.RSRQ),
        sinr_db=value(signal, "getRssnr", Value.SINR),
    )


def _band(identity: Any, letter: str) -> str:
    """The band where Android names just one (API 30); several are no answer."""
    try:
        bands = list(identity.getBands() or ())
    except Exception:
        return ""
    return f"{letter}{int(bands[0])}" if len(bands) == 1 and bands[0] > 0 else ""


def _whole(value: float | None) -> int | None:
    return None if value is None else int(value)


def _age_s(cell: Any) -> float | None:
    """Seconds since the modem said so: getTimestampMillis (API 30), getTimeStamp before."""
    try:
        now_ms = int(android.java("android.os.SystemClock").elapsedRealtime())
        try:
            then_ms = float(cell.getTimestampMillis())
        except AttributeError:
            then_ms = float(cell.getTimeStamp()) / 1e6
    except Exception:
        return None
    age_s = (now_ms - then_ms) / 1000.0
    return age_s if age_s >= 0.0 and then_ms > 0.0 else None


def _mode(read: list[Cell]) -> Mode:
    """By the cell the phone is registered on: 5G beside a registered LTE cell is NSA."""
    rats = {carrier.rat for carrier, _ in read}
    if Rat.NR not in rats:
        return Mode.LTE
    return Mode.NSA if (Rat.LTE, True) in {(c.rat, on) for c, on in read} else Mode.SA


def _with_roles(read: list[Cell]) -> tuple[Carrier, ...]:
    """5G first; the registered cell of each radio leads it, LTE as anchor where 5G is there."""
    in_order = sorted(read, key=lambda cell: (cell[0].rat is not Rat.NR, not cell[1]))
    both = len({carrier.rat for carrier, _ in read}) == 2
    made: list[Carrier] = []
    for carrier, _ in in_order:
        first = all(other.rat is not carrier.rat for other in made)
        lead = Role.ANCHOR if both and carrier.rat is Rat.LTE else Role.PRIMARY
        made.append(replace(carrier, role=lead if first else Role.SECONDARY))
    return tuple(made)
