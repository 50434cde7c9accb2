"""The sector sheet: one panel of a site, where it looks, and the carriers it holds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.errors import NotFound
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Rat, Row, Sector, Site
from surveyapp.ui.entries.field import Choice, Field, Kind, Sign
from surveyapp.ui.entries.form import Form, Texts, amount, chips, plain, whole
from surveyapp.ui.entries.sector_carriers import (
    MOST_CARRIERS,
    carrier_texts,
    sector_carrier_fields,
    sector_carriers,
)
from surveyapp.ui.session import Pick, Session

ON_PLAN, MORE = "on the plan", "one more carrier"


class SectorForm(Form):
    """Label, azimuth and carriers on the path; what is rarely known a tap away."""

    name = "sector"
    title = "Panel"
    row_kind = Sector
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """As many carriers as were asked for."""
        earlier = session.notebook.newest(Sector, 20)
        return (
            *_aim(_site_of(session, texts)),
            *sector_carrier_fields(texts, [c for sector in earlier for c in sector.carriers]),
            *_aside(earlier),
        )

    def start(self, session: Session) -> Texts:
        """Ready for one carrier."""
        return {"carriers": "1", "rat_1": Rat.NR.value}

    def texts_of(self, session: Session, row: Sector) -> Texts:
        """The panel as it stands."""
        return {
            "site_id": row.site_id,
            "label": row.label,
            "azimuth": plain(row.azimuth_deg),
            "azimuth_sigma": plain(row.azimuth_sigma_deg),
            "beamwidth": plain(row.beamwidth_deg),
            "downtilt": plain(row.downtilt_deg),
            "height": plain(row.height_m),
            "eirp": plain(row.eirp_dbm),
            "pci": plain(row.pci),
            **carrier_texts(row.carriers),
        }

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The azimuth by a tap on the plan, and room for another carrier."""
        more = Choice(value=MORE, label="One more carrier", icon="add")
        plan = Choice(value=ON_PLAN, label="Azimuth on the plan", icon="plan")
        offered = (plan,) if _place_of(session, texts) else ()
        return (*offered, more) if (whole(texts, "carriers") or 1) < MOST_CARRIERS else offered

    def act(self, sheet: Any, action: str) -> None:
        """Ask for a point the panel looks at, or open the fields of one more carrier."""
        texts = sheet.state.texts
        if action == MORE:
            count = (whole(texts, "carriers") or 1) + 1
            sheet.put(f"rat_{count}", Rat.NR.value)
            sheet.put("carriers", str(count))
            sheet.move_to(f"band_{count}")
            return
        lat_deg, lon_deg = _place_of(sheet.session, texts)
        sheet.session.ask_on_plan(
            Pick(
                "bearing",
                "Tap a place the panel looks at",
                lambda lat, lon: _look_at(sheet, (lat_deg, lon_deg), (lat, lon)),
                lat_deg,
                lon_deg,
            )
        )

    def rows(self, session: Session, texts: Texts, row: Sector | None) -> tuple[Row, ...]:
        """The panel with the carriers that were filled in."""
        sector = replace(
            row or Sector(site_id=texts.get("site_id", "")),
            label=texts.get("label", "").strip(),
            azimuth_deg=amount(texts, "azimuth"),
            azimuth_sigma_deg=amount(texts, "azimuth_sigma"),
            beamwidth_deg=amount(texts, "beamwidth"),
            downtilt_deg=amount(texts, "downtilt"),
            height_m=amount(texts, "height"),
            eirp_dbm=amount(texts, "eirp"),
            pci=whole(texts, "pci"),
            carriers=sector_carriers(texts),
        )
        return (sector,)

    def row_text(self, row: Sector) -> str:
        """What a deletion is called."""
        return f"panel {row.label}".strip()


def _site_of(session: Session, texts: Texts) -> Site | None:
    try:
        return session.notebook.get(Site, texts.get("site_id", ""))
    except NotFound:
        return None


def _place_of(session: Session, texts: Texts) -> tuple[float, float] | None:
    site = _site_of(session, texts)
    if site is None or site.lat_deg is None or site.lon_deg is None:
        return None
    return site.lat_deg, site.lon_deg


def _look_at(sheet: Any, site: tuple[float, float], point: tuple[float, float]) -> None:
    sheet.put("azimuth", plain(round(inverse(*site, *point).azimuth_deg, 1) % 360.0))


def _aim(site: Site | None) -> tuple[Field, ...]:
    section = f"Panel of {site.name}" if site else ""
    labels = tuple(Choice(value=label, label=label) for label in "ABCD")
    return (
        Field(name="label", label="Panel", kind=Kind.TEXT, suggestions=labels, section=section),
        Field(name="azimuth", label="Azimuth", unit="° true", decimals=1, low=0, high=359.9,
              section=section),
    )  # fmt: skip


def _aside(earlier: list[Sector]) -> tuple[Field, ...]:
    return (
        Field(name="pci", label="PCI", low=0, high=1007, on_path=False, section="More"),
        Field(name="beamwidth", label="Beamwidth", unit="°", decimals=1, low=1, high=360,
              on_path=False, section="More",
              suggestions=chips(sector.beamwidth_deg for sector in earlier)),
        Field(name="azimuth_sigma", label="Azimuth's sigma", unit="°", decimals=1, low=0,
              high=180, on_path=False, section="More"),
        Field(name="downtilt", label="Downtilt", unit="°", sign=Sign.EITHER, decimals=1, low=-90,
              high=90, on_path=False, section="More"),
        Field(name="height", label="Height above the street", unit="m", decimals=1, low=0,
              high=1000, on_path=False, section="More"),
        Field(name="eirp", label="EIRP of a carrier", unit="dBm", decimals=1, sign=Sign.EITHER,
              low=-30, high=120, on_path=False, section="More",
              suggestions=chips(sector.eirp_dbm for sector in earlier)),
    )  # fmt: skip
