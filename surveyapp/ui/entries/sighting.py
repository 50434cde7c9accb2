"""The sighting sheet: a bearing to a site or one of its panels, how it is seen and turned."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import NorthReference, Row, Sector, Sighting, Site, SiteKind, Stop, View
from surveyapp.ui.compass_now import corrected
from surveyapp.ui.entries.field import Choice, Field, Kind, Sign
from surveyapp.ui.entries.form import Form, Texts, amount, choices_of, plain
from surveyapp.ui.entries.sensed import (
    TAKE_ELEVATION,
    TAKE_HEADING,
    WAVERED,
    sensed,
    take_bearing,
    take_elevation,
)
from surveyapp.ui.north import declination_at_stop_deg, true_bearing_deg, turned_to_true
from surveyapp.ui.session import Pick, Session
from surveyapp.ui.words import degrees, joined, number, panel_text

NEW = "new"
ON_PLAN = "bearing on the plan"
BY_CHECK, CORRECTED = "by the check ", "corrected"
FACINGS = (
    Choice(value="0", label="Looks at me", icon="facing_front"),
    Choice(value="45", label="Half to my left", icon="facing_half_left"),
    Choice(value="-45", label="Half to my right", icon="facing_half_right"),
    Choice(value="90", label="Edge on, left", icon="facing_edge_left"),
    Choice(value="-90", label="Edge on, right", icon="facing_edge_right"),
    Choice(value="180", label="Its back", icon="facing_back"),
)


class SightingForm(Form):
    """Site, bearing, view and facing on the path; the rest a tap away."""

    name = "sighting"
    title = "Sighting"
    row_kind = Sighting

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """Two more fields for a site that is new."""
        sites = (*site_choices(session), Choice(value=NEW, label="New site", icon="add"))
        first = Field(name="site", label="Site", kind=Kind.CHOICE, choices=sites, needed=True)
        new = _NEW_SITE if texts.get("site") == NEW else ()
        return (first, *new, _bearing(session, texts), *_SEEN, *_ASIDE, _panel(session, texts))

    def start(self, session: Session) -> Texts:
        """A compass reads against magnetic north; with no site yet it is a new one."""
        start = {"reference": NorthReference.MAGNETIC.value}
        return start if session.sites else {**start, "site": NEW}

    def texts_of(self, session: Session, row: Sighting) -> Texts:
        """The sighting as it was typed: the bearing as read."""
        return {
            "site": row.site_id,
            "bearing": plain(row.raw_bearing_deg),
            "reference": row.raw_reference.value,
            "view": row.view.value if row.view else "",
            "facing": plain(row.facing_deg),
            "elevation": plain(row.elevation_deg),
            "distance": plain(row.distance_m),
            "sigma": plain(row.sigma_deg),
            "sector": row.sector_id or "",
        }

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """Another site has other panels; a bearing typed over is no longer the compass's."""
        if name == "bearing":
            return {WAVERED: ""}
        return {"sector": ""} if name == "site" else {}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """The true bearing, as soon as one is typed."""
        raw = amount(texts, "bearing")
        if name not in ("bearing", "reference") or raw is None:
            return ""
        turn = declination_at_stop_deg(session.stop)
        reference = NorthReference(texts["reference"])
        true = true_bearing_deg(raw, reference, turn)
        if true is None:
            return "Kept as read: true north is worked out when the stop has a position."
        added = f"declination {number(turn)}° added" if reference is NorthReference.MAGNETIC else ""
        wavered = f"wavered {texts[WAVERED]}°" if texts.get(WAVERED) else ""
        return joined([f"{degrees(true)} true", added, wavered])

    def suggested(self, sheet: Any, value: str) -> None:
        """A bearing corrected by the check is not offered to be corrected again."""
        if not value.startswith(BY_CHECK):
            super().suggested(sheet, value)
            return
        bearing = value.removeprefix(BY_CHECK)
        sheet.put_all({"bearing": bearing, CORRECTED: bearing})
        sheet.step(1)

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The compass and the tilt; near steel a bearing from the plan is better."""
        placed = session.stop is not None and session.stop.lat_deg is not None
        plan = Choice(value=ON_PLAN, label="Bearing from the plan", icon="locate")
        own = sensed(session, TAKE_HEADING, TAKE_ELEVATION)
        return (*own, plan) if placed else own

    def act(self, sheet: Any, action: str) -> None:
        """Take what the sensors say, or ask for a tap on what is sighted."""
        if action == TAKE_HEADING.value:
            take_bearing(sheet)
            return
        if action == TAKE_ELEVATION.value:
            take_elevation(sheet)
            return
        stop = sheet.session.stop
        sheet.session.ask_on_plan(
            Pick(
                "bearing",
                "Tap what you are looking at",
                lambda lat, lon: _take_point(sheet, lat, lon),
                stop.lat_deg,
                stop.lon_deg,
            )
        )

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """The sighting, with the site first where it is new."""
        stop = session.notebook.get(Stop, row.stop_id) if row else session.need_stop()
        new = [_new_site(texts)] if texts.get("site") == NEW else []
        site_id = new[0].id if new else texts["site"]
        base = row or Sighting(stop_id=stop.id, site_id=site_id)
        reference = NorthReference(texts.get("reference") or NorthReference.MAGNETIC)
        raw = amount(texts, "bearing")
        read = replace(
            base,
            site_id=site_id,
            sector_id=texts.get("sector") or None,
            raw_bearing_deg=raw,
            raw_reference=reference,
            bearing_deg=raw if reference is NorthReference.TRUE else None,
            declination_deg=None,
            sigma_deg=amount(texts, "sigma"),
            elevation_deg=amount(texts, "elevation"),
            distance_m=amount(texts, "distance"),
            facing_deg=amount(texts, "facing"),
            view=View(texts["view"]) if texts.get("view") else None,
        )
        return (*new, turned_to_true(read, stop))


def site_choices(session: Session) -> tuple[Choice, ...]:
    """The sites, the nearest to the stop first, those without a position last."""
    stop = session.stop

    def far(site: Site) -> tuple[float, str]:
        if stop is None or stop.lat_deg is None or site.lat_deg is None:
            return float("inf"), site.name
        return inverse(stop.lat_deg, stop.lon_deg, site.lat_deg, site.lon_deg).distance_m, site.name

    return tuple(Choice(value=s.id, label=s.name) for s in sorted(session.sites, key=far))


_NEW_SITE = (
    Field(name="site_name", label="Name of the new site", kind=Kind.TEXT, needed=True),
    Field(name="site_kind", label="Mounted on", kind=Kind.CHOICE, choices=choices_of(SiteKind)),
)
_SEEN = (
    Field(name="view", label="View", kind=Kind.CHOICE, choices=choices_of(View)),
    Field(name="facing", label="How it is turned", kind=Kind.CHOICE, choices=FACINGS),
)
_ASIDE = (
    Field(
        name="reference",
        label="Bearing against",
        kind=Kind.CHOICE,
        choices=choices_of(
            NorthReference, {"magnetic": "Magnetic north", "true": "True north"}
        ),
        on_path=False,
    ),
    Field(name="elevation", label="Elevation", unit="°", sign=Sign.EITHER, decimals=1,
          low=-90, high=90, on_path=False),
    Field(name="distance", label="Distance", unit="m", decimals=1, low=0, high=50_000,
          on_path=False),
    Field(name="sigma", label="Bearing's sigma", unit="°", decimals=1, low=0, high=180,
          on_path=False),
)  # fmt: skip


def _bearing(session: Session, texts: Texts) -> Field:
    """The bearing; offered are the heading told, and what the compass check makes of it."""
    told, read = session.live_heading, amount(texts, "bearing")
    offered = [] if told is None else [
        Choice(value=plain(told.raw_deg), label=f"Heading {degrees(told.raw_deg)}")
    ]  # fmt: skip
    magnetic = texts.get("reference") == NorthReference.MAGNETIC.value
    if read is not None and magnetic and texts["bearing"] != texts.get(CORRECTED):
        better = corrected(session, read)
        if better is not None:
            offered.append(Choice(value=f"{BY_CHECK}{plain(better[0])}", label=better[1]))
    return Field(
        name="bearing", label="Bearing", unit="°", decimals=1, low=0, high=359.9,
        suggestions=tuple(offered),
    )  # fmt: skip


def _panel(session: Session, texts: Texts) -> Field:
    known = texts.get("site", NEW)
    sectors = session.notebook.all(Sector, site_id=known) if known != NEW else []
    panels = tuple(Choice(value=s.id, label=panel_text(s)) for s in sectors)
    whole = Choice(value="", label="The site as a whole")
    return Field(
        name="sector", label="Which panel", kind=Kind.CHOICE, choices=(whole, *panels),
        on_path=False,
    )  # fmt: skip


def _new_site(texts: Texts) -> Site:
    name = texts.get("site_name", "").strip()
    if not name:
        raise InvalidValue("Name of the new site is needed.", value=name)
    return Site(name=name, kind=SiteKind(texts.get("site_kind") or SiteKind.OTHER))


def _take_point(sheet: Any, lat_deg: float, lon_deg: float) -> None:
    stop = sheet.session.stop
    azimuth = inverse(stop.lat_deg, stop.lon_deg, lat_deg, lon_deg).azimuth_deg
    sheet.put("reference", NorthReference.TRUE.value)
    sheet.put("bearing", f"{azimuth:.1f}")
