"""Strokes as arrays: four corners and two triangles each, in portions a mesh can hold."""

from __future__ import annotations

import numpy as np

from surveyapp.ui.plan.strokes import FLOATS, MESH_STROKES, Pen, Strokes, arc_px, diamond_px


def test_a_line_of_three_places_is_two_strokes() -> None:
    """Each stroke has its two ends in all four corners, and its width halved."""
    strokes = Strokes()
    strokes.line([(0, 0), (10, 0), (10, 5)], Pen(3.0, 1.0, (4.0, 6.0)))
    (corners, indices), *more = strokes.meshes()
    rows = corners.reshape(-1, FLOATS)

    assert not more
    assert len(rows) == 8
    assert (rows[:4, :2] == (0, 0)).all()
    assert (rows[:4, 4:6] == (10, 0)).all()
    assert (rows[:, 10:] == (1.5, 0.5, 4.0, 6.0)).all()
    assert indices.tolist() == [0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7]


def test_fifty_thousand_dots_come_in_portions_within_16_bits() -> None:
    """No index beyond 65,535, and no dot lost."""
    places = np.random.default_rng(5).uniform(-500, 500, (50_000, 2))
    strokes = Strokes()
    strokes.dots(places, 3.0)
    meshes = list(strokes.meshes())

    assert sum(len(corners) for corners, _ in meshes) == 50_000 * 4 * FLOATS
    assert all(indices.max() < 4 * MESH_STROKES <= 65_536 for _, indices in meshes)
    drawn = np.concatenate([corners.reshape(-1, FLOATS)[::4, :2] for corners, _ in meshes])
    assert np.abs(drawn - places).max() < 1e-4


def test_nothing_drawn_is_no_mesh() -> None:
    """Empty strokes, an empty set of dots and a line of one place draw nothing."""
    strokes = Strokes()
    strokes.dots(np.zeros((0, 2)), 2.0)
    strokes.line([(1, 1)], Pen(1.0))

    assert list(strokes.meshes()) == []


def test_an_arc_spans_its_azimuths_clockwise_from_up() -> None:
    """From 330 to 30 degrees about up, every point at the radius."""
    arc = arc_px(40.0, -30.0, 30.0)

    assert np.allclose(np.hypot(*arc.T), 40.0)
    assert np.allclose(arc[0], (40 * np.sin(np.radians(-30)), 40 * np.cos(np.radians(30))))
    assert np.allclose(arc[-1], (20.0, 40 * np.cos(np.radians(30))))
    assert np.allclose(diamond_px(3.0)[0], diamond_px(3.0)[-1])
