"""How the drawing runs on after a push."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.ui.plan.glide import DIES_S, Glide

FRAME_S = 1 / 60


def pushed(speed_px_s: float, rest_s: float = 0.0) -> Glide:
    """A finger that went to the right at this speed, then rested before it left."""
    glide = Glide()
    for frame in range(8):
        glide.follow(frame * FRAME_S * speed_px_s, 0.0, frame * FRAME_S)
    glide.release(7 * FRAME_S + rest_s)
    return glide


def run_out(glide: Glide, frame_s: float) -> float:
    """How far it runs until it stands."""
    far_px = 0.0
    while glide.moving:
        far_px += glide.step(frame_s)[0]
    return far_px


@given(st.floats(200.0, 5000.0), st.floats(0.004, 0.05))
def test_it_runs_as_far_at_any_frame_rate(speed_px_s: float, frame_s: float) -> None:
    """The whole way is the integral of a dying speed, down to where it is let go."""
    whole_px = speed_px_s * DIES_S
    assert run_out(pushed(speed_px_s), frame_s) == pytest.approx(whole_px, abs=0.1 * whole_px + 6)


@pytest.mark.parametrize(("speed_px_s", "rest_s"), [(60.0, 0.0), (2000.0, 0.3)])
def test_a_slow_or_resting_finger_leaves_it_where_it_is(speed_px_s: float, rest_s: float) -> None:
    """Who moves gently or waits means that place."""
    assert not pushed(speed_px_s, rest_s).moving
