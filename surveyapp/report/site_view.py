"""A site as the page shows it: what it is, how sure its place is, its panels and photos."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from surveyapp.errors import FormatError
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.sightings import Fix
from surveyapp.model import Photo, Sector, Sighting, Site, Stop
from surveyapp.report.account import Account
from surveyapp.report.photos import PagePhoto, page_photo
from surveyapp.report.plan import panel_at
from surveyapp.report.plan_svg import rose_svg
from surveyapp.report.record import SurveyRecord
from surveyapp.report.words import (
    capital,
    channel_text,
    counted,
    degrees,
    joined,
    listed,
    number,
    tidy,
    with_unit,
)


@dataclass(frozen=True, kw_only=True)
class PanelView:
    """One panel as cells of a table."""

    label: str
    azimuth: str
    beam: str
    pci: str
    carriers: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class PhotoView:
    """A photo with its words; `picture` is None where it cannot be shown, and `why_not` says so."""

    picture: PagePhoto | None
    caption: str
    detail: str
    why_not: str = ""


@dataclass(frozen=True, kw_only=True)
class SiteView:
    """One site."""

    name: str
    facts: tuple[tuple[str, str], ...]
    rose: Markup
    panels: tuple[PanelView, ...]
    photos: tuple[PhotoView, ...]
    fix: str
    text: str


def site_views(account: Account) -> tuple[list[SiteView], list[PhotoView]]:
    """All sites, each with the photos that show it, and the photos that show none."""
    record = account.record
    by_site, others = _sorted_photos(record)
    stops = {stop.id: stop for stop in record.of(Stop)}
    views = [
        _site_view(record, site, account.fixes.get(site.id),
                   tuple(_photo_view(record, photo, stops) for photo in by_site.get(site.id, ())))
        for site in record.of(Site)
    ]  # fmt: skip
    return views, [_photo_view(record, photo, stops) for photo in others]


def _sorted_photos(record: SurveyRecord) -> tuple[Mapping[str, list[Photo]], list[Photo]]:
    """A photo goes with the site its caption names, else with none."""
    by_site: dict[str, list[Photo]] = {}
    others = []
    sites = sorted(record.of(Site), key=lambda site: -len(site.name))
    for photo in record.of(Photo):
        caption = photo.caption.casefold()
        named = (site for site in sites if site.name and site.name.casefold() in caption)
        site = next(named, None)
        if site is None:
            others.append(photo)
        else:
            by_site.setdefault(site.id, []).append(photo)
    return by_site, others


def _photo_view(record: SurveyRecord, photo: Photo, stops: Mapping[str, Stop]) -> PhotoView:
    stop = stops.get(photo.stop_id or "")
    said = f"from stop {stop.number}" if stop else ""
    detail = joined(
        [
            said if said not in photo.caption else "",
            f"looking {degrees(photo.direction_deg)}" if photo.direction_deg is not None else "",
        ]
    )
    content = record.pictures.get(photo.file)
    if content is None:
        return PhotoView(picture=None, caption=photo.caption, detail=detail,
                         why_not="The picture's file is missing.")  # fmt: skip
    try:
        picture = page_photo(content)
    except FormatError as error:
        return PhotoView(picture=None, caption=photo.caption, detail=detail, why_not=str(error))
    return PhotoView(picture=picture, caption=photo.caption, detail=detail)


def _site_view(
    record: SurveyRecord, site: Site, found: Fix | str | None, photos: tuple[PhotoView, ...]
) -> SiteView:
    sectors = [sector for sector in record.of(Sector) if sector.site_id == site.id]
    panels = [panel_at(sector, (0.0, 0.0), 1.0) for sector in sectors]
    drawn = [panel for panel in panels if panel is not None]
    return SiteView(
        name=site.name,
        facts=tuple(_facts(record, site)),
        rose=rose_svg(drawn, site.name) if drawn else Markup(""),
        panels=tuple(_panel_view(sector) for sector in sectors),
        photos=photos,
        fix=_fix_text(site, found),
        text=site.text,
    )


def _facts(record: SurveyRecord, site: Site) -> Iterable[tuple[str, str]]:
    if site.operator:
        yield "Operator", site.operator
    yield "Stands on", f"{capital(site.kind)}, {site.status}"
    if site.height_m is not None:
        yield "Antennas", f"{number(site.height_m)} m above the street"
    if site.lat_deg is not None and site.lon_deg is not None:
        place = f"{site.lat_deg:.6f}, {site.lon_deg:.6f}".replace("-", "−")
        sigma = site.position_sigma_m
        known = f" ± {number(sigma, 0)} m" if sigma is not None else ""
        how = f", {site.position_from}" if site.position_from else ""
        yield "Position", f"{place}{known}{how}"
    else:
        yield "Position", "not known yet"
    seen = {s.stop_id for s in record.of(Sighting) if s.site_id == site.id}
    numbers = [str(stop.number) for stop in record.of(Stop) if stop.id in seen]
    if numbers:
        yield "Sighted from", f"stop{'s' if len(numbers) > 1 else ''} {listed(numbers)}"


def _fix_text(site: Site, found: Fix | str | None) -> str:
    """Where the bearings meet, beside where the site is noted."""
    if found is None or isinstance(found, str):
        return found or ""
    used = len(found.residuals_deg) - len(found.outliers)
    words = (
        f"{counted(used, 'bearing')} meet within {number(found.ellipse_major_m, 0)} m by "
        f"{number(found.ellipse_minor_m, 0)} m (95 %)"
    )
    if site.lat_deg is not None and site.lon_deg is not None:
        line = inverse(site.lat_deg, site.lon_deg, found.lat_deg, found.lon_deg)
        words += f", {number(line.distance_m, 0)} m from the place noted"
    return tidy(" ".join([f"{words}.", *found.remarks]))


def _panel_view(sector: Sector) -> PanelView:
    sigma = sector.azimuth_sigma_deg
    known = (
        f" ± {number(sigma, 0)}°" if sigma is not None and sector.azimuth_deg is not None else ""
    )
    tilt = f"tilted {number(sector.downtilt_deg)}° down" if sector.downtilt_deg is not None else ""
    height = f"{number(sector.height_m)} m high" if sector.height_m is not None else ""
    power = f"EIRP {with_unit(sector.eirp_dbm, 'dBm')}" if sector.eirp_dbm is not None else ""
    wide = f"{number(sector.beamwidth_deg, 0)}° wide" if sector.beamwidth_deg is not None else ""
    return PanelView(
        label=sector.label or "panel",
        azimuth=f"{degrees(sector.azimuth_deg)}{known}",
        beam=", ".join(part for part in (wide, tilt, height, power) if part) or "–",
        pci=str(sector.pci) if sector.pci is not None else "–",
        carriers=tuple(channel_text(carrier) for carrier in sector.carriers),
    )
