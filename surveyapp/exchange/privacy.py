"""What is hidden before a survey leaves the surveyor's hands: a step between rows and writers.

The rows go in and other rows come out; no writer sees what was hidden. Free texts (titles,
captions, remarks) are the surveyor's own words and stay: read them before publishing.
"""

from __future__ import annotations

import hashlib
import math
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from surveyapp.exchange.content import Content
from surveyapp.exchange.picture_bytes import only_pixels
from surveyapp.exchange.places_of_rows import own_place
from surveyapp.exchange.plain_rows import fields_of
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Device, Photo, Row, Sighting, Site, Stop, Survey

STAMPS = ("created_utc", "changed_utc", "deleted_utc")
BLUR_M = 1000.0  # the grid that a blurred stop is moved to, our choice


class NearHome(StrEnum):
    """What becomes of what lies near a home place."""

    CUT = "cut"
    BLUR = "blur"


@dataclass(frozen=True, kw_only=True, slots=True)
class HomePlace:
    """A place not to be found out, and how far around it nothing may show."""

    lat_deg: float
    lon_deg: float
    radius_m: float = 300.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Privacy:
    """What to hide; the defaults are the safe ones. `grid_m` is the grid stops are moved to,
    None to leave them; `salt` makes the phones' new ids, so that nobody can undo them."""

    home_places: tuple[HomePlace, ...] = ()
    near_home: NearHome = NearHome.CUT
    picture_facts: bool = True
    devices: bool = True
    exact_times: bool = True
    grid_m: float | None = 50.0
    salt: str = ""


NOTHING = Privacy(picture_facts=False, devices=False, exact_times=False, grid_m=None)
"""Hide nothing: a copy for the surveyor's own use."""


def hidden(content: Content, privacy: Privacy, workspace: Path) -> Content:
    """The content as it may be published; rewritten pictures lie in the folder `workspace`.

    Each survey says what was hidden in it, so that nobody takes the copy for the survey itself.
    Raises FormatError where a picture cannot be rewritten.
    """
    rows = hide_home(content.rows, privacy)
    if privacy.grid_m is not None:
        rows = [_coarse(row, privacy.grid_m) for row in rows]
    if privacy.exact_times:
        rows = [_to_the_hour(row) for row in rows]
    if privacy.devices:
        rows = hide_devices(rows, privacy.salt)
    named = {row.file for row in rows if isinstance(row, Photo)}
    pictures = {name: path for name, path in content.pictures.items() if name in named}
    if privacy.picture_facts:
        bare = {name: _rewritten(path, workspace) for name, path in pictures.items()}
        rows = [
            replace(row, file=bare[row.file].name) if isinstance(row, Photo) else row
            for row in rows
            if not isinstance(row, Photo) or row.file in bare
        ]
        pictures = {path.name: path for path in bare.values()}
    rows = [_marked(row, privacy) if isinstance(row, Survey) else row for row in rows]
    return Content(rows=rows, pictures=pictures)


def _marked(survey: Survey, privacy: Privacy) -> Survey:
    """The survey with what was hidden in words, this time or before."""
    words = {
        "places near home": bool(privacy.home_places),
        "exact stops": privacy.grid_m is not None,
        "exact times": privacy.exact_times,
        "phones": privacy.devices,
        "picture data": privacy.picture_facts,
    }
    before = [one for one in survey.hidden.split(", ") if one and one not in words]
    kept = [one for one, now in words.items() if now or one in survey.hidden.split(", ")]
    return replace(survey, hidden=", ".join([*before, *kept]))


def told(privacy: Privacy, *, pictures: bool = True) -> list[str]:
    """What was hidden, in words for the surveyor; `pictures` tells whether any go out at all."""
    words = []
    if privacy.home_places:
        does = "cut" if privacy.near_home is NearHome.CUT else "moved to a coarse grid"
        homes = len(privacy.home_places)
        near = "the home place" if homes == 1 else f"{homes} home places"
        words.append(f"what lies near {near} was {does}")
    if privacy.grid_m is not None:
        words.append(
            f"stops were moved to a grid of {privacy.grid_m:g} m, and their streets, bearings and "
            "distances, which would give them away, were left out"
        )
    if privacy.exact_times:
        words.append("times were cut to the hour")
    if privacy.devices:
        words.append("phones were renamed and their ids replaced")
    if privacy.picture_facts and pictures:
        words.append("pictures were rewritten without their data")
    return words


def hide_home(rows: Sequence[Row], privacy: Privacy) -> list[Row]:
    """Rows without what lies near a home place, or with it blurred.

    Pictures taken there go in both cases, and so do pictures from no known place; and so do
    places in words that no position proves to be elsewhere, the surveys' own where anything is
    near. Around each home the hidden circle is drawn about a point of a coarse grid, so that
    the hole it leaves does not have the home at its centre.
    """
    if not privacy.home_places:
        return list(rows)
    circles = [_circle(home) for home in privacy.home_places]
    near = {
        row.id
        for row in rows
        if (place := own_place(row)) is not None and _is_inside(place, circles)
    }
    gone = {
        row.id
        for row in rows
        if isinstance(row, Photo)
        and (row.id in near or row.stop_id in near or (row.stop_id is None and not own_place(row)))
    }
    rows = [_placeless(row, surveys=bool(near)) for row in rows]
    if privacy.near_home is NearHome.CUT:
        return without(rows, near | gone)
    kept = without(rows, gone)
    return [_blurred(row, near) for row in kept]


def without(rows: Sequence[Row], gone: Iterable[str]) -> list[Row]:
    """The rows without those of some ids, all that cannot be without them, and any mention."""
    lost = set(gone)
    while True:
        followers = {
            row.id
            for row in rows
            if row.id not in lost
            for field in fields_of(type(row))
            if _is_reference(field.name)
            and (not field.optional or field.name == "stop_id")
            and getattr(row, field.name) in lost
        }
        if not followers:
            break
        lost |= followers
    return [_unmentioning(row, lost) for row in rows if row.id not in lost]


def _is_reference(name: str) -> bool:
    return name.endswith("_id") or name == "together_with"


def _unmentioning(row: Row, lost: set[str]) -> Row:
    named = {
        field.name: None
        for field in fields_of(type(row))
        if _is_reference(field.name) and getattr(row, field.name) in lost
    }
    return replace(row, **named) if named else row  # type: ignore[arg-type]


def _circle(home: HomePlace) -> tuple[float, float, float]:
    """A circle that holds the home's, about the nearest point of a grid as wide as its radius."""
    lat_deg, lon_deg = on_grid(home.lat_deg, home.lon_deg, home.radius_m)
    shift_m = inverse(home.lat_deg, home.lon_deg, lat_deg, lon_deg).distance_m
    return lat_deg, lon_deg, home.radius_m + max(shift_m, home.radius_m / 2.0)


def _is_inside(place: tuple[float, float], circles: Sequence[tuple[float, float, float]]) -> bool:
    return any(inverse(*place, lat, lon).distance_m <= reach for lat, lon, reach in circles)


def _placeless(row: Row, *, surveys: bool) -> Row:
    """A stop from no known place, or a survey where asked for, without its place in words."""
    lost = isinstance(row, Stop) and own_place(row) is None
    if isinstance(row, Survey | Stop) and (lost or (surveys and isinstance(row, Survey))):
        return replace(row, place_text="")
    return row


def _blurred(row: Row, near: set[str]) -> Row:
    """A stop or site near home on the coarse grid; a sighting from there or of there without
    what would tell it."""
    if isinstance(row, Stop) and row.id in near:
        return _coarse(row, BLUR_M)
    if isinstance(row, Site) and row.id in near:
        assert row.lat_deg is not None
        assert row.lon_deg is not None
        lat_deg, lon_deg = on_grid(row.lat_deg, row.lon_deg, BLUR_M)
        return replace(row, lat_deg=lat_deg, lon_deg=lon_deg, position_sigma_m=BLUR_M)
    if isinstance(row, Sighting) and (row.stop_id in near or row.site_id in near):
        return _coarse(row, BLUR_M)
    return row


def _coarse(row: Row, grid_m: float) -> Row:
    """A stop or photo on the grid, without its streets; a sighting without what would give its
    stop away: with a panel's azimuth the way it faces is a bearing too."""
    if isinstance(row, Sighting):
        return replace(
            row, bearing_deg=None, raw_bearing_deg=None, declination_deg=None,
            elevation_deg=None, distance_m=None, sigma_deg=None, facing_deg=None,
        )  # fmt: skip
    if isinstance(row, Photo):
        row = replace(row, direction_deg=None, direction_reference=None)
    if isinstance(row, Stop):
        row = replace(row, place_text="")
    place = own_place(row)
    if place is None or not isinstance(row, Stop | Photo):
        return row
    lat_deg, lon_deg = on_grid(*place, grid_m)
    if isinstance(row, Photo):
        return replace(row, lat_deg=lat_deg, lon_deg=lon_deg)
    sigma_m = math.hypot(row.position_sigma_m or 0.0, grid_m / math.sqrt(6.0))
    return replace(row, lat_deg=lat_deg, lon_deg=lon_deg, position_sigma_m=round(sigma_m, 1))


def on_grid(lat_deg: float, lon_deg: float, grid_m: float) -> tuple[float, float]:
    """The nearest point of a grid that is the same for every place and time, so that no
    average over many visits leads back; six decimals."""
    step_lat_deg = grid_m / 111_000.0
    row_lat_deg = min(90.0, max(-90.0, round(lat_deg / step_lat_deg) * step_lat_deg))
    east_m, _ = Plane(row_lat_deg, 0.0).to_plane(row_lat_deg, 0.01)
    step_lon_deg = 0.01 * grid_m / max(float(east_m), 1.0)
    columns = max(1, round(360.0 / step_lon_deg))  # whole, so that the grid closes round the Earth
    column_lon_deg = round(lon_deg / 360.0 * columns) * 360.0 / columns
    return round(row_lat_deg, 6), round((column_lon_deg + 180.0) % 360.0 - 180.0, 6)


def _to_the_hour(row: Row) -> Row:
    """A row without stamps, and with its times cut to the hour."""
    times = {
        field.name: held.replace(minute=0, second=0, microsecond=0)
        for field in fields_of(type(row))
        if field.held is datetime and (held := getattr(row, field.name)) is not None
    }
    return replace(row, **(times | dict.fromkeys(STAMPS)))


def hide_devices(rows: Sequence[Row], salt: str) -> list[Row]:
    """Rows whose phones are numbered, under new ids; model and operator stay, for they matter."""
    phones = sorted((row for row in rows if isinstance(row, Device)), key=lambda one: one.label)
    ids = {phone.id: str(uuid.uuid5(uuid.NAMESPACE_OID, f"{salt} {phone.id}")) for phone in phones}
    numbers = {phone.id: number for number, phone in enumerate(phones, start=1)}
    hidden_rows: list[Row] = []
    for row in rows:
        if isinstance(row, Device):
            row = replace(row, id=ids[row.id], label=f"Phone {numbers[row.id]}", system="", text="")
        elif getattr(row, "device_id", None) in ids:
            row = replace(row, device_id=ids[row.device_id])  # type: ignore[call-arg,attr-defined]
        hidden_rows.append(row)
    return hidden_rows


def _rewritten(source: Path, workspace: Path) -> Path:
    content = only_pixels(source.read_bytes())
    suffix = ".png" if content.startswith(b"\x89PNG") else ".jpg"
    target = workspace / (hashlib.sha256(content).hexdigest() + suffix)
    target.write_bytes(content)
    return target
