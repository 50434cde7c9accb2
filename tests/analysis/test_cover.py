"""Chance of cover on a grid: against Reudink's relation, brute force, contourpy and shapely."""

from __future__ import annotations

import math
from dataclasses import replace

import contourpy
import numpy as np
import pytest
from scipy import special
from shapely import LineString, Point, Polygon, box

from surveyapp.analysis.cover_chance import cover_chance
from surveyapp.analysis.cover_grid import cover
from surveyapp.analysis.outlines import outlines
from surveyapp.analysis.sector_fit import SectorFit, fit_sector
from surveyapp.analysis.sector_panel import SectorPanel
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building
from tests.analysis.walks import PANEL, SITE, walk

PLANE = Plane(*SITE)
ROUND = SectorPanel(
    name="Round", lat_deg=SITE[0], lon_deg=SITE[1], azimuth_deg=0.0, beamwidth_deg=360.0,
    height_m=1.5, downtilt_deg=0.0,
)  # fmt: skip


def known(panel: SectorPanel, intercept_dbm: float, exponent: float, sigma_db: float) -> SectorFit:
    """A model whose figures are known for certain."""
    return SectorFit(
        panel=panel, measured=(), residuals_db=(), intercept_dbm=intercept_dbm,
        exponent=exponent, blocked_db=None, sigma_db=sigma_db, degrees=100_000,
        covariance=np.zeros((2, 2)),
    )  # fmt: skip


def reudink_share(edge_over_db: float, exponent: float, sigma_db: float) -> float:
    """Share of a circular cell's area that is covered, from the margin at its edge.

    D. O. Reudink in W. C. Jakes (ed.), Microwave Mobile Communications (1974), section 2.5.3
    (from memory): F = (1 - erf(a) + exp((1 - 2 a b) / b^2) (1 - erf((1 - a b) / b))) / 2.
    """
    a = -edge_over_db / (sigma_db * math.sqrt(2.0))
    b = 10.0 * exponent * math.log10(math.e) / (sigma_db * math.sqrt(2.0))
    tail = math.exp((1.0 - 2.0 * a * b) / b**2) * (1.0 - special.erf((1.0 - a * b) / b))
    return float(0.5 * (1.0 - special.erf(a) + tail))


@pytest.mark.parametrize(
    ("exponent", "sigma_db", "edge_over_db"), [(2.8, 6.0, 0.0), (3.5, 8.0, 4.0), (2.1, 4.0, -5.0)]
)
def test_the_covered_area_of_a_circular_cell_follows_reudink(
    exponent: float, sigma_db: float, edge_over_db: float
) -> None:
    """Our grid, meaned over a cell of 400 m, against Reudink's share meaned over the pattern."""
    radius_m, threshold_dbm = 400.0, -90.0
    intercept = threshold_dbm + edge_over_db + 10.0 * exponent * math.log10(radius_m / 10.0)
    side = np.linspace(-radius_m, radius_m, 401)
    east, north = np.meshgrid(side, side)
    inside = np.hypot(east, north) <= radius_m
    chance = cover_chance(
        [known(ROUND, intercept, exponent, sigma_db)], PLANE, east, north, threshold_dbm
    )
    off = np.arange(-179.5, 180.0, 1.0)
    shares = [
        reudink_share(edge_over_db - 12.0 * (o / 360.0) ** 2, exponent, sigma_db) for o in off
    ]

    assert chance[inside].mean() == pytest.approx(np.mean(shares), abs=0.002)


def test_two_sites_cover_as_brute_force_has_it() -> None:
    """Fading correlated by half between sites: 400,000 draws agree with the quadrature."""
    other = replace(ROUND, lon_deg=SITE[1] + 0.002, site_id="B")
    models = [known(replace(ROUND, site_id="A"), -60.0, 3.0, 7.0), known(other, -62.0, 3.0, 7.0)]
    at = np.array([40.0]), np.array([25.0])
    found = cover_chance(models, PLANE, *at, -85.0)
    means = [float(m.levels(m.panel.ways(PLANE, *at)).mean_dbm[0]) for m in models]
    draws = np.random.default_rng(5).standard_normal((3, 400_000))
    fading = 7.0 * (math.sqrt(0.5) * draws[0] + math.sqrt(0.5) * draws[1:])
    share = np.mean((np.array(means)[:, None] + fading >= -85.0).any(axis=0))

    assert found[0] == pytest.approx(share, abs=0.004)


def test_sectors_of_one_site_share_their_fading() -> None:
    """A second panel that arrives weaker adds nothing."""
    ahead = known(PANEL, -60.0, 3.0, 7.0)
    behind = known(replace(PANEL, azimuth_deg=310.0), -60.0, 3.0, 7.0)
    at = np.array([60.0]), np.array([-50.0])

    assert cover_chance([ahead, behind], PLANE, *at, -85.0) == pytest.approx(
        cover_chance([ahead], PLANE, *at, -85.0), abs=1e-12
    )


def test_what_the_fit_leaves_open_softens_the_cover() -> None:
    """Few readings: the chance far out is nearer to one half than a sure fit would have it."""
    fit = fit_sector(PANEL, walk(np.random.default_rng(1), 5))
    sure = replace(fit, degrees=100_000, covariance=np.zeros((2, 2)))
    at = np.array([300.0]), np.array([-250.0])
    vague, certain = (cover_chance([m], PLANE, *at, -75.0)[0] for m in (fit, sure))

    assert certain < vague < 0.5


def test_outlines_agree_with_contourpy() -> None:
    """As many lines, closed alike, of the same length as contourpy's (rough random field)."""
    random = np.random.default_rng(7)
    x, y = np.linspace(-3.0, 5.0, 41), np.linspace(2.0, 9.0, 33)
    values = random.standard_normal((33, 41))
    for level in (-0.7, 0.0, 1.1):
        ours = outlines(values, x, y, level)
        theirs = contourpy.contour_generator(x, y, values, corner_mask=False).lines(level)

        assert len(ours) == len(theirs)
        assert sum(LineString(line).length for line in ours) == pytest.approx(
            sum(LineString(line).length for line in theirs), rel=1e-9
        )
        assert sum((line[0] == line[-1]).all() for line in ours) == sum(
            (line[0] == line[-1]).all() for line in theirs
        )


def test_the_outline_of_a_round_hill_is_a_circle() -> None:
    """Area and length of the closed line as shapely measures them."""
    side = np.linspace(-10.0, 10.0, 201)
    east, north = np.meshgrid(side, side)
    (line,) = outlines(-np.hypot(east, north), side, side, -6.0)
    shape = Polygon(line)

    assert (line[0] == line[-1]).all()
    assert shape.area == pytest.approx(math.pi * 36.0, rel=1e-3)
    assert shape.length == pytest.approx(math.pi * 12.0, rel=1e-3)


def test_outlines_of_nothing_and_of_nonsense() -> None:
    """A level nowhere reached has no outline; a grid of another shape is refused."""
    side = np.arange(3.0)

    assert outlines(np.zeros((3, 3)), side, side, 1.0) == ()
    with pytest.raises(InvalidValue, match="do not fit"):
        outlines(np.zeros((3, 4)), side, side, 1.0)
    with pytest.raises(InvalidValue, match="no number"):
        outlines(np.full((3, 3), np.nan), side, side, 1.0)


def block(west: float, south: float, east: float, north: float, height_m: float) -> Building:
    """A rectangular building in metres about the site."""
    corners = ((west, south), (east, south), (east, north), (west, north), (west, south))
    ring = tuple(
        (float(lat), float(lon)) for lat, lon in (PLANE.to_world(*corner) for corner in corners)
    )
    return Building(outline_deg=ring, height_m=height_m)


BLOCKS = (
    block(20, -15, 45, 10, 12.0), block(-60, -40, -30, -20, 9.0), block(-10, 40, 15, 60, 3.0),
    block(-70, 10, -50, 80, 20.0), block(60, 40, 90, 75, 6.0), block(-20, -90, 20, -60, 15.0),
)  # fmt: skip


def test_sight_over_low_houses_agrees_with_the_skyline() -> None:
    """The sweep and the line of sight of single places say the same, roofs' heights included."""
    random = np.random.default_rng(3)
    east, north = random.uniform(-130.0, 130.0, (2, 300))
    clear = Roofs(BLOCKS).clear_from(PANEL, PLANE, east, north)
    skyline = Skyline(SITE, BLOCKS, observer_height_m=PANEL.height_m)
    lat, lon = PLANE.to_world(east, north)
    walls = Roofs(BLOCKS).walls(PLANE)
    shapes = [Polygon(ring[:, 0]) for ring in walls.reshape(-1, 4, 2, 2)]
    outside = [
        not any(shape.contains(Point(e, n)) for shape in shapes)
        for e, n in zip(east, north, strict=True)
    ]
    expected = [
        skyline.sight_line((float(a), float(b)), target_height_m=1.5).clear
        for a, b in zip(lat, lon, strict=True)
    ]

    assert 60 < clear.sum() < 260
    assert (clear == np.array(expected))[outside].mean() > 0.99


def test_sight_past_high_houses_agrees_with_shapely() -> None:
    """Where every roof is higher than the panel, sight is whether the plain line meets a house."""
    high = [replace(one, height_m=50.0) for one in BLOCKS]
    shapes = [Polygon(ring[:, 0]) for ring in Roofs(high).walls(PLANE).reshape(-1, 4, 2, 2)]
    random = np.random.default_rng(4)
    east, north = random.uniform(-130.0, 130.0, (2, 400))
    clear = Roofs(high).clear_from(PANEL, PLANE, east, north)
    expected = [
        not any(LineString([(0.0, 0.0), (e, n)]).intersects(shape) for shape in shapes)
        for e, n in zip(east, north, strict=True)
    ]

    assert clear.tolist() == expected


def test_a_house_that_crosses_itself_does_no_harm() -> None:
    """A bow tie hides what lies behind each of its walls."""
    tie = ((20.0, -10.0), (40.0, 10.0), (40.0, -10.0), (20.0, 10.0), (20.0, -10.0))
    ring = tuple((float(a), float(b)) for a, b in (PLANE.to_world(*corner) for corner in tie))
    roofs = Roofs([Building(outline_deg=ring, height_m=30.0)])
    clear = roofs.clear_from(PANEL, PLANE, np.array([60.0, -60.0]), np.array([0.0, 0.0]))

    assert clear.tolist() == [False, True]


def test_cover_keeps_measured_and_modelled_apart() -> None:
    """Stops with their own yes or no; the grid with how far it is borne out by readings."""
    fit = fit_sector(PANEL, walk(np.random.default_rng(2), 10))
    found = cover([fit], -80.0, centre_deg=SITE, half_m=400.0, step_m=10.0)
    modelled = found.modelled
    line = modelled.outline(0.5)[0]
    again = cover_chance(
        [fit], modelled.plane, *modelled.plane.to_plane(line[:, 0], line[:, 1]), -80.0
    )

    assert len(found.measured) == 10
    assert all(one.covered == (one.place.rsrp_dbm >= -80.0) for one in found.measured)
    assert modelled.chance.shape == (81, 81)
    assert modelled.borne_out[40, 40]
    assert not modelled.borne_out[0, 0]
    assert np.median(np.abs(again - 0.5)) < 0.005
    assert box(0, 0, 800, 800).area > modelled.covered_m2() > 0.0


def test_houses_take_cover_away() -> None:
    """Behind a house the chance falls, in front of it nothing changes."""
    measured = [replace(place, clear=True) for place in walk(np.random.default_rng(2), 10)]
    fit = fit_sector(PANEL, measured)
    hide = Roofs([block(60, -60, 80, -40, 25.0)])
    free, built = (
        cover([fit], -85.0, centre_deg=SITE, half_m=150.0, step_m=10.0, roofs=roofs).modelled.chance
        for roofs in (None, hide)
    )
    change = free - built

    assert change.max() > 0.3
    assert change.min() >= -0.05  # more fading out of sight may help where cover is unlikely
    assert change[14:17, 14:17] == pytest.approx(0.0, abs=1e-12)


def test_bad_questions_are_one_sentence() -> None:
    """A threshold of +30 dBm, no sector at all, a grid without end."""
    fit = fit_sector(PANEL, walk(np.random.default_rng(2), 10))

    with pytest.raises(OutOfRange, match="threshold"):
        cover([fit], 30.0, centre_deg=SITE)
    with pytest.raises(NoAnswer, match="No sector"):
        cover([], -90.0, centre_deg=SITE)
    with pytest.raises(OutOfRange, match="cells"):
        cover([fit], -90.0, centre_deg=SITE, half_m=5000.0, step_m=1.0)
