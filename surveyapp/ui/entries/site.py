"""The site sheet: an installation with its name, mount, operator, panels and place."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.model import PositionFrom, Row, Sector, Site, SiteKind, SiteStatus
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, amount, chips, choices_of, plain
from surveyapp.ui.entries.places import (
    HERE,
    ON_PLAN,
    place_fields,
    place_from_plan,
    place_of,
    place_texts,
)
from surveyapp.ui.session import Session
from surveyapp.ui.words import degrees

NONE, OWN = "none", "own"
LAYOUTS = {"one": (0.0,), "two": (0.0, 180.0), "three": (0.0, 120.0, 240.0)}
LAYOUT_CHOICES = (
    Choice(value="one", label="One"),
    Choice(value="two", label="Two, back to back"),
    Choice(value="three", label="Three, 120° apart"),
    Choice(value=OWN, label="Each its own way"),
    Choice(value=NONE, label="Not seen yet"),
)
OWN_FIELDS = ("azimuth_a", "azimuth_b", "azimuth_c", "azimuth_d")
LABELS = "ABCD"


class SiteForm(Form):
    """Name, mount, operator and, for a new site, its panels; the place by one touch."""

    name = "site"
    title = "Site"
    row_kind = Site
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """Panels are asked for once; later each panel has its own sheet."""
        panels = () if texts.get("known") else _panel_fields(session, texts)
        return (*_who(session), *panels, *_state(bool(texts.get("known"))), *place_fields())

    def start(self, session: Session) -> Texts:
        """What was seen with one's own eyes, until told otherwise."""
        return {"status": SiteStatus.SEEN.value}

    def texts_of(self, session: Session, row: Site) -> Texts:
        """The site as it stands."""
        return {
            "known": "yes",
            "name": row.name,
            "kind": row.kind.value,
            "operator": row.operator,
            "status": row.status.value,
            "height": plain(row.height_m),
            "text": row.text,
            **place_texts(row),
        }

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """A typed coordinate is a typed place."""
        return {"placed": PositionFrom.TYPED.value} if name in ("lat", "lon") else {}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """Which way the panels of a regular layout look."""
        looks = azimuths(texts)
        if name == "azimuth" and looks:
            return f"Panels look {', '.join(degrees(look) for look in looks)} true."
        return ""

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """Ways to place the site at one touch."""
        placed = session.stop is not None and session.stop.lat_deg is not None
        beneath = Choice(value=HERE, label="I stand beneath it", icon="stop")
        plan = Choice(value=ON_PLAN, label="Place it on the plan", icon="plan")
        return (beneath, plan) if placed else (plan,)

    def act(self, sheet: Any, action: str) -> None:
        """Take the stop's place, or ask for a tap on the plan."""
        if action == HERE:
            texts = place_texts(sheet.session.stop)
            texts["placed"] = PositionFrom.STOOD_BENEATH.value
            for name, text in texts.items():
                sheet.put(name, text)
        else:
            place_from_plan(sheet, "Tap where the site stands")

    def rows(self, session: Session, texts: Texts, row: Site | None) -> tuple[Row, ...]:
        """The site, and a panel for each azimuth that was given."""
        old = row or Site(name="")
        site = replace(
            old,
            name=texts.get("name", "").strip(),
            kind=SiteKind(texts.get("kind") or SiteKind.OTHER),
            operator=texts.get("operator", "").strip(),
            status=SiteStatus(texts.get("status") or SiteStatus.SEEN),
            height_m=amount(texts, "height"),
            text=texts.get("text", "").strip(),
            **place_of(old, texts),
        )
        sectors = [] if row else [
            Sector(site_id=site.id, label=LABELS[at], azimuth_deg=azimuth_deg)
            for at, azimuth_deg in enumerate(azimuths(texts))
        ]  # fmt: skip
        return (site, *sectors)

    def row_text(self, row: Site) -> str:
        """What a deletion is called."""
        return f"site {row.name}"


def azimuths(texts: Texts) -> list[float]:
    """The azimuths of the panels that were told."""
    layout = texts.get("layout", "")
    if layout == OWN:
        return [look for name in OWN_FIELDS if (look := amount(texts, name)) is not None]
    first = amount(texts, "azimuth")
    if first is None:
        return []
    return [(first + turn_deg) % 360.0 for turn_deg in LAYOUTS.get(layout, ())]


def _who(session: Session) -> tuple[Field, ...]:
    operators = chips(site.operator for site in session.sites)
    kinds = choices_of(SiteKind)
    return (
        Field(name="name", label="Name", kind=Kind.TEXT, needed=True),
        Field(name="kind", label="Mounted on", kind=Kind.CHOICE, choices=kinds),
        Field(name="operator", label="Operator", kind=Kind.TEXT, suggestions=operators),
    )


def _panel_fields(session: Session, texts: Texts) -> tuple[Field, ...]:
    layout = Field(name="layout", label="Panels", kind=Kind.CHOICE, choices=LAYOUT_CHOICES)
    if texts.get("layout") == OWN:
        own = (_azimuth(session, name, f"Panel {label}")
               for name, label in zip(OWN_FIELDS, LABELS, strict=True))  # fmt: skip
        return (layout, *own)
    if texts.get("layout") in LAYOUTS:
        return layout, _azimuth(session, "azimuth", "First panel looks")
    return (layout,)


def _azimuth(session: Session, name: str, label: str) -> Field:
    return Field(name=name, label=label, unit="° true", decimals=1, low=0, high=359.9)


def _state(is_known: bool) -> tuple[Field, ...]:
    states = choices_of(SiteStatus)
    return (
        Field(name="status", label="Status", kind=Kind.CHOICE, choices=states, on_path=is_known),
        Field(name="height", label="Height of the antennas", unit="m", decimals=1, low=0,
              high=1000, on_path=False),
        Field(name="text", label="Notes", kind=Kind.TEXT, on_path=False),
    )  # fmt: skip
