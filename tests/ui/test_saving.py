"""From the last field to the row on the page: Save in Next's place, the new row, Undo."""

from __future__ import annotations

import pytest

from surveyapp.model import Reading, Remark
from surveyapp.ui.widgets import entry_list
from tests.ui import field_day
from tests.ui.harness import Pilot, frames, until, wait


@pytest.fixture
def ready(pilot: Pilot) -> Pilot:
    """The app at a stop with a position, a site and two phones."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    return pilot


def test_words_come_first_and_save_is_not_tapped_by_a_second_next(ready: Pilot) -> None:
    """A remark opens on its text, what it is about beside it; where Save takes Next's place it
    looks otherwise and takes no tap of the same burst."""
    ready.touch("Remark")
    frames(2)
    ready.type("Bus in the beam")
    ready.touch("Traffic")
    state = ready.router.sheets[-1].state
    assert (state.focus, state.text("text")) == ("text", "Bus in the beam")
    ready.touch("Save")
    assert ready.session.notebook.all(Remark)[0].kind == "traffic"

    sheet = ready.router.open_entry("position")
    foot = sheet.ids.pane.ids.foot
    sheet.move_to("lon")  # Next leads to the last field
    until(lambda: foot.settled)
    word = foot._keys[-1]
    for _ in range(2):
        ready.touch_at(*word.to_window(*word.center))
    assert (word.text, word.ends, word.icon) == ("Save", True, "done")
    assert sheet in ready.router.sheets
    until(lambda: foot.settled)
    ready.touch_at(*word.to_window(*word.center))
    assert sheet not in ready.router.sheets


def test_what_was_saved_is_brought_into_sight_and_undo_stands_by(ready: Pilot) -> None:
    """Saving left no trace on the Stop page: now the new row is seen, marked for a moment."""
    for number in range(6):
        ready.session.save(
            Remark(
                stop_id=ready.session.stop.id, time_utc=ready.session.clock(), text=f"Bus {number}"
            )
        )
    wait(0.5)
    page = ready.app.root.ids.manager.current_screen
    page.ids.view.scroll_y = 0
    field_day.remark(ready)
    wait(0.5)
    view, row = page.ids.view, ready.find("Bus in the beam")
    low = row.to_window(*row.pos)[1]
    assert row.marked
    assert view.to_window(*view.pos)[1] <= low
    assert low + row.height <= view.to_window(view.x, view.top)[1] + 1
    wait(entry_list.MARKED_S + 0.1)
    assert not row.marked
    ready.touch(page.ids.entries.head.ids.undo.__self__)
    frames(2)
    assert ready.session.notebook.count(Remark) == 6


def test_a_short_drag_stays_short_and_the_ways_to_fill_stand_on_top(ready: Pilot) -> None:
    """120 to 150 px once flung a reading's fields from one end to the other; One line and Delete
    stood at the end of them."""
    field_day.reading(ready)
    until(lambda: ready.router.sheets == [])
    sheet = ready.router.open_entry("reading", ready.session.notebook.all(Reading)[0].id)
    wait(0.2)
    view, fields = sheet.ids.scroll, sheet.ids.fields
    for word in ("One line", "Delete"):
        chip = ready.find(word)
        assert chip.to_window(*chip.pos)[1] >= fields.to_window(fields.x, fields.top)[1]
    beyond = view.children[0].height - view.height
    assert beyond > 400
    x, y = view.to_window(view.center_x, view.y + 30)
    before = view.scroll_y
    ready.drag((x, y), (x, y + 140), steps=10, step_s=0.02)
    wait(2.0)
    moved = (before - view.scroll_y) * beyond
    assert 20 < moved < 320
