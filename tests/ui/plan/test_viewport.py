"""Panning and zooming as arithmetic: places keep under the finger, windows keep their scale."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.ui.plan.viewport import LEAST_PX_PER_M, MOST_PX_PER_M, Viewport

A_THOUSANDTH_PX = 1e-3
scales = st.floats(LEAST_PX_PER_M, MOST_PX_PER_M)
metres = st.floats(-20_000, 20_000)
pixels = st.floats(0, 800)
VIEWS = st.builds(
    Viewport,
    width_px=st.floats(100, 2000),
    height_px=st.floats(100, 2000),
    east_m=metres,
    north_m=metres,
    px_per_m=scales,
)


@given(VIEWS, pixels, pixels)
def test_a_pixel_and_its_place_are_each_others_image(view: Viewport, x: float, y: float) -> None:
    """Window to plane and back gives the same pixel."""
    back = view.to_window(*view.to_plane(x, y))

    assert back == pytest.approx((x, y), abs=A_THOUSANDTH_PX)


@given(VIEWS, st.floats(0.1, 10), pixels, pixels)
def test_zooming_keeps_the_place_under_the_finger(
    view: Viewport, factor: float, x: float, y: float
) -> None:
    """The place under the fingers stays there, at the ends of the scale too."""
    place = view.to_plane(x, y)
    zoomed = view.zoomed(factor, x, y)

    assert zoomed.to_window(*place) == pytest.approx((x, y), abs=A_THOUSANDTH_PX)
    assert LEAST_PX_PER_M <= zoomed.px_per_m <= MOST_PX_PER_M


@given(VIEWS, st.floats(-300, 300), st.floats(-300, 300), pixels, pixels)
def test_a_push_moves_every_place_by_as_much(
    view: Viewport, dx: float, dy: float, x: float, y: float
) -> None:
    """What was at (x, y) is at (x + dx, y + dy) afterwards."""
    place = view.to_plane(x, y)

    assert view.moved(dx, dy).to_window(*place) == pytest.approx(
        (x + dx, y + dy), abs=A_THOUSANDTH_PX
    )


@given(VIEWS, metres, metres, st.floats(1, 5000), st.floats(1, 5000))
def test_fitted_things_are_in_sight(
    view: Viewport, west: float, south: float, wide: float, high: float
) -> None:
    """All four corners of the box are seen, its middle in the middle."""
    fitted = view.fitted((west, south, west + wide, south + high))
    corners = [(west, south), (west + wide, south + high), (west, south + high)]

    if fitted.px_per_m > LEAST_PX_PER_M:
        assert all(fitted.sees(*corner) for corner in corners)
    assert (fitted.east_m, fitted.north_m) == pytest.approx((west + wide / 2, south + high / 2))


def test_a_single_place_is_not_fitted_to_a_speck() -> None:
    """One stop alone shows its street, not its paving."""
    fitted = Viewport(360, 600).fitted((10.0, 20.0, 10.0, 20.0))
    west, _, east, _ = fitted.box_m

    assert east - west >= 150.0


@given(VIEWS, st.floats(100, 2000))
def test_a_card_that_comes_up_below_moves_nothing(view: Viewport, height: float) -> None:
    """With the same width the places keep their distance from the upper edge."""
    place = view.to_plane(50.0, view.height_px - 40.0)
    lower = view.sized(view.width_px, height)

    assert lower.to_window(*place) == pytest.approx((50.0, height - 40.0), abs=A_THOUSANDTH_PX)


@given(VIEWS)
def test_turning_the_phone_keeps_the_middle(view: Viewport) -> None:
    """With another width the middle of the window stays on its place."""
    turned = view.sized(view.width_px + 100, view.height_px - 50)

    assert (turned.east_m, turned.north_m) == (view.east_m, view.north_m)
