"""What the kinds of streets of the ground mean for somebody on foot.

Kinds are OpenStreetMap highway values. Half widths of carriageways are common practice of
European streets, kerb to kerb; who may walk where is told by local signs, not by this table.
"""

from __future__ import annotations

PATHS = frozenset({"pedestrian", "footway", "path", "steps", "living_street", "bridleway"})
"""Kinds one walks and stands on as they are."""

HALF_WIDTH_M = {
    "motorway": 12.0, "trunk": 9.0, "primary": 7.0, "secondary": 6.0, "tertiary": 5.0,
    "motorway_link": 5.0, "trunk_link": 5.0, "primary_link": 4.5, "secondary_link": 4.5,
    "tertiary_link": 4.0, "unclassified": 4.0, "residential": 4.0, "road": 4.0, "busway": 4.0,
    "service": 2.5, "track": 2.0, "cycleway": 1.5,
}  # fmt: skip
"""Half the width of what is driven on; kinds that are missing here are not driven on."""

NOT_WALKED = frozenset({"motorway", "motorway_link", "trunk", "trunk_link", "busway"})
PAVEMENT_M = 1.5  # from the kerb to where one stands


def is_walked(kind: str) -> bool:
    """Whether one goes along it on foot; a kind not told counts as a street one does."""
    return kind not in NOT_WALKED


def half_width_m(kind: str) -> float:
    """Half the width of the carriageway, 0 where nothing drives; unknown kinds as residential."""
    if kind in PATHS:
        return 0.0
    return HALF_WIDTH_M.get(kind, HALF_WIDTH_M["residential"])
