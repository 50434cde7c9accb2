"""A stop's entries and a site's panels in lines of plain words, for maps and handhelds."""

from __future__ import annotations

from collections import defaultdict

from surveyapp.exchange.content import Content
from surveyapp.model import (
    Carrier,
    Device,
    Reading,
    Remark,
    Row,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
)


class WordsOfRows:
    """Words for the rows of one content."""

    def __init__(self, content: Content) -> None:
        self._devices = content.by_id(Device)
        self._sites = content.by_id(Site)
        self._below: dict[str, list[Row]] = defaultdict(list)
        for kind in (Sector, Sighting, Reading, SpeedRun, Remark):
            for row in content.of(kind):
                owner = row.site_id if isinstance(row, Sector) else row.stop_id  # type: ignore[attr-defined]
                self._below[owner].append(row)

    def name(self, row: Row) -> str:
        """What to call a stop or a site."""
        return f"Stop {row.number}" if isinstance(row, Stop) else str(getattr(row, "name", ""))

    def lines(self, row: Stop | Site) -> list[str]:
        """What was entered at a stop, or is known of a site."""
        own = row.place_text if isinstance(row, Stop) else f"{row.kind}, {row.status}"
        told = (self._line(entry) for entry in self._below[row.id])
        return [line for line in (own, *told) if line]

    def _line(self, row: Row) -> str:
        match row:
            case Sector():
                return f"Panel {row.label}".rstrip() + _amount(", azimuth ", row.azimuth_deg, "°")
            case Sighting():
                site = self._sites.get(row.site_id)
                name = site.name if site else "site"
                return f"{name} sighted" + _amount(" at ", row.bearing_deg, "°")
            case Reading():
                told = "; ".join(_carrier(carrier) for carrier in row.carriers)
                return f"{self._phone(row.device_id)}: {row.mode}" + (f", {told}" if told else "")
            case SpeedRun():
                figures = (
                    _amount("", row.down_mbps, " Mbit/s down"),
                    _amount("", row.up_mbps, " Mbit/s up"),
                    _amount("", row.ping_ms, " ms"),
                )
                return f"{self._phone(row.device_id)}: {', '.join(one for one in figures if one)}"
            case Remark():
                return f"{row.kind}: {row.text}" if row.text else str(row.kind)
        return ""

    def _phone(self, device_id: str) -> str:
        device = self._devices.get(device_id)
        return device.label if device else "Phone"


def _carrier(carrier: Carrier) -> str:
    return f"{carrier.rat} {carrier.band}".strip() + _amount(" ", carrier.rsrp_dbm, " dBm")


def _amount(before: str, value: float | None, after: str) -> str:
    return "" if value is None else f"{before}{value:g}{after}"
