"""Ways on foot: against scipy's shortest paths, and what cannot be walked."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra
from shapely import LineString, Point, Polygon

from surveyapp.analysis.standing_places import standing_places
from surveyapp.analysis.street_network import OnStreet, StreetNetwork
from surveyapp.errors import NoAnswer
from surveyapp.exchange.formats import read_ground
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Ground, Street
from surveyapp.resources import shipped
from tests.analysis.streets import CENTRE, grid_ground, house, metres, street, world

ONE_MILLIMETRE_M = 1e-3


@lru_cache(maxsize=1)
def quarter() -> Ground:
    """The real streets that come with the program (OpenStreetMap)."""
    return read_ground(shipped("sample_surveys", "quarter.osm.gz"))


def test_distances_in_real_streets_agree_with_scipy() -> None:
    """From ten junctions of Helsinki to every node, as scipy.sparse.csgraph.dijkstra has it."""
    network = StreetNetwork(quarter().streets)
    count = len(network.nodes_m)
    pairs: dict[tuple[int, int], float] = {}
    for (a, b), length in zip(network.ends.tolist(), network.length_m.tolist(), strict=True):
        key = (min(a, b), max(a, b))
        pairs[key] = min(length, pairs.get(key, np.inf))
    rows, columns = np.array(list(pairs)).T
    graph = coo_matrix((list(pairs.values()), (rows, columns)), shape=(count, count)).tocsr()
    starts = np.random.default_rng(1).choice(len(network.ends), 10, replace=False)
    expected = dijkstra(graph, directed=False, indices=network.ends[starts, 0])
    for start, row in zip(starts.tolist(), expected, strict=True):
        ours = network.distances_m(OnStreet(edge=start, share=0.0, off_m=0.0))

        np.testing.assert_allclose(ours, row, atol=ONE_MILLIMETRE_M)


def test_a_route_is_as_long_as_its_parts() -> None:
    """Its points are joined by geodesics that sum to its length, and it keeps to streets."""
    network = StreetNetwork(quarter().streets)
    route = network.route((60.1712, 24.9416), (60.1681, 24.9455))
    points = route.points_deg
    parts = [inverse(*a, *b).distance_m for a, b in pairwise(points)]

    assert route.length_m == pytest.approx(sum(parts), rel=1e-4)
    assert route.walk_m == pytest.approx(route.length_m + sum(route.off_m))
    np.testing.assert_allclose(route.at(route.along_m), points, atol=1e-12)


def test_a_way_round_blocks_is_as_long_as_blocks_tell() -> None:
    """Two east and three north: 500 m, whichever corners are taken."""
    network = StreetNetwork(grid_ground().streets)

    assert network.route(world(0, 0), world(200, 300)).length_m == pytest.approx(500.0, abs=0.01)
    assert network.route(world(20, 4), world(70, 9)).length_m == pytest.approx(50.0, abs=0.01)
    assert network.route(world(20, 4), world(70, 9)).off_m == pytest.approx((4.0, 9.0), abs=0.01)


def test_no_way_leads_along_a_motorway() -> None:
    """The short way by motorway is not walked."""
    streets = [
        street("Way", (0, 0), (100, 0), kind="motorway"),
        street("Path", (0, 0), (50, 80), (100, 0), kind="footway"),
    ]

    assert StreetNetwork(streets).route(world(0, 0), world(100, 0)).length_m > 180.0


def test_a_named_street_is_one_line_where_it_is_whole() -> None:
    """Pieces that meet are joined, a broken one stays in pieces, the longest first."""
    pieces = [
        street("Quay", (0, 0), (50, 0)), street("Quay", (90, 10), (50, 0)),
        street("Quay", (200, 0), (230, 0)), street("Dock", (50, 0), (50, 90)),
    ]  # fmt: skip
    lines = StreetNetwork(pieces).named("quay ")

    assert [len(line.points_deg) for line in lines] == [3, 2]
    assert lines[0].length_m == pytest.approx(50.0 + np.hypot(40, 10), abs=0.01)
    with pytest.raises(NoAnswer, match="is called 'Mill'"):
        StreetNetwork(pieces).named("Mill")


@pytest.mark.parametrize(
    ("streets", "words"),
    [
        ((), "no street to walk on"),
        ((Street(name="Stub", kind="residential", points_deg=((60.0, 24.0),)),), "no street"),
        ((Street(kind="footway", points_deg=((60.0, 24.0), (60.0, 24.0))),), "no length"),
    ],
)
def test_an_empty_ground_is_one_sentence(streets: tuple[Street, ...], words: str) -> None:
    """No street, a street of one point, a street of no length."""
    with pytest.raises(NoAnswer, match=words):
        StreetNetwork(streets)


def test_ground_far_from_the_survey_is_one_sentence() -> None:
    """200 km and half the world away: the distance is told, nothing else breaks."""
    network = StreetNetwork(grid_ground().streets)

    with pytest.raises(NoAnswer, match=r"20\d km"):
        network.route((62.0, 24.9384), CENTRE)
    with pytest.raises(NoAnswer, match="more than 500 km"):
        network.route((-33.9, 151.2), CENTRE)


def test_islands_are_told() -> None:
    """Streets that nothing connects."""
    apart = [street("A", (0, 0), (50, 0)), street("B", (2000, 0), (2050, 0))]

    with pytest.raises(NoAnswer, match="connects"):
        StreetNetwork(apart).route(world(0, 0), world(2000, 0))


def test_places_to_stand_are_outdoors_off_the_road_and_in_reach() -> None:
    """In real streets, by shapely: none in a house, none on a carriageway, each with its walk."""
    ground = quarter()
    network = StreetNetwork(ground.streets)
    here, about = (60.1700, 24.9430), (60.1706, 24.9441)
    places = standing_places(ground, network, here, about, 120.0)
    plane = network.plane
    houses = [
        Polygon(
            np.column_stack(plane.to_plane(*np.array(b.outline_deg).T)),
            [np.column_stack(plane.to_plane(*np.array(hole).T)) for hole in b.holes_deg],
        ).buffer(0)
        for b in ground.buildings
    ]
    roads = [
        LineString(np.column_stack(plane.to_plane(*np.array(s.points_deg).T)))
        for s in ground.streets
        if s.kind in ("primary", "secondary", "tertiary")
    ]
    points = [Point(e, n) for e, n in zip(places.east_m, places.north_m, strict=True)]

    assert len(points) > 60
    assert not any(one.contains(point) for one in houses for point in points)
    assert min(road.distance(point) for road in roads for point in points) >= 5.0
    assert all(inverse(*places.at(k), *about).distance_m <= 120.1 for k in range(len(points)))
    straight = [inverse(*here, *places.at(k)).distance_m for k in range(len(points))]
    assert (places.walk_m + 10.0 > straight).all()


def test_pavements_lie_beside_the_road_and_courtyards_are_outdoors() -> None:
    """A residential street has both pavements; a path in a courtyard is stood on."""
    wall = house(-60, 20, 60, 120)
    yard = house(-30, 50, 30, 90).outline_deg
    ground = Ground(
        streets=(
            street("Road", (-80, 0), (0, 0), (80, 0)),
            street("Passage", (0, 0), (0, 100), kind="footway"),
        ),
        buildings=(type(wall)(outline_deg=wall.outline_deg, holes_deg=(yard,), height_m=15.0),),
    )
    places = standing_places(ground, StreetNetwork(ground.streets), world(0, 0), world(0, 0), 100.0)
    spots = [metres(places.at(k)) for k in range(len(places.walk_m))]
    on_road = [spot for spot in spots if abs(spot[1]) < 8.0]
    in_yard = [spot for spot in spots if spot[1] > 20.0]

    assert {round(abs(spot[1]), 1) for spot in on_road if abs(spot[0]) > 12.0} == {5.5}
    assert all(50.0 < spot[1] < 90.0 for spot in in_yard)
    assert len(in_yard) == 4


def test_nowhere_to_stand_is_one_sentence() -> None:
    """Far from every street, though streets are near here."""
    ground = grid_ground()

    with pytest.raises(NoAnswer, match="no place to stand"):
        standing_places(ground, StreetNetwork(ground.streets), CENTRE, world(2000, 0), 50.0)
