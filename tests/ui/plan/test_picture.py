"""A picture of the ground below the plan: its squares where EPSG:3857 has them, chosen by touch."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from io import BytesIO
from math import cos, radians
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pyproj import Transformer

from surveyapp.geometry.plan_projection import Plane
from surveyapp.ui.plan.picture_squares import EQUATOR_M, Square, squares_seen
from surveyapp.ui.plan.viewport import Viewport
from tests.store.test_tiles import write_tiles
from tests.ui import harness
from tests.ui.gestures import plan_view
from tests.ui.harness import Pilot

TO_MERCATOR = Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True)
PLANE = Plane(60.17, 24.94)


@given(st.integers(0, 18), st.floats(0, 0.999), st.floats(0, 0.999))
def test_corners_lie_where_proj_has_them(zoom: int, across: float, down: float) -> None:
    """In metres of the projection, to the millimetre."""
    side = EQUATOR_M / 2**zoom
    square = Square(zoom, int(across * 2**zoom), int(down * 2**zoom))
    (south, west), _, (north, east), _ = square.corners_deg
    left, bottom = TO_MERCATOR.transform(west, south)
    right, top = TO_MERCATOR.transform(east, north)

    assert left == pytest.approx(square.column * side - EQUATOR_M / 2, abs=1e-3)
    assert top == pytest.approx(EQUATOR_M / 2 - square.row * side, abs=1e-3)
    assert (right - left, top - bottom) == pytest.approx((side, side), abs=2e-3)


@pytest.mark.parametrize("px_per_m", [0.05, 0.4, 3.0])
def test_squares_are_about_as_fine_as_the_screen(px_per_m: float) -> None:
    """A square's 256 pixels cover 180 to 363 pixels: the zoom nearest to one for one."""
    found = squares_seen(Viewport(360, 600, 0, 0, px_per_m), PLANE, (0, 20), 1.0)
    wide_m = EQUATOR_M * cos(radians(60.17)) / 2 ** found[0].zoom

    assert 180 <= wide_m * px_per_m <= 363


def test_a_chosen_picture_lies_below_the_plan_until_it_is_gone(
    pilot: Pilot, tmp_path: Path
) -> None:
    """Chosen under Book, Ground; its attribution stands on the plan; a file gone bad is told."""
    picture = BytesIO()
    Image.new("RGB", (256, 256), "#445566").save(picture, "PNG")
    view = plan_view(pilot)
    plane = pilot.app.root.ids.manager.get_screen("plan")._plane
    seen = squares_seen(view.viewport, plane, (15, 15), 1.0)
    squares = tuple((15, s.column, 2**15 - 1 - s.row, picture.getvalue()) for s in seen)
    path = write_tiles(tmp_path / "own.mbtiles", squares=squares)
    pilot.session.notebook.keep_setting("last_folder", str(tmp_path))
    pilot.touch("Book")
    harness.frames(4)
    pilot.touch("Ground")
    harness.frames(4)
    pilot.touch("Choose a picture")
    harness.frames(4)
    pilot.touch("own.mbtiles")
    harness.frames(4)
    pilot.touch("Plan")
    harness.wait(0.3)
    assert pilot.says("Drawn by us")
    assert len(view.drawing.picture._held) == len(seen)
    with closing(sqlite3.connect(path)) as changed:
        changed.execute("DROP TABLE tiles")
    view.zoom(1 / 16)  # squares that were not loaded yet
    harness.wait(0.3)
    assert pilot.says("own.mbtiles is damaged")
    assert not pilot.says("Drawn by us")
    pilot.touch("Stop")
    path.write_bytes(b"no database" * 400)
    page = pilot.app.root.ids.manager.get_screen("plan")
    page._picture_key = None  # as in a new process
    pilot.touch("Plan")
    harness.frames(4)

    assert pilot.says("own.mbtiles is damaged")
    assert not view.drawing.picture.has_file
    assert len(view.marks.sites) == 2
