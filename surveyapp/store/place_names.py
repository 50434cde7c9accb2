"""Names of places that a service was asked for, kept so that nothing is asked twice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from surveyapp.store.connection import Connection
from surveyapp.store.values import take_time


class KeptPlaceNames:
    """The part of a notebook that keeps answers about places, each for some ten metres around."""

    _connection: Connection
    _clock: Callable[[], datetime]

    def kept_place_name(self, lat_deg: float, lon_deg: float) -> str | None:
        """The name kept for this place, or None where it was never asked for."""
        found = self._connection.one(
            "SELECT name FROM place_name WHERE place = ?", (_key(lat_deg, lon_deg),)
        )
        return None if found is None else str(found[0])

    def keep_place_name(self, lat_deg: float, lon_deg: float, name: str) -> None:
        """Keep the answer about a place."""
        self._connection.run(
            "INSERT OR REPLACE INTO place_name VALUES (?, ?, ?)",
            (_key(lat_deg, lon_deg), name, take_time(self._clock())),
        )


def _key(lat_deg: float, lon_deg: float) -> str:
    return f"{lat_deg:.4f},{lon_deg:.4f}"
