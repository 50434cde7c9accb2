"""A stop's place in words, on invented streets."""

from __future__ import annotations

import pytest

from surveyapp.errors import OutOfRange
from surveyapp.geometry.places import StreetIndex, place_text
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Street

PLANE = Plane(60.17, 24.94)
LatLon = tuple[float, float]


def at(east_m: float, north_m: float) -> LatLon:
    """A position so many metres from the middle of the invented town."""
    lat_deg, lon_deg = PLANE.to_world(east_m, north_m)
    return float(lat_deg), float(lon_deg)


def street(name: str, *points_m: LatLon) -> Street:
    """A street through points of the plane."""
    return Street(name=name, kind="residential", points_deg=tuple(at(*p) for p in points_m))


MILL = street("Mill Street", (-300.0, 0.0), (-100.0, 0.0), (0.0, 0.0), (100.0, 0.0), (300.0, 0.0))
QUAY = street("Quay Street", (-100.0, -90.0), (-100.0, 0.0), (-100.0, 90.0))
DOCK = street("Dock Lane", (100.0, 0.0), (100.0, 200.0))
NAMELESS = street("", (0.0, -50.0), (0.0, 50.0))
TOWN = (DOCK, NAMELESS, MILL, QUAY)


@pytest.mark.parametrize(
    ("place_m", "words"),
    [
        ((20.0, 6.0), "Mill Street, between Quay Street and Dock Lane"),
        ((-60.0, -6.0), "Mill Street, between Quay Street and Dock Lane"),
        ((-95.0, 5.0), "corner of Mill Street and Quay Street"),
        ((92.0, -9.0), "corner of Mill Street and Dock Lane"),
        ((250.0, 0.0), "Mill Street, near Dock Lane"),
        ((105.0, 120.0), "Dock Lane, near Mill Street"),
        ((0.0, 58.0), "Mill Street, between Quay Street and Dock Lane"),
        ((0.0, 62.0), ""),
        ((2_000.0, 0.0), ""),
    ],
)
def test_a_place_is_told_by_its_street_and_the_next_crossings(place_m: LatLon, words: str) -> None:
    """Between two, at a corner, near one, or nowhere near a named street."""
    assert place_text(*at(*place_m), TOWN) == words


def test_a_street_that_crosses_nothing_stands_alone_and_none_gives_nothing() -> None:
    """Only names that are there are told."""
    assert place_text(*at(0.0, 3.0), [MILL]) == "Mill Street"
    assert place_text(*at(0.0, 3.0), [NAMELESS]) == ""
    assert place_text(*at(0.0, 3.0), []) == ""


def test_streets_that_cross_without_a_common_point_still_meet() -> None:
    """Drawn lines need not share a vertex; an end that stops short by a metre counts too."""
    high = street("High Street", (0.0, -200.0), (0.0, 200.0))
    over = street("Over Street", (-80.0, 60.0), (80.0, 60.0))
    short = street("Short Street", (1.0, -70.0), (90.0, -70.0))

    assert place_text(*at(2.0, 0.0), [high, over, short]) == (
        "High Street, between Short Street and Over Street"
    )


def test_a_street_of_several_ways_is_one_street() -> None:
    """Ways of one name never cross each other."""
    ways = [
        street("Mill Street", (-300.0, 0.0), (0.0, 0.0)),
        street("Mill Street", (0.0, 0.0), (300.0, 0.0)),
    ]

    assert place_text(*at(5.0, 2.0), [*ways, QUAY]) == "Mill Street, near Quay Street"


def test_the_same_street_on_both_sides_is_named_once() -> None:
    """A crescent that meets the street twice is not 'between itself and itself'."""
    crescent = street("Crescent", (-150.0, 0.0), (-150.0, 80.0), (140.0, 80.0), (140.0, 0.0))

    assert place_text(*at(0.0, 2.0), [MILL, crescent]) == "Mill Street, near Crescent"


def test_among_two_thousand_streets_the_nearest_crossings_are_named() -> None:
    """An index over a wide grid of streets finds the two crossings beside the place."""
    grid = [
        *(street(f"Row {n}", (-20_000.0, n * 80.0), (20_000.0, n * 80.0)) for n in range(1000)),
        *(street(f"Line {n}", (n * 40.0, -50.0), (n * 40.0, 20_000.0)) for n in range(1000)),
    ]
    index = StreetIndex(grid)
    words = index.place_text(*at(60.0, 163.0))

    assert words == "Row 2, between Line 1 and Line 2"


def test_a_place_that_is_none_is_refused() -> None:
    """Latitude 91 is on no street."""
    with pytest.raises(OutOfRange, match="latitude 91"):
        place_text(91.0, 0.0, TOWN)
