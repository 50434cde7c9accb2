"""Which action of the joined journals was made in knowledge of which other.

Each notebook numbers its own actions by the order it made them in, and a merge point says how
many actions of every notebook it knew from there on. An action has seen all earlier ones of its
own notebook, and all that the last merge before it brought.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from typing import NamedTuple

from surveyapp.store.connection import Connection


class Place(NamedTuple):
    """Where an action stands: its notebook, and its number among that notebook's actions."""

    origin: str
    turn: int


class Causes:
    """The actions of one journal with what each had seen."""

    def __init__(self, connection: Connection) -> None:
        self.places: dict[int, Place] = {}
        self.counts: Counter[str] = Counter()
        for number, origin in connection.rows(
            "SELECT number, origin FROM journal_action ORDER BY number"
        ):
            self.counts[origin] += 1
            self.places[number] = Place(origin, self.counts[origin])
        self._points: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
        for origin, after, seen_origin, seen in connection.rows(
            "SELECT origin, after_turn, seen_origin, seen_turn FROM merge_point "
            "ORDER BY after_turn, seen_turn"
        ):
            self._points[origin, seen_origin].append((after, seen))

    def has_seen(self, later: Place, earlier: Place) -> bool:
        """Whether `later` was made in knowledge of `earlier`."""
        if later.origin == earlier.origin:
            return earlier.turn < later.turn
        points = self._points.get((later.origin, earlier.origin), [])
        before = bisect_left(points, (later.turn, 0))
        return before > 0 and points[before - 1][1] >= earlier.turn
