"""A street by its name as one way: joined over a square, one carriageway of two, held to PROJ."""

from __future__ import annotations

import pytest
from pyproj import Geod

from surveyapp.analysis.named_street import street_route
from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.errors import NoAnswer
from surveyapp.geometry.places import StreetIndex
from surveyapp.model import Street
from tests.analysis.streets import world

GEOD = Geod(ellps="WGS84")
A_METRE = 1.0


def street(name: str, *points_m: tuple[float, float]) -> Street:
    """A street through places in metres."""
    return Street(
        name=name, kind="residential", points_deg=tuple(world(*point) for point in points_m)
    )


def length_m(*points_m: tuple[float, float]) -> float:
    """The length of a line as PROJ has it."""
    lats, lons = zip(*(world(*point) for point in points_m), strict=True)
    return GEOD.line_length(lons, lats)


def test_lines_of_one_name_follow_each_other_over_a_square() -> None:
    """Two lines with 50 m between them, drawn in opposite directions, are one way."""
    network = StreetNetwork(
        [
            street("Long Row", (0, 0), (100, 0), (200, 10)),
            street("Long Row", (450, 10), (250, 10)),
            street("Other Row", (0, 0), (0, 90)),
        ]
    )
    route = street_route(network, "long row")
    wanted = length_m((0, 0), (100, 0), (200, 10), (250, 10), (450, 10))

    assert route.length_m == pytest.approx(wanted, abs=A_METRE)


def test_the_other_carriageway_is_not_walked_again() -> None:
    """Two parallel lines 18 m apart: the way is one of them."""
    network = StreetNetwork(
        [street("Wide Road", (0, 0), (300, 0)), street("Wide Road", (295, 18), (5, 18))]
    )

    assert street_route(network, "Wide Road").length_m == pytest.approx(
        length_m((0, 0), (300, 0)), abs=A_METRE
    )


def test_a_street_of_the_same_name_elsewhere_is_left_out() -> None:
    """300 m off it is another street."""
    network = StreetNetwork(
        [street("Mill Lane", (0, 0), (200, 0)), street("Mill Lane", (500, 0), (600, 0))]
    )

    assert street_route(network, "Mill Lane").length_m == pytest.approx(
        length_m((0, 0), (200, 0)), abs=A_METRE
    )


def test_a_name_no_street_has_is_refused() -> None:
    """The sentence names it."""
    network = StreetNetwork([street("Mill Lane", (0, 0), (200, 0))])
    with pytest.raises(NoAnswer, match="Quay Street"):
        street_route(network, "Quay Street")


def test_names_come_by_distance_and_the_nearest_is_that_of_the_place() -> None:
    """20 m from one street and 60 from another; far from both there is none."""
    index = StreetIndex(
        [street("Near Street", (-50, 20), (50, 20)), street("Far Street", (-50, -60), (50, -60))]
    )

    assert index.names_by_distance(*world(0, 0)) == ["Near Street", "Far Street"]
    assert index.name_at(*world(0, 0)) == "Near Street"
    assert index.name_at(*world(0, 400)) == ""
