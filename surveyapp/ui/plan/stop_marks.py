"""The stops of a survey, thousands of them, as columns: a row is read only where it is told of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, overload

import numpy as np
from numpy.typing import NDArray

from surveyapp.model import Stop
from surveyapp.ui.plan.levels import Level, levels_of

FloatArray = NDArray[np.float64]
Read = Callable[[list[str]], Iterable[Stop]]
"""The rows of these ids, in any order; those that have gone are left out."""


class Place(NamedTuple):
    """A place in the plane."""

    east_m: float
    north_m: float


@dataclass(frozen=True, slots=True)
class StopMark:
    """A stop where the surveyor stood, and what was read there."""

    stop: Stop
    at: Place
    level: Level | None = None

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.stop.id


class StopColumns:
    """Ids (n) of stops in their order, where they are (n, 2) in degrees, and how to read them."""

    def __init__(self, ids: Sequence[str], at_deg: FloatArray, read: Read) -> None:
        self.ids = ids
        self.at_deg = at_deg
        self.read = read

    @classmethod
    def of(cls, stops: Sequence[Stop]) -> StopColumns:
        """The columns of rows that are at hand; those without a place are left out."""
        placed = {stop.id: stop for stop in stops if stop.lat_deg is not None}
        at_deg = np.array([(s.lat_deg, s.lon_deg) for s in placed.values()], float)
        return cls(
            list(placed), at_deg.reshape(-1, 2), lambda ids: [placed[i] for i in ids if i in placed]
        )

    def where(self, chosen: NDArray[np.bool_]) -> StopColumns:
        """Those that a mask (n) chooses."""
        if chosen.all():
            return self
        ids = [self.ids[index] for index in np.flatnonzero(chosen).tolist()]
        return StopColumns(ids, self.at_deg[chosen], self.read)


class StopMarks(Sequence[StopMark]):
    """The marks of those stops: places (n, 2) in the plane and levels (n), NaN where none is.

    `level_dbm` is the median RSRP of the `readings` (n) there. A mark is made, and its row
    read, when it is asked for.
    """

    def __init__(
        self, columns: StopColumns, at_m: FloatArray, told: Iterable[tuple[str, float]] = ()
    ) -> None:
        self.ids = columns.ids
        self.at_m = at_m
        self._read = columns.read
        self._index = {stop_id: index for index, stop_id in enumerate(columns.ids)}
        self.level_dbm, self.readings = levels_of(self._index, told)
        self._made: dict[int, StopMark] = {}

    @classmethod
    def none(cls) -> StopMarks:
        """No stops."""
        return cls(StopColumns.of([]), np.zeros((0, 2)))

    @classmethod
    def at(cls, stops: Sequence[Stop], at: Place, level_dbm: float | None = None) -> StopMarks:
        """Stops at one place of the plane, for a legend."""
        columns = StopColumns([s.id for s in stops], np.zeros((len(stops), 2)), lambda _: stops)
        told = [] if level_dbm is None else [(stop.id, level_dbm) for stop in stops]
        return cls(columns, np.array([at] * len(stops), float), told)

    def __len__(self) -> int:
        return len(self.ids)

    @overload
    def __getitem__(self, index: int) -> StopMark: ...
    @overload
    def __getitem__(self, index: slice) -> list[StopMark]: ...
    def __getitem__(self, index: Any) -> Any:
        chosen = range(len(self))[index]
        return self.take(chosen) if isinstance(index, slice) else self.take([chosen])[0]

    def take(self, indexes: Iterable[int]) -> list[StopMark]:
        """The marks of these indexes, their rows read at once; a row that has gone is left out."""
        wanted = list(indexes)
        missing = [self.ids[index] for index in wanted if index not in self._made]
        for stop in self._read(missing) if missing else ():
            index = self._index[stop.id]
            self._made[index] = StopMark(
                stop, Place(*self.at_m[index].tolist()), self._level(index)
            )
        return [self._made[index] for index in wanted if index in self._made]

    def named(self, stop_id: str) -> StopMark | None:
        """The mark of this id, if it is here."""
        index = self._index.get(stop_id)
        return None if index is None else next(iter(self.take([index])), None)

    def position(self, stop_id: str) -> int:
        """The index of this id, -1 where it is not here."""
        return self._index.get(stop_id, -1)

    def near(self, at: Place, reach_m: float, most: int) -> list[StopMark]:
        """At most so many within reach of a place, the nearest first."""
        apart = np.hypot(*(self.at_m - at).T)
        order = np.argsort(apart, kind="stable")[:most] if len(apart) else []
        return self.take(index for index in order if apart[index] <= reach_m)

    def _level(self, index: int) -> Level | None:
        count = int(self.readings[index])
        return Level(float(self.level_dbm[index]), count) if count else None
