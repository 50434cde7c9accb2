"""Words that cover no other: turned rectangles against shapely, and their order of weight."""

from __future__ import annotations

from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import affinity, geometry

from surveyapp.ui.plan.labels import Box, overlap, place

A_PIXEL_SQUARED = 1.0
lengths = st.floats(5, 200)
turns = st.floats(-90, 90)
boxes = st.builds(Box, st.floats(0, 400), st.floats(0, 400), lengths, lengths, turns)


def polygon(box: Box) -> geometry.Polygon:
    """The same rectangle, by shapely."""
    x, y = box.width_px / 2, box.height_px / 2
    upright = geometry.box(box.x_px - x, box.y_px - y, box.x_px + x, box.y_px + y)
    return affinity.rotate(upright, box.turn_deg)


@given(boxes, boxes)
def test_rectangles_overlap_as_shapely_finds_it(one: Box, other: Box) -> None:
    """Shared area or none; a hair's breadth of touching may go either way."""
    shared = polygon(one).intersection(polygon(other)).area
    apart = polygon(one).distance(polygon(other))
    assume(shared > A_PIXEL_SQUARED or apart > 1e-6)

    assert overlap(one, other) == (shared > 0)
    assert overlap(other, one) == (shared > 0)


@given(st.lists(boxes, max_size=12), st.lists(boxes, max_size=3))
def test_placed_labels_cover_neither_each_other_nor_what_was_there(
    wanted: list[Box], taken: list[Box]
) -> None:
    """Whatever is asked for, the rectangles placed are free of each other."""
    placed = place([(number, (box,)) for number, box in enumerate(wanted)], taken)
    full = [*taken, *(box for _, box in placed)]

    for at, (_, box) in enumerate(placed, start=len(taken)):
        assert not any(overlap(box, other) for other in full[:at])


def test_the_weightier_label_comes_first_and_the_lighter_moves_aside() -> None:
    """A second label takes its second choice; a third with no room is left out."""
    here, there = Box(0, 0, 10, 10), Box(50, 0, 10, 10)
    placed = place([("heavy", (here,)), ("light", (here, there)), ("late", (there, here))])

    assert placed == [("heavy", here), ("light", there)]


@given(boxes)
def test_a_box_lies_in_the_window_as_shapely_finds_it(box: Box) -> None:
    """Every corner inside the window of 400 by 300."""
    window, shape = geometry.box(0, 0, 400, 300), polygon(box)
    assume(window.buffer(1e-6).covers(shape) == window.buffer(-1e-6).covers(shape))

    assert box.lies_in(400, 300) == window.covers(shape)
