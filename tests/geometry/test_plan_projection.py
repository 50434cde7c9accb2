"""The plane against PROJ's azimuthal equidistant projection and geodesics."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.plan_projection import REACH_M, Plane
from tests.geometry.published import HUNDREDTH_MM

CENTRES = [(60.17, 24.94), (-33.9, 151.2), (0.0, 0.0), (0.0, 179.99), (51.5, -0.1), (89.9, 5.0)]
GEODESICS = pyproj.Geod(ellps="WGS84")


def around(lat_deg: float, lon_deg: float, radius_m: float) -> tuple[np.ndarray, ...]:
    """lat, lon, east and north of a rose of points about a centre, by PROJ's geodesics."""
    distance, azimuth = (
        grid.ravel()
        for grid in np.meshgrid(
            np.linspace(radius_m / 20, radius_m, 20), np.arange(0.0, 360.0, 7.5)
        )
    )
    start = np.ones_like(distance)
    lon, lat, _ = GEODESICS.fwd(start * lon_deg, start * lat_deg, azimuth, distance)
    turn = np.radians(azimuth)
    return lat, lon, distance * np.sin(turn), distance * np.cos(turn)


@pytest.mark.parametrize("radius_m", [0.1, 1_000.0, 50_000.0, 0.999 * REACH_M])
@pytest.mark.parametrize("centre", CENTRES)
def test_distance_and_azimuth_from_the_centre_are_true(
    centre: tuple[float, float], radius_m: float
) -> None:
    """To a hundredth of a millimetre both ways, from ten centimetres to the end of its reach."""
    lat, lon, east, north = around(*centre, radius_m)
    found_east, found_north = Plane(*centre).to_plane(lat, lon)
    found_lat, found_lon = Plane(*centre).to_world(east, north)
    _, _, miss_m = GEODESICS.inv(found_lon, found_lat, lon, lat)

    assert np.hypot(found_east - east, found_north - north).max() < HUNDREDTH_MM
    assert np.max(miss_m) < HUNDREDTH_MM


def test_proj_draws_the_same_plan() -> None:
    """PROJ's +proj=aeqd about Helsinki agrees over 20 km, to a hundredth of a millimetre."""
    lat, lon, _, _ = around(60.17, 24.94, 20_000.0)
    theirs = pyproj.Proj(proj="aeqd", lat_0=60.17, lon_0=24.94, ellps="WGS84")(lon, lat)
    ours = Plane(60.17, 24.94).to_plane(lat, lon)

    assert np.abs(np.array(ours) - np.array(theirs)).max() < HUNDREDTH_MM


def test_shapes_are_kept_and_single_values_do() -> None:
    """A table stays a table, an empty list stays empty, and two floats give two floats."""
    plane = Plane(60.0, 25.0)
    east_m, _ = plane.to_plane(np.full((3, 1), 60.0), np.full(4, 25.0))
    single, _ = plane.to_plane(60.0, 25.0)

    assert east_m.shape == (3, 4)
    assert plane.to_plane([], [])[0].shape == (0,)
    assert float(single) == 0.0


def test_points_out_of_reach_or_on_no_earth_are_refused() -> None:
    """Nothing is drawn wrongly far away: the plan says how far it reaches."""
    plane = Plane(60.0, 25.0)

    with pytest.raises(OutOfRange, match="reaches 1000 km"):
        plane.to_plane(-60.0, 25.0)
    with pytest.raises(OutOfRange, match="reaches 1000 km"):
        plane.to_world(2e6, 0.0)
    with pytest.raises(OutOfRange, match="latitude 91"):
        plane.to_plane([60.0, 91.0], 25.0)
    with pytest.raises(InvalidValue, match="not a number"):
        plane.to_world([0.0, np.nan], 0.0)
    with pytest.raises(InvalidValue, match="latitude is not a number"):
        Plane(float("nan"), 0.0)


def test_lines_are_projected_as_their_points_are() -> None:
    """Each line keeps its own points, however many are projected at once; none gives none."""
    plane = Plane(60.17, 24.94)
    lines = [((60.17, 24.94), (60.18, 24.95)), ((60.16, 24.93), (60.161, 24.931), (60.162, 24.9))]
    found = plane.lines_to_plane(lines)

    for line, points in zip(lines, found, strict=True):
        assert [tuple(point) for point in points] == [plane.to_plane(*point) for point in line]
    assert plane.lines_to_plane([]) == []
