"""A wish for a tap on the plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Pick:
    """A wish for a tap on the plan: `want` is 'position' or 'bearing', `take` gets lat, lon.

    A bearing is wished for from (`from_lat_deg`, `from_lon_deg`): take gets the far point.
    """

    want: str
    title: str
    take: Callable[[float, float], None]
    from_lat_deg: float | None = None
    from_lon_deg: float | None = None
