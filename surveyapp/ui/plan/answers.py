"""An answer as the plan shows it: what is drawn, a card, and figures in a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np

from surveyapp.analysis.stand import Stand
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import LatLon, Sector
from surveyapp.ui.plan.cards import length_text
from surveyapp.ui.plan.findings import Finding, FloatArray, StandMark
from surveyapp.ui.plan.marks import Place
from surveyapp.ui.words import number

NO_STREETS = "No streets here: check that you may stand there."


@dataclass(frozen=True, slots=True)
class Figure:
    """One row of an answer's list; a tap shows the row of `row_id`, or keeps what it `takes`."""

    text: str
    value: str = ""
    detail: str = ""
    icon: str = ""
    row_id: str = ""
    takes: Sector | None = None


@dataclass(frozen=True, slots=True)
class ChanceStrip:
    """Chance of cover along a way: (k) metres, (k) chances, gaps as (from, to) metres."""

    along_m: FloatArray
    chance: FloatArray
    required: float
    gaps_m: tuple[tuple[float, float], ...]
    measured: tuple[tuple[float, bool], ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What was worked out; `says` is one or two lines, `figures` the list behind."""

    title: str
    says: tuple[str, ...]
    finding: Finding
    figures: tuple[Figure, ...] = ()
    strip: ChanceStrip | None = None


Reckon = Callable[[], Answer]


def stand_marks(
    told: Iterable[tuple[Stand, str, Sequence[str]]], plane: Plane
) -> tuple[StandMark, ...]:
    """Letters for places to stand at; each comes with its title and its lines."""
    marks = []
    for letter, (stand, title, lines) in zip(ascii_uppercase, told, strict=False):
        far = length_text(stand.walk_m)
        walk = f"{far} on foot" if stand.on_streets else f"{far} in a straight line"
        where = stand.place_text or f"{number(stand.lat_deg, 5)}, {number(stand.lon_deg, 5)}"
        at = place_of((stand.lat_deg, stand.lon_deg), plane)
        said = (f"{where}, {walk}", *lines)
        marks.append(
            StandMark(
                letter, title, said, at, stand.lat_deg, stand.lon_deg, on_streets=stand.on_streets
            )
        )
    return tuple(marks)


def place_of(at_deg: LatLon, plane: Plane) -> Place:
    """A place on Earth in the plane."""
    east_m, north_m = plane.to_plane(*at_deg)
    return Place(float(east_m), float(north_m))


def line_of(points_deg: FloatArray, plane: Plane) -> FloatArray:
    """Points (k, 2) of latitude and longitude in the plane."""
    return np.column_stack(plane.to_plane(points_deg[:, 0], points_deg[:, 1]))


def stands_answer(title: str, stands: tuple[StandMark, ...], says: tuple[str, ...] = ()) -> Answer:
    """An answer that is up to three places to stand at, `says` before them."""
    says += tuple(f"{stand.letter}: {stand.title}" for stand in stands)
    if not all(stand.on_streets for stand in stands):
        says += (NO_STREETS,)
    figures = tuple(
        Figure(f"{stand.letter}: {stand.title}", detail="\n".join(stand.lines), icon="locate",
               row_id=stand.letter)
        for stand in stands
    )  # fmt: skip
    return Answer(title, says, Finding(title, stands=stands), figures)
