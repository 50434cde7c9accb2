"""Where street names and site names stand on the plan: each once, and none over another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.report.plan import FloatArray, Plan, StreetLine
from surveyapp.report.words import shortened

LONGEST = 28  # letters of a name that a plan has room for
LETTER = 0.6  # mean width of a letter of B612 over its size
STRAIGHT = 0.985  # chord over way of a stretch that a straight word may stand on


@dataclass(frozen=True, slots=True)
class Name:
    """A word about a place of the picture, turned clockwise by `turn_deg`."""

    text: str
    x: float
    y: float
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Room:
    """Taken room: a row of discs along a word."""

    centres: FloatArray
    radius: float

    def meets(self, other: Room) -> bool:
        """Whether the two would overlap."""
        apart = np.hypot(*(self.centres[:, None] - other.centres[None]).transpose(2, 0, 1))
        return bool(apart.min() < self.radius + other.radius)


def room_of(name: Name, size: float) -> Room:
    """The room a word of this letter size takes."""
    half = max(len(name.text) * LETTER * size / 2.0 - size / 2.0, 0.0)
    turn = math.radians(name.turn_deg)
    steps = np.linspace(-half, half, max(2, math.ceil(2.0 * half / size)))
    centres = np.array([name.x, name.y]) + steps[:, None] * (math.cos(turn), math.sin(turn))
    return Room(centres, 0.62 * size)


def mark_rooms(plan: Plan, scale: float, size: float) -> list[Room]:
    """The room of stops and diamonds (radius `size`) and of boresights."""

    def spots(points_m: FloatArray) -> FloatArray:
        box = plan.box
        return np.column_stack([points_m[:, 0] - box.west_m, box.north_m - points_m[:, 1]]) * scale

    places = [stop.at_m for stop in plan.stops] + [site.at_m for site in plan.sites]
    rooms = [Room(spots(np.array([place])), size + 1.0) for place in places]
    for panel in (panel for mark in plan.sites for panel in mark.panels):
        ends = spots(panel.boresight_m)
        steps = np.linspace(0.0, 1.0, 8)[:, None]
        rooms.append(Room(ends[0] + steps * (ends[1] - ends[0]), 1.5))
    return rooms


def place_site_names(plan: Plan, scale: float, size: float, mark: float) -> list[Name]:
    """Each site's name where it covers nothing: beside, below or above, or else beside it."""
    taken = mark_rooms(plan, scale, mark)
    names = []
    for site in plan.sites:
        x = (site.at_m[0] - plan.box.west_m) * scale
        y = (plan.box.north_m - site.at_m[1]) * scale
        text = shortened(site.site.name, LONGEST)
        options = list(_beside(text, x, y, size, mark, plan.box.width_m * scale))
        rooms = [room_of(name, size) for name in options]
        free = [not any(room.meets(other) for other in taken) for room in rooms]
        chosen = free.index(True) if True in free else 0
        taken.append(rooms[chosen])
        names.append(options[chosen])
    return names


def _beside(
    text: str, x: float, y: float, size: float, mark: float, width: float
) -> Iterable[Name]:
    """Places for a name about a diamond, the best first; never beyond the picture's sides."""
    half, away, row = 0.3 * len(text) * size, mark + 0.4 * size, mark + 0.9 * size
    shifts = (
        *((away + half, 0.0), (-away - half, 0.0), (0.0, row), (0.0, -row)),
        *((half, row), (half, -row), (-half, row), (-half, -row)),
        *((0.0, row + size), (0.0, -row - size)),
        *((away + 2.2 * half, 0.0), (-away - 2.2 * half, 0.0)),
    )
    for dx, dy in shifts:
        if half < x + dx < width - half:
            yield Name(text, x + dx, y + dy)
    yield Name(text, min(max(x, half), width - half), y + row)


def place_names(plan: Plan, scale: float, size: float, taken: Iterable[Room]) -> list[Name]:
    """One place for each street's name, the widest and longest streets first.

    `scale` is units of the picture to a metre, `size` the letters'; y grows downwards.
    """
    held = list(taken)
    placed: list[Name] = []
    for text, lines in _by_weight(plan.streets):
        spots = (spot for line in lines for spot in _stretches(line, plan, scale, text, size))
        for name in sorted(spots, key=lambda spot: spot[0]):
            room = room_of(name[1], size)
            if not any(room.meets(other) for other in held):
                held.append(room)
                placed.append(name[1])
                break
    return placed


def _by_weight(streets: Sequence[StreetLine]) -> list[tuple[str, list[FloatArray]]]:
    """Names with their lines, those with the most street first."""
    weight: dict[str, float] = {}
    lines: dict[str, list[FloatArray]] = {}
    for street in streets:
        if street.name and street.width_m > 2.0:
            length = float(np.hypot(*np.diff(street.points_m, axis=0).T).sum())
            weight[street.name] = weight.get(street.name, 0.0) + length * street.width_m
            lines.setdefault(street.name, []).append(street.points_m)
    return sorted(lines.items(), key=lambda held: -weight[held[0]])


def _stretches(
    points_m: FloatArray, plan: Plan, scale: float, text: str, size: float
) -> Iterable[tuple[float, Name]]:
    """Straight stretches of a street long enough for its name, with how far from the middle."""
    box = plan.box
    points = np.column_stack(
        [(points_m[:, 0] - box.west_m) * scale, (box.north_m - points_m[:, 1]) * scale]
    )
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    need = (len(text) + 1) * LETTER * size
    width, height = box.width_m * scale, box.height_m * scale
    for start in np.arange(0.0, run[-1] - need, max(need / 3.0, 1.0)):
        ends = [[np.interp(at, run, points[:, k]) for k in (0, 1)] for at in (start, start + need)]
        (x0, y0), (x1, y1) = ends
        inside = all(size < x < width - size and size < y < height - size for x, y in ends)
        if not inside or math.dist(*ends) < STRAIGHT * need:
            continue
        turn = (math.degrees(math.atan2(y1 - y0, x1 - x0)) + 90.0) % 180.0 - 90.0
        middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
        yield math.dist(middle, (width / 2.0, height / 2.0)), Name(text, *middle, turn)
