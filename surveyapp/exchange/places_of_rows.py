"""Where a row lies: its own position, or that of the stop or site it belongs to."""

from __future__ import annotations

from surveyapp.exchange.content import Content
from surveyapp.model import Row, Site, Stop

LatLon = tuple[float, float]


class PlacesOfRows:
    """Positions of the rows of one content."""

    def __init__(self, content: Content) -> None:
        self._places: dict[str, LatLon] = {}
        for row in (*content.of(Stop), *content.of(Site)):
            place = own_place(row)
            if place is not None:
                self._places[row.id] = place

    def of(self, row: Row) -> LatLon | None:
        """(lat_deg, lon_deg) of the row, of its stop, or of its site; None where none is known."""
        if hasattr(row, "lat_deg"):
            return own_place(row)
        owner = getattr(row, "stop_id", None) or getattr(row, "site_id", None)
        return self._places.get(owner or "")


def own_place(row: Row) -> LatLon | None:
    """A row's own position, where it has one."""
    lat_deg, lon_deg = getattr(row, "lat_deg", None), getattr(row, "lon_deg", None)
    return None if lat_deg is None or lon_deg is None else (lat_deg, lon_deg)
