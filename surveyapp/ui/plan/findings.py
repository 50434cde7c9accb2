"""What was worked out and is shown on the plan: outlines, ways, and places to stand at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from surveyapp.ui.plan.marks import Place

FloatArray = NDArray[np.float64]


class LineKind(StrEnum):
    """How a worked-out line is drawn."""

    LIKELY = "cover at 90 %"
    EVEN = "cover at 50 %"
    UNLIKELY = "cover at 10 %"
    WAY = "way on foot"
    GAP = "gap on the way"


@dataclass(frozen=True, slots=True)
class FindingLine:
    """A polyline of shape (points, 2) in the plane."""

    kind: LineKind
    points_m: FloatArray
    broken: bool = False  # carried on beyond what anybody measured


@dataclass(frozen=True, slots=True)
class StandMark:
    """A place proposed to stand at: its letter, what it would tell, and where it is."""

    letter: str
    title: str
    lines: tuple[str, ...]
    at: Place
    lat_deg: float
    lon_deg: float
    site_id: str = ""
    on_streets: bool = True

    @property
    def row_id(self) -> str:
        """It stands for no row; its letter tells it from the others."""
        return self.letter


@dataclass(frozen=True, slots=True)
class FindingLabel:
    """Words that may stand at any of some places; a stand's letter stands at its own."""

    text: str
    places: tuple[Place, ...]
    is_stand: bool = False


@dataclass(frozen=True, slots=True)
class CheckedPlace:
    """A stop where it was measured, and whether its level reached the threshold."""

    at: Place
    covered: bool


@dataclass(frozen=True, slots=True)
class Finding:
    """All of one answer; the plan shows one at a time."""

    title: str = ""
    lines: tuple[FindingLine, ...] = ()
    stands: tuple[StandMark, ...] = ()
    checked: tuple[CheckedPlace, ...] = ()
    outline_labels: tuple[FindingLabel, ...] = ()

    @property
    def labels(self) -> tuple[FindingLabel, ...]:
        """Letters of the stands first, then the values along the outlines."""
        letters = tuple(FindingLabel(s.letter, (s.at,), True) for s in self.stands)
        return (*letters, *self.outline_labels)

    def box_m(self) -> tuple[float, float, float, float] | None:
        """(west, south, east, north) of all of it, or None where there is nothing."""
        parts = [line.points_m for line in self.lines]
        points = [stand.at for stand in self.stands]
        return _box_of([*parts, np.array(points)] if points else parts)


def _box_of(parts: Sequence[FloatArray]) -> tuple[float, float, float, float] | None:
    if not parts:
        return None
    points = np.concatenate(parts)
    west, south = points.min(axis=0).tolist()
    east, north = points.max(axis=0).tolist()
    return west, south, east, north
