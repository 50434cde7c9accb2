"""What the lists of the Book say, as plain rows: surveys, sites, phones, and the Book itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from surveyapp.model import Device, Sector, SectorCarrier, Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.session import Session
from surveyapp.ui.speech import length
from surveyapp.ui.words import counted, day_text, degrees, joined, number, with_unit


@dataclass(frozen=True, slots=True)
class BookRow:
    """One row of a list; `row_id` names what a tap opens."""

    icon: str
    text: str
    detail: str
    row_id: str
    value: str = ""
    doubt: str = ""
    leads: bool = False


def contents(session: Session, chosen: str = "") -> list[BookRow]:
    """The Book's own list, each section with how much is in it; the chosen one stands out."""
    notebook = session.notebook
    ground = notebook.ground.source or "none yet"
    rows = [
        BookRow("survey", "Surveys", _count(notebook, Survey, "survey"), "surveys"),
        BookRow("site", "Sites", _count(notebook, Site, "site"), "sites"),
        BookRow("device", "Phones", _count(notebook, Device, "phone"), "devices"),
        BookRow("ground", "Ground", f"Streets and buildings: {ground}", "ground"),
        BookRow("text", "Report", "A survey as one page to read and print", "report"),
        BookRow("send_out", "Bring in and send out", "Files of surveys, tracks, leads", "exchange"),
        BookRow("folder", "Keep", "Where it lies; check and merge", "keep"),
        BookRow("undo", "Backups", "One each day; take one back", "backups"),
        BookRow("settings", "Settings", "Theme and text size", "settings"),
        BookRow("day", "First steps", "What a stop is; the demo day", "first_run"),
        BookRow("caution", "Cautions", "What to heed on the street", "cautions"),
    ]
    return [replace(row, leads=row.row_id == chosen) for row in rows]


def survey_rows(session: Session) -> list[BookRow]:
    """The surveys, the newest first."""
    notebook = session.notebook
    current = session.survey.id if session.survey else ""
    return [
        BookRow(
            "done" if survey.id == current else "survey",
            survey.title,
            joined([
                "open now" if survey.id == current else "",
                _day(notebook, survey),
                survey.place_text,
                str(survey.weather or ""),
                counted(notebook.count(Stop, survey_id=survey.id), "stop"),
            ]),
            survey.id,
        )
        for survey in notebook.newest(Survey, 10_000)
    ]  # fmt: skip


def site_rows(session: Session) -> list[BookRow]:
    """The sites by name, with their panels."""
    panels: dict[str, list[Sector]] = {}
    for sector in session.notebook.all(Sector):
        panels.setdefault(sector.site_id, []).append(sector)
    return [
        BookRow(
            "site",
            site.name,
            joined([
                str(site.status),
                str(site.kind),
                site.operator,
                counted(len(panels.get(site.id, ())), "panel"),
            ]),
            site.id,
            doubt="" if site.lat_deg is not None else "Not placed yet.",
        )
        for site in session.sites
    ]  # fmt: skip


def device_rows(session: Session) -> list[BookRow]:
    """The phones by name."""
    return [
        BookRow(
            "device",
            device.label,
            joined([device.model, device.modem, device.system, device.operator]),
            device.id,
        )
        for device in session.devices
    ]


def sector_rows(notebook: Notebook, site: Site) -> list[BookRow]:
    """The panels of a site, with their carriers."""
    return [
        BookRow(
            "sector",
            f"Panel {sector.label}".strip(),
            sector_text(sector),
            sector.id,
            value=degrees(sector.azimuth_deg),
            doubt="" if sector.azimuth_deg is not None else "No azimuth yet.",
        )
        for sector in notebook.all(Sector, site_id=site.id)
    ]


def sector_text(sector: Sector) -> str:
    """'n258 4 × 100 MHz · PCI 12 · beam 65° · tilt 6°', those that are known."""
    return joined([
        *map(sector_carrier_text, sector.carriers),
        f"PCI {sector.pci}" if sector.pci is not None else "",
        _known("beam", sector.beamwidth_deg, "°"),
        _known("downtilt", sector.downtilt_deg, "°"),
        f"EIRP {with_unit(sector.eirp_dbm, 'dBm')}" if sector.eirp_dbm is not None else "",
    ])  # fmt: skip


def sector_carrier_text(carrier: SectorCarrier) -> str:
    """'n258 4 × 100 MHz'."""
    width = with_unit(carrier.bandwidth_mhz, "MHz") if carrier.bandwidth_mhz else ""
    if carrier.count > 1:
        width = f"{carrier.count} × {width or 'carriers'}"
    channel = f"channel {carrier.channel}" if carrier.channel is not None else ""
    pci = f"PCI {carrier.pci}" if carrier.pci is not None else ""
    name = carrier.band or str(carrier.rat)
    return " ".join(part for part in (name, width, channel, pci) if part)


def site_facts(site: Site) -> list[str]:
    """What is known of a site, a line each."""
    placed = f"from {site.position_from}" if site.position_from else ""
    within = f"± {length(site.position_sigma_m)}" if site.position_sigma_m else ""
    where = "Not placed yet."
    if site.lat_deg is not None:
        where = f"{number(site.lat_deg, 5)}, {number(site.lon_deg, 5)}"
    return [line for line in (
        joined([str(site.status), str(site.kind), site.operator]),
        joined([where, within, placed]),
        f"Antennas {with_unit(site.height_m, 'm')} above the street" if site.height_m else "",
        site.text,
    ) if line]  # fmt: skip


def _known(word: str, value: float | None, unit: str) -> str:
    return f"{word} {number(value)}{unit}" if value is not None else ""


def _count(notebook: Notebook, kind: type[Survey | Site | Device], word: str) -> str:
    return counted(notebook.count(kind), word).capitalize()


def _day(notebook: Notebook, survey: Survey) -> str:
    last = notebook.newest(Stop, 1, survey_id=survey.id)
    return day_text(last[0].time_utc.date()) if last else ""
