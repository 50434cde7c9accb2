"""Which rows make up a survey: its entries, and all that these name."""

from __future__ import annotations

from collections.abc import Iterable

from surveyapp.model import Row, Sector, Site, Stop, Survey
from surveyapp.store.reach import box_around, within
from surveyapp.store.rows import KINDS, Kind, kind_of
from surveyapp.store.tables import Tables

NEAR_M = 600.0
"""Sites closer than this to a stop go with its survey: one of them may serve there."""


def rows_of(tables: Tables, survey_ids: Iterable[str] | None) -> list[Row]:
    """The undeleted rows of these surveys, or without any given all of the notebook.

    A survey's rows are what belongs to it, directly or through its stops; the phones and sites
    these name; the sites near its stops; and the panels of all these sites.
    """
    held = {kind: tables.select(kind, {}) for kind in KINDS.values()}
    if survey_ids is None:
        return [row for rows in held.values() for row in rows]
    wanted = {(kind_of(Survey).table, survey_id) for survey_id in survey_ids}
    _add_owned(held, wanted)
    _add_near(held, wanted)
    _add_named(held, wanted)
    _add_owned({kind_of(Sector): held[kind_of(Sector)]}, wanted)
    return [row for kind, rows in held.items() for row in rows if (kind.table, row.id) in wanted]


_Held = dict[Kind, list[Row]]
_Keys = set[tuple[str, str]]


def _add_owned(held: _Held, wanted: _Keys) -> None:
    """Add what belongs to a wanted survey, stop or site; KINDS lists owners before owned rows.

    Of several owners the first counts: a reading goes with its stop, not with its phone.
    """
    for kind, rows in held.items():
        owner = next((one for one in kind.references if one.owned), None)
        for row in rows:
            if owner and (owner.target, getattr(row, owner.field)) in wanted:
                wanted.add((kind.table, row.id))


def _add_named(held: _Held, wanted: _Keys) -> None:
    """Add what wanted rows name, and what that names."""
    by_key = {(kind.table, row.id): (kind, row) for kind, rows in held.items() for row in rows}
    queue = [key for key in wanted if key in by_key]
    for key in queue:  # grows while it is walked
        kind, row = by_key[key]
        for reference in kind.references:
            named = (reference.target, getattr(row, reference.field))
            if named in by_key and named not in wanted:
                wanted.add(named)
                queue.append(named)


def _add_near(held: _Held, wanted: _Keys) -> None:
    stops = [
        (row.lat_deg, row.lon_deg)
        for row in held[kind_of(Stop)]
        if isinstance(row, Stop) and (kind_of(Stop).table, row.id) in wanted
    ]
    places = [(lat, lon) for lat, lon in stops if lat is not None and lon is not None]
    boxes = [(box_around(lat, lon, NEAR_M), lat, lon) for lat, lon in places]
    for site in held[kind_of(Site)]:
        if not isinstance(site, Site) or site.lat_deg is None or site.lon_deg is None:
            continue
        if any(
            box.south_deg <= site.lat_deg <= box.north_deg
            and within(lat, lon, site.lat_deg, site.lon_deg, NEAR_M)
            for box, lat, lon in boxes
        ):
            wanted.add((kind_of(Site).table, site.id))
