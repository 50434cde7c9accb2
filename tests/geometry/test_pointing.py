"""Where a phone points, from the vectors its sensors give, held against published fields."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import angle_between_deg
from surveyapp.geometry.headings import Declination, declination
from surveyapp.geometry.pointing import Axis, pointing, steady_heading, steady_tilt
from surveyapp.model import HeadingSample, TiltSample, Vector
from tests.geometry.published import columns

# World Magnetic Model 2025 test values: field columns X (north), Y (east), Z (down) in nT
PUBLISHED = [row for row in columns("wmm2025_test_values.txt") if row[6] > 6_000.0][::4]
HUNDREDTH_DEG = 0.01
NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
UP_M_S2 = np.array([0.0, 0.0, 9.80665])
HERE = declination(60.17, 24.94, date(2026, 5, 4))
LEVEL: Vector = (0.0, 0.0, 9.80665)


def field_ut(model: Declination) -> np.ndarray:
    """The model's field east, north (both magnetic) and up, in microtesla."""
    down_nt = math.sin(math.radians(model.inclination_deg)) * model.total_nt
    return np.array([0.0, model.horizontal_nt, -down_nt]) / 1000.0


def seen_by_phone(
    azimuth_deg: float, elevation_deg: float, roll_deg: float, field: np.ndarray, axis: Axis
) -> HeadingSample:
    """What a phone held so would measure: world vectors (east, north, up) turned into its axes."""
    start = Rotation.align_vectors([[0, 1, 0], [0, 0, 1]], [axis.value, _other(axis)])[0]
    turn = Rotation.from_euler("yxz", [roll_deg, elevation_deg, -azimuth_deg], degrees=True)
    to_phone = (turn * start).inv()
    return HeadingSample(
        time_utc=NOW,
        field_ut=tuple(to_phone.apply(field)),
        gravity_m_s2=tuple(to_phone.apply(UP_M_S2)),
    )


def _other(axis: Axis) -> Vector:
    """The phone's axis that points up when the pointed one is level."""
    return (0.0, 0.0, 1.0) if axis is Axis.TOP_EDGE else (0.0, 1.0, 0.0)


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row[2]:.0f},{row[3]:.0f}")
@pytest.mark.parametrize("axis", Axis)
def test_a_phone_in_a_published_field_finds_true_north(row: list[float], axis: Axis) -> None:
    """Heading plus published declination is the true azimuth; dip and strength as published."""
    x_nt, y_nt, z_nt = row[7:10]
    true_deg, elevation_deg = 137.0, 12.0
    field = np.array([y_nt, x_nt, -z_nt]) / 1000.0
    found = pointing(seen_by_phone(true_deg, elevation_deg, 20.0, field, axis), axis)

    off_deg = angle_between_deg(true_deg, found.magnetic_deg + row[4])
    assert off_deg == pytest.approx(0.0, abs=HUNDREDTH_DEG)
    assert found.elevation_deg == pytest.approx(elevation_deg, abs=HUNDREDTH_DEG)
    assert found.dip_deg == pytest.approx(row[5], abs=HUNDREDTH_DEG)
    assert found.total_nt == pytest.approx(row[10], rel=1e-9)


def series(
    azimuths_deg: list[float], *, field: np.ndarray | None = None, noise_ut: float = 0.2
) -> list[HeadingSample]:
    """Half a second between samples, with a little noise on the field."""
    rng = np.random.default_rng(7)
    made = []
    for number, azimuth_deg in enumerate(azimuths_deg):
        noisy = (field_ut(HERE) if field is None else field) + rng.normal(0.0, noise_ut, 3)
        one = seen_by_phone(azimuth_deg, 3.0, 0.0, noisy, Axis.CAMERA)
        made.append(
            HeadingSample(
                time_utc=NOW + timedelta(seconds=number / 2),
                field_ut=one.field_ut,
                gravity_m_s2=one.gravity_m_s2,
            )
        )
    return made


def test_headings_are_averaged_across_north() -> None:
    """358, 0 and 2 make 0, not 120."""
    found = steady_heading(series([358.0, 0.0, 2.0] * 5), Axis.CAMERA, HERE)

    assert abs(angle_between_deg(0.0, found.magnetic_deg)) < 1.0
    assert 1.0 < found.spread_deg < 3.0
    assert found.sigma_deg > 5.0
    assert found.elevation_deg == pytest.approx(3.0, abs=HUNDREDTH_DEG)
    assert found.field_share == pytest.approx(1.0, abs=0.01)
    assert found.doubts == ()


def test_steel_nearby_is_told_from_the_strength_of_the_field() -> None:
    """A field half as strong again as the model's."""
    found = steady_heading(series([90.0] * 5, field=field_ut(HERE) * 1.5), Axis.CAMERA, HERE)

    assert "150% of what it should be" in found.doubts[0]


def test_steel_nearby_is_told_from_the_dip_of_the_field() -> None:
    """The right strength at half the slope."""
    flatter = np.array([0.0, 0.707, -0.707]) * HERE.total_nt / 1000.0
    found = steady_heading(series([90.0] * 5, field=flatter), Axis.CAMERA, HERE)

    assert "degrees less than it should" in found.doubts[0]


def test_a_stuck_compass_and_an_unsteady_hand_are_told() -> None:
    """Twenty equal samples; a swing of +-20 degrees."""
    stuck = steady_heading(series([90.0] * 20, noise_ut=0.0), Axis.CAMERA, HERE)
    swinging = steady_heading(series([70.0, 110.0] * 5), Axis.CAMERA, HERE)

    assert "stuck" in stuck.doubts[0]
    assert "wavers by 20 degrees" in swinging.doubts[0]


@pytest.mark.parametrize(
    ("field", "gravity", "said"),
    [
        ((math.nan, 0.0, 0.0), LEVEL, "no numbers"),
        ((0.0, 0.0, 0.0), LEVEL, "nowhere"),
        ((0.0, 300.0, 0.0), LEVEL, "steel"),
        ((0.0, 15.0, -50.0), (0.0, 0.0, 0.0), "no numbers"),
        ((0.0, 15.0, -50.0), (math.inf, 0.0, 0.0), "no numbers"),
        ((0.0, 15.0, -50.0), (0.0, 0.0, 14.0), "in motion"),
        ((0.0, 15.0, -50.0), (0.0, 9.8, 0.0), "too steeply"),
        ((0.0, 0.0, -50.0), LEVEL, "upright"),
    ],
)
def test_what_gives_no_heading_is_refused_with_the_reason(
    field: Vector, gravity: Vector, said: str
) -> None:
    """No number, no field of Earth, a phone in motion, an axis straight up."""
    bad = HeadingSample(time_utc=NOW, field_ut=field, gravity_m_s2=gravity)
    good = HeadingSample(time_utc=NOW, field_ut=(0.0, 15.0, -50.0), gravity_m_s2=LEVEL)

    with pytest.raises(NoAnswer, match=said):
        steady_heading([bad], Axis.TOP_EDGE, HERE)
    assert steady_heading([bad, good], Axis.TOP_EDGE, HERE).refused == 1


def test_nothing_yet_is_no_heading() -> None:
    """Before the first sample."""
    with pytest.raises(NoAnswer, match="nothing yet"):
        steady_heading([], Axis.CAMERA, HERE)
    with pytest.raises(NoAnswer, match="nothing yet"):
        steady_tilt([], Axis.CAMERA)


def test_elevation_comes_from_gravity_alone() -> None:
    """A camera raised by 30 degrees, the hand wavering by two."""
    tilts_deg = [28.0, 32.0] * 4
    samples = [
        TiltSample(
            time_utc=NOW + timedelta(seconds=n / 2),
            gravity_m_s2=(
                0.0,
                9.80665 * math.cos(math.radians(t)),
                -9.80665 * math.sin(math.radians(t)),
            ),
        )
        for n, t in enumerate(tilts_deg)
    ]
    found = steady_tilt(samples, Axis.CAMERA)

    assert found.elevation_deg == pytest.approx(30.0, abs=HUNDREDTH_DEG)
    assert found.spread_deg == pytest.approx(2.0, abs=HUNDREDTH_DEG)
    assert (found.used, found.doubts) == (8, ())
