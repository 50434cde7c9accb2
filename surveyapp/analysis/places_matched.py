"""Stops of different visits that stand at the same place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from surveyapp.analysis.pairs import Group
from surveyapp.analysis.runs import RunAt
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Stop


def place_name(stop: Stop, earlier: Stop | None = None) -> str:
    """A stop as a person says it, with its number on the other side where that is another."""
    other = earlier is not None and earlier.number != stop.number
    name = f"stop {stop.number}"
    if other and earlier is not None:
        name += f" ({earlier.number} on the other side)"
    return name + (f", {stop.place_text}" if stop.place_text else "")


def by_place(first: Sequence[RunAt], second: Sequence[RunAt], reach_m: float) -> list[Group]:
    """Groups of runs by place, named by the second side's stop; stops closest to each other are
    matched first, each side's stops once. Stops within `reach_m` of one of their own side count
    as one place with it.

    Runs at stops without a position, or without a counterpart, form groups of one side.
    """
    places, other_places = _places(first, reach_m), _places(second, reach_m)
    near = [
        (distance, place, other)
        for place, one in enumerate(places)
        for other, two in enumerate(other_places)
        if (distance := _distance_m(one[0].stop, two[0].stop)) <= reach_m
    ]
    partner: dict[int, int] = {}
    for _, place, other in sorted(near):
        if place not in partner and other not in partner.values():
            partner[place] = other
    groups = []
    for place, runs in enumerate(places):
        other_runs = other_places[partner[place]] if place in partner else []
        groups.append(_group(runs, other_runs))
    alone = [runs for other, runs in enumerate(other_places) if other not in partner.values()]
    return groups + [_group([], runs) for runs in alone]


def _group(first: Sequence[RunAt], second: Sequence[RunAt]) -> Group:
    stop = (second or first)[0].stop
    other = first[0].stop if first and second else None
    return Group(place=place_name(stop, other), first=tuple(first), second=tuple(second))


def _places(runs: Iterable[RunAt], reach_m: float) -> list[list[RunAt]]:
    """The runs of one side by place, each place named by the stop met first."""
    places: list[list[RunAt]] = []
    for run in sorted(runs, key=lambda one: one.time_utc):
        near = [place for place in places if _is_here(place[0].stop, run.stop, reach_m)]
        if near:
            min(near, key=lambda place: _distance_m(place[0].stop, run.stop)).append(run)
        else:
            places.append([run])
    return places


def _is_here(place: Stop, stop: Stop, reach_m: float) -> bool:
    return place.id == stop.id or _distance_m(place, stop) <= reach_m


def _distance_m(one: Stop, other: Stop) -> float:
    """Distance in metres; infinite where a position is missing."""
    if None in (one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg):
        return float("inf")
    if (one.lat_deg, one.lon_deg) == (other.lat_deg, other.lon_deg):
        return 0.0
    return inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg).distance_m  # type: ignore[arg-type]
