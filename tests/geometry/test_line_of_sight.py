"""Lines of sight through buildings: by hand, and against shapely (GEOS)."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from surveyapp.errors import OutOfRange
from surveyapp.geometry.line_of_sight import (
    DEFAULT_HEIGHT_M,
    END_GRACE_M,
    Skyline,
    sight_line,
)
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, LatLon

STANDS = (60.1699, 24.9384)
PLANE = Plane(*STANDS)
ONE_MILLIMETRE = 1e-3
ONE_CENTIMETRE = 1e-2
Ring = list[tuple[float, float]]


def at(east_m: float, north_m: float) -> LatLon:
    """A place by metres from the observer."""
    lat, lon = PLANE.to_world(east_m, north_m)
    return float(lat), float(lon)


def building(outline: Ring, *holes: Ring, height_m: float | None = 10.0) -> Building:
    """A building by metres from the observer; rings are closed here."""
    rings = []
    for ring in (outline, *holes):
        lat, lon = PLANE.to_world(*np.array([*ring, ring[0]]).T)
        rings.append(tuple(zip(lat.tolist(), lon.tolist(), strict=True)))
    return Building(outline_deg=rings[0], holes_deg=tuple(rings[1:]), height_m=height_m)


def block(west: float, south: float, east: float, north: float) -> Ring:
    """A rectangle."""
    return [(west, south), (east, south), (east, north), (west, north)]


def test_a_house_between_is_named_with_its_height_over_the_line() -> None:
    """Worked by hand: at 40 m of 100 m the line is at 1.5 + 0.4 x 6.5 = 4.1 m, the roof at 10 m."""
    house = building(block(-10.0, 40.0, 10.0, 60.0))

    seen = sight_line(STANDS, at(0.0, 100.0), [house], target_height_m=8.0)

    assert not seen.clear
    assert seen.blocked_by is house
    assert seen.over_m == pytest.approx(5.9, abs=ONE_MILLIMETRE)
    assert seen.after_m == pytest.approx(40.0, abs=ONE_MILLIMETRE)


def test_a_house_lower_than_the_line_is_seen_over() -> None:
    """A kiosk of 3 m at 40 m leaves a line at 4.1 m free."""
    kiosk = building(block(-10.0, 40.0, 10.0, 60.0), height_m=3.0)

    assert sight_line(STANDS, at(0.0, 100.0), [kiosk], target_height_m=8.0).clear


def test_a_building_of_unknown_height_has_the_stated_one() -> None:
    """Without a height the default decides, and it can be set."""
    house = building(block(-10.0, 40.0, 10.0, 60.0), height_m=None)

    usual = sight_line(STANDS, at(0.0, 100.0), [house])
    low = sight_line(STANDS, at(0.0, 100.0), [house], default_height_m=3.0)

    assert usual.over_m == pytest.approx(DEFAULT_HEIGHT_M - 4.1, abs=ONE_MILLIMETRE)
    assert low.clear


def test_a_courtyard_does_not_stand_in_the_way() -> None:
    """Between two panels inside one courtyard the view is free, whatever surrounds it."""
    ring = building(block(-50.0, -50.0, 50.0, 50.0), block(-40.0, -40.0, 40.0, 40.0))

    assert sight_line(STANDS, at(0.0, 30.0), [ring]).clear
    assert not sight_line(STANDS, at(0.0, 60.0), [ring]).clear


def test_an_antenna_on_a_wall_is_not_hidden_by_that_wall() -> None:
    """A position 2 m behind the outline is still taken as on its face; 5 m is not."""
    house = building(block(-10.0, 40.0, 10.0, 60.0))

    assert sight_line(STANDS, at(0.0, 42.0), [house]).clear
    assert not sight_line(STANDS, at(0.0, 45.0), [house]).clear


def test_an_observer_placed_inside_an_outline_is_taken_as_outdoors() -> None:
    """A stop whose position falls into a house does not lose every view to it."""
    house = building(block(-10.0, -10.0, 10.0, 5.0))

    assert sight_line(STANDS, at(0.0, 100.0), [house]).clear


def test_of_several_the_one_highest_over_the_line_is_named() -> None:
    """The tower is named, not the nearer house."""
    house = building(block(-10.0, 20.0, 10.0, 30.0), height_m=8.0)
    tower = building(block(-10.0, 70.0, 10.0, 80.0), height_m=40.0)

    assert sight_line(STANDS, at(0.0, 100.0), [house, tower]).blocked_by is tower


def test_an_antenna_below_the_ground_is_refused() -> None:
    """The sentence says what to give."""
    with pytest.raises(OutOfRange, match="give 0 m or more"):
        sight_line(STANDS, at(0.0, 100.0), [], target_height_m=-1.0)


def random_building(rng: np.random.Generator) -> tuple[Building, Polygon, float]:
    """A star-shaped building with a courtyard now and then, away from the observer."""
    middle = rng.uniform(60.0, 220.0) * np.array(
        [np.cos(turn := rng.uniform(0.0, 2.0 * np.pi)), np.sin(turn)]
    )
    turns = np.sort(rng.uniform(0.0, 2.0 * np.pi, rng.integers(4, 9)))
    radii = rng.uniform(12.0, 45.0, len(turns))
    rays = np.column_stack([np.cos(turns), np.sin(turns)])
    outline = [tuple(point) for point in middle + rays * radii[:, None]]
    hole = [tuple(point) for point in middle + rays * radii[:, None] * 0.5]
    holes = [hole] if rng.random() < 0.4 else []
    height = float(rng.uniform(2.0, 20.0))
    return building(outline, *holes, height_m=height), Polygon(outline, holes), height


def over_by_shapely(
    target: tuple[float, float], height_m: float, shape: Polygon, roof: float
) -> float:
    """Greatest height of a roof over the line inside a polygon; -inf where they never meet."""
    length = float(np.hypot(*target))
    end = np.array(target) * (1.0 - END_GRACE_M / length)
    inside = LineString([(0.0, 0.0), tuple(end)]).intersection(shape)
    parts = [p for p in getattr(inside, "geoms", [inside]) if p.length > 0.0]
    nearest = [Point(0.0, 0.0).distance(part) for part in parts]
    farthest = [max(np.hypot(*xy) for xy in part.coords) for part in parts]
    heights = [1.5 + (height_m - 1.5) * far / length for far in (*nearest, *farthest)]
    return roof - min(heights, default=np.inf)


def test_random_streets_agree_with_shapely() -> None:
    """In 200 scenes of up to 16 buildings, what blocks and by how much is as shapely cuts it."""
    rng = np.random.default_rng(38901)
    blocked = 0
    for _ in range(200):
        scene = [random_building(rng) for _ in range(16)]
        scene = [s for s in scene if s[1].is_valid and s[1].distance(Point(0.0, 0.0)) > 0.1]
        turn, far = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(30.0, 300.0)
        target, height = (far * np.cos(turn), far * np.sin(turn)), float(rng.uniform(1.0, 15.0))
        over = [over_by_shapely(target, height, shape, roof) for _, shape, roof in scene]

        seen = Skyline(STANDS, [b for b, _, _ in scene]).sight_line(
            at(*target), target_height_m=height
        )

        worst = int(np.argmax(over))
        if abs(over[worst]) < ONE_CENTIMETRE:
            continue
        assert seen.clear == (over[worst] <= 0.0)
        if not seen.clear:
            blocked += 1
            assert seen.over_m == pytest.approx(over[worst], abs=ONE_CENTIMETRE)
            assert seen.blocked_by is scene[worst][0]
    assert blocked > 60
