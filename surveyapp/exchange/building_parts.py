"""Buildings told in parts: what of them really stands on the ground.

OpenStreetMap describes a tall or stepped building by an outline and by parts inside it
(wiki page 'Simple 3D Buildings', from memory). The outline then carries the height of the
highest part, so taking it as solid would block sight lines that pass over the lower ones.
Here the parts replace an outline they cover; a part that begins higher up is kept where it
rests on something, and left out where the way beneath it is open.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from surveyapp.exchange.rings import inner_point, ring_area, ring_holds
from surveyapp.model import Building, LatLon

COVERED_SHARE = 0.9  # of the outline's area: mappers leave slivers between parts


@dataclass(frozen=True, slots=True)
class Volume:
    """A building or a building part, with the height at which it begins."""

    building: Building
    base_m: float = 0.0
    is_part: bool = False


def standing(
    volumes: Sequence[Volume], compare: Callable[[int], None] = lambda edges: None
) -> tuple[tuple[Building, ...], int]:
    """The solid buildings among `volumes`, in their order, and how many hang over the street.

    `compare` is told of edges before they are held against a point, and may raise.
    """
    kept = {n: volume.building for n, volume in enumerate(volumes) if volume.base_m <= 0.0}
    raised = [n for n, volume in enumerate(volumes) if volume.base_m > 0.0]
    _replace_covered_outlines(volumes, kept, compare)
    holders = _holders(volumes, list(kept), raised, compare)
    resting = [number for number in raised if holders[number]]
    kept |= {number: volumes[number].building for number in resting}
    return tuple(kept[n] for n in sorted(kept)), len(raised) - len(resting)


def _replace_covered_outlines(
    volumes: Sequence[Volume], kept: dict[int, Building], compare: Callable[[int], None]
) -> None:
    """Take out of `kept` each outline that its parts cover; they inherit what they lack."""
    on_ground = [n for n in kept if volumes[n].is_part]
    outlines = [n for n in kept if not volumes[n].is_part]
    inside: dict[int, list[int]] = defaultdict(list)
    for part, holders in _holders(volumes, outlines, on_ground, compare).items():
        for outline in holders:
            inside[outline].append(part)
    for outline, members in inside.items():
        whole = kept[outline]
        covered = sum(_area(kept[part]) for part in members)
        if covered < COVERED_SHARE * _area(whole):
            continue
        del kept[outline]
        for part in members:
            kept[part] = replace(
                kept[part],
                name=kept[part].name or whole.name,
                height_m=whole.height_m if kept[part].height_m is None else kept[part].height_m,
            )


def _holders(
    volumes: Sequence[Volume],
    holders: Sequence[int],
    held: Sequence[int],
    compare: Callable[[int], None],
) -> dict[int, list[int]]:
    """For each number in `held`, the numbers in `holders` whose footprint is under it."""
    points = sorted((inner_point(volumes[n].building.outline_deg), n) for n in held)
    lats = [point[0] for point, _ in points]
    found: dict[int, list[int]] = {number: [] for number in held}
    if not points:
        return found
    for holder in holders:
        building = volumes[holder].building
        south = min(lat for lat, _ in building.outline_deg)
        north = max(lat for lat, _ in building.outline_deg)
        west = min(lon for _, lon in building.outline_deg)
        east = max(lon for _, lon in building.outline_deg)
        for point, number in points[bisect_left(lats, south) : bisect_right(lats, north)]:
            if not west <= point[1] <= east:
                continue
            compare(len(building.outline_deg))
            if number != holder and _stands_over(building, point):
                found[number].append(holder)
    return found


def _stands_over(building: Building, point: LatLon) -> bool:
    return ring_holds(building.outline_deg, *point) and not any(
        ring_holds(hole, *point) for hole in building.holes_deg
    )


def _area(building: Building) -> float:
    return ring_area(building.outline_deg) - sum(ring_area(hole) for hole in building.holes_deg)
