"""What all readers of leads share: one row of a file to one site to look for.

A lead is a Site of status `lead` whose position comes from a record. Its id follows from its
name and place, so bringing the same file in again finds the same rows.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Gatherer, Trouble
from surveyapp.exchange.files import refused
from surveyapp.geometry.geodesy import check_position, inverse
from surveyapp.geometry.position_text import (
    parse_latitude_deg,
    parse_longitude_deg,
    parse_position,
)
from surveyapp.model import PositionFrom, Site, SiteKind, SiteStatus

MOST_LEADS = 20_000
LONGEST_NAME = 200
HIGHEST_M = 500.0
_SPACE = uuid.UUID("6f0c1a52-2b7e-5d43-9c56-0f3a6e9b7d10")  # drawn once, for ids of leads only


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadsRead:
    """The good rows of a file as sites, and each bad row with its place."""

    leads: tuple[Site, ...]
    problems: tuple[Trouble, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadRow:
    """One row as the file has it, all as text; `position` may stand for both degrees."""

    lat: str = ""
    lon: str = ""
    position: str = ""
    name: str = ""
    operator: str = ""
    kind: str = ""
    height: str = ""
    text: str = ""

    def site(self, otherwise: str) -> Site:
        """The lead, called `otherwise` where it has no name. Raises InvalidValue."""
        lat_deg, lon_deg = self._degrees()
        check_position(lat_deg, lon_deg)
        _refuse_what_is_no_text(self)
        name = " ".join(self.name.split())[:LONGEST_NAME] or otherwise
        kind = _KINDS.get(self.kind.strip().casefold(), SiteKind.OTHER)
        told = [self.text.strip()]
        if self.kind.strip() and kind is SiteKind.OTHER and self.kind.strip().casefold() != "other":
            told.append(f"Kind: {self.kind.strip()}.")
        key = f"{name.casefold()}|{lat_deg:.6f}|{lon_deg:.6f}"
        return Site(
            id=str(uuid.uuid5(_SPACE, key)),
            name=name,
            operator=self.operator.strip(),
            kind=kind,
            status=SiteStatus.LEAD,
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            position_from=PositionFrom.RECORD,
            height_m=_height_m(self.height),
            text="\n".join(part for part in told if part),
        )

    def _degrees(self) -> tuple[float, float]:
        """Latitude and longitude in any usual form."""
        if not self.lat.strip() and not self.lon.strip():
            if not self.position.strip():
                raise InvalidValue("it has no position", value="")
            return parse_position(self.position)
        return parse_latitude_deg(self.lat), parse_longitude_deg(self.lon)


class LeadGatherer:
    """Takes rows one by one and keeps good and bad apart; `path` is named in refusals."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._gatherer: Gatherer[Site] = Gatherer(path, MOST_LEADS)
        self._first: dict[str, str] = {}

    def take(self, place: str, row: LeadRow) -> None:
        """Keep a row's lead, or list what is wrong with it."""
        self._gatherer.take(place, lambda: self._new(place, row))

    def refuse(self, place: str, what: str) -> None:
        """List a row that is no lead."""
        self._gatherer.refuse(place, what)

    def finish(self) -> LeadsRead:
        """All that was taken; raises FormatError where the file holds no row at all."""
        leads, problems = tuple(self._gatherer.good), tuple(self._gatherer.troubles)
        if not leads and not problems:
            raise refused(self._path, "holds no lead: each needs a latitude and a longitude")
        return LeadsRead(leads=leads, problems=problems)

    def _new(self, place: str, row: LeadRow) -> Site:
        """The row's lead; raises InvalidValue where an earlier row gave it."""
        count = len(self._gatherer.good) + len(self._gatherer.troubles) + 1
        lead = row.site(f"Lead {count}")
        if lead.id in self._first:
            raise InvalidValue(f"it repeats {self._first[lead.id]}")
        self._first[lead.id] = place
        return lead


LeadReader = Callable[[Path], LeadsRead]
_KINDS = {kind.value: kind for kind in SiteKind}


def new_leads(
    leads: Iterable[Site], known: Iterable[Site], same_m: float = 20.0
) -> tuple[list[Site], list[Site]]:
    """The leads not in the notebook yet, and those that are: by id, or by name and place.

    A lead counts as known where a site of the same name stands within `same_m` metres.
    """
    sites = list(known)
    ids = {site.id for site in sites}
    by_name: dict[str, list[Site]] = {}
    for site in sites:
        by_name.setdefault(site.name.casefold(), []).append(site)
    fresh: list[Site] = []
    old: list[Site] = []
    for lead in leads:
        assert lead.lat_deg is not None
        assert lead.lon_deg is not None
        near = any(
            site.lat_deg is not None
            and site.lon_deg is not None
            and inverse(lead.lat_deg, lead.lon_deg, site.lat_deg, site.lon_deg).distance_m <= same_m
            for site in by_name.get(lead.name.casefold(), [])
        )
        (old if near or lead.id in ids else fresh).append(lead)
    return fresh, old


def _refuse_what_is_no_text(row: LeadRow) -> None:
    """JSON can tell of half a surrogate pair, which stands for no character (Unicode, D75)."""
    try:
        f"{row.name}{row.operator}{row.kind}{row.text}".encode()
    except UnicodeEncodeError:
        raise InvalidValue("it holds characters that are no text") from None


def _height_m(text: str) -> float | None:
    """A height in metres, None where none is told. Raises InvalidValue."""
    stripped = text.strip().removesuffix("m").strip()
    if not stripped:
        return None
    try:
        height_m = float(stripped.replace(",", "."))
    except ValueError:
        height_m = -1.0
    if not 0.0 <= height_m <= HIGHEST_M:
        raise InvalidValue(
            f"the height '{text[:40]}' is not in metres from 0 to {HIGHEST_M:g}",
            value=text,
            allowed=f"0 to {HIGHEST_M:g} m",
        )
    return height_m
