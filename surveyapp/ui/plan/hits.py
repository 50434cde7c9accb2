"""What lies under a finger: the marks near a place of the plane, the likeliest first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot
from typing import Any

from surveyapp.ui.plan.findings import StandMark
from surveyapp.ui.plan.marks import Mark, Place, PlanMarks

LINE_SHARE = 0.5  # a line must be hit closer than a point by this factor
MOST_STOPS = 200  # under one finger; of more the nearest are told


def hits(
    marks: PlanMarks,
    at: Place,
    reach_m: float,
    *,
    stands: Sequence[StandMark] = (),
    behind: Mapping[str, Sequence[int]] | None = None,
    aside: Mapping[str, tuple[float, float]] | None = None,
) -> list[Mark | StandMark]:
    """Marks within `reach_m` of a place, the nearest first; lines after all that is a point.

    `stands` are proposed places, `behind` the indexes of the stops drawn below another one,
    by its id, `aside` by how many metres a stop is drawn off its place, by its id: a finger on
    its circle means that stop.
    """
    stops = marks.stops.near(at, reach_m, MOST_STOPS)
    points: list[tuple[float, int, Any]] = [
        (_apart_m(mark.at, at), order, mark)
        for order, mark in enumerate((*stands, *marks.sites, *stops, *marks.photos, *marks.fixes))
    ]
    lines = [
        (_off_line_m(at, ray.start, ray.end), order, ray) for order, ray in enumerate(marks.rays)
    ]
    near = sorted(found for found in points if found[0] <= reach_m)
    along = sorted(found for found in lines if found[0] <= reach_m * LINE_SHARE)
    found = [mark for _, _, mark in (*near, *along)]
    circled = _circled(marks, at, reach_m / 2, aside or {})
    found = [*circled, *(mark for mark in found if mark not in circled)]
    below = [index for mark in found for index in (behind or {}).get(mark.row_id, ())]
    hidden = marks.stops.take(below[:MOST_STOPS])
    return [*found, *(mark for mark in hidden if mark not in found)]


def found_again(
    marks: PlanMarks, found: Sequence[Mark | StandMark], stands: Sequence[StandMark] = ()
) -> list[Mark | StandMark]:
    """The same marks after the rows were read anew, without those that have gone."""
    letters = {stand.row_id: stand for stand in stands}
    now = [
        letters.get(mark.row_id)
        if isinstance(mark, StandMark)
        else marks.named(type(mark), mark.row_id)
        for mark in found
    ]
    return [mark for mark in now if mark is not None]


def _circled(
    marks: PlanMarks, at: Place, reach_m: float, aside: Mapping[str, tuple[float, float]]
) -> list[Mark]:
    """The stops drawn aside whose circles lie under the finger, the nearest first."""
    drawn = []
    for stop_id, (east_m, north_m) in aside.items():
        mark = marks.stops.named(stop_id)
        if mark is not None:
            circle = Place(mark.at.east_m + east_m, mark.at.north_m + north_m)
            drawn.append((_apart_m(circle, at), stop_id, mark))
    return [mark for far_m, _, mark in sorted(drawn, key=lambda one: one[:2]) if far_m <= reach_m]


def _apart_m(one: Place, other: Place) -> float:
    return hypot(one.east_m - other.east_m, one.north_m - other.north_m)


def _off_line_m(at: Place, start: Place, end: Place) -> float:
    """The distance from a place to the nearest point of a line."""
    east, north = end.east_m - start.east_m, end.north_m - start.north_m
    square = east * east + north * north
    if square == 0.0:
        return _apart_m(at, start)
    share = ((at.east_m - start.east_m) * east + (at.north_m - start.north_m) * north) / square
    share = min(max(share, 0.0), 1.0)
    return _apart_m(at, Place(start.east_m + share * east, start.north_m + share * north))
