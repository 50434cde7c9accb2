"""One line in: what was understood is shown and fills the sheets; nothing is dropped."""

from __future__ import annotations

import pytest

from surveyapp.exchange.one_line import read_line
from surveyapp.model import Device, Draft, Reading, Remark, Role, Source, SpeedRun
from surveyapp.ui.entries.one_line import read_with_phone
from tests.ui import field_day
from tests.ui.harness import Pilot, frames


@pytest.fixture
def ready(pilot: Pilot) -> Pilot:
    """The app at a stop with two phones."""
    field_day.prepare(pilot)
    pilot.touch_at(180, 400)
    frames(2)
    return pilot


def type_line(pilot: Pilot, sheet: str, text: str) -> None:
    """Open a sheet, its one line, and type."""
    pilot.touch(sheet)
    pilot.touch("One line")
    frames(2)
    pilot.type(text)


def test_a_line_fills_a_reading_and_its_words_become_a_remark(ready: Pilot) -> None:
    """Values, a marked guess and the rest are shown; then the sheet is filled and saved."""
    type_line(ready, "Reading", "n258 4x100 b20 10 rsrp -86 rsrq -12,5 behind the big tree")
    assert ready.says("A guess: look twice")
    assert ready.says("behind the big tree")
    assert ready.says("RSRP, NR")

    ready.touch("Fill in")
    state = ready.router.sheets[-1].state
    assert state.text("primary_rsrp") == "-86"
    assert state.text("anchor_band") == "20"

    ready.touch("Save")
    reading = ready.session.notebook.all(Reading)[0]
    assert reading.source is Source.LINE
    assert [(c.role, c.band, c.count, c.bandwidth_mhz, c.rsrp_dbm) for c in reading.carriers] == [
        (Role.PRIMARY, "n258", 4, 100.0, -86.0), (Role.ANCHOR, "B20", 1, 10.0, None),
    ]  # fmt: skip
    assert [r.text for r in ready.session.notebook.all(Remark)] == ["behind the big tree"]


def test_a_phone_named_in_a_line_is_chosen_and_what_was_filled_is_seen(ready: Pilot) -> None:
    """'Phone B' was once filled in under Phone A, its name kept as a remark, and the sheet stood
    at its end; a label that is a band's name stays a band."""
    ready.touch("Reading")
    sheet = ready.router.sheets[-1]
    sheet.move_to("anchor_mhz")
    frames(4)
    ready.touch("One line")
    frames(2)
    ready.type("phone b: n258 4x100 anchor b20 10 rsrp -86 sunny")
    assert ready.says("Phone B")
    ready.touch("Fill in")
    frames(4)
    labels = {device.id: device.label for device in ready.session.devices}
    cell, view = sheet.ids.fields._current, sheet.ids.scroll
    low = cell.to_window(*cell.pos)[1]
    assert labels[sheet.state.text("device")] == "Phone B"
    assert sheet.state.focus == "primary_band"
    assert view.y - 1 <= low
    assert low + cell.height <= view.top + 1
    ready.touch("Save")
    (remark,) = ready.session.notebook.all(Remark)
    assert remark.text == "sunny"

    odd = Device(label="n78")
    assert read_with_phone("n78 100 rsrp -90", [odd]) == (None, read_line("n78 100 rsrp -90"))


def test_a_line_with_both_fills_the_run_and_keeps_the_reading_for_later(ready: Pilot) -> None:
    """The other sheet's part waits as its draft; the run's values stand in its sheet."""
    type_line(ready, "Speed run", "n78 100 rsrp -90 612/48 21ms")
    ready.touch("Fill in")
    assert ready.says("The reading of this line waits on its own sheet.")
    ready.touch("Save")
    run = ready.session.notebook.all(SpeedRun)[0]
    draft: Draft = ready.session.notebook.drafts()[0]

    assert (run.down_mbps, run.up_mbps, run.ping_ms) == (612.0, 48.0, 21.0)
    assert (draft.sheet, draft.fields["primary_rsrp"]) == ("reading", "-90")


def test_the_grammar_is_one_touch_away(ready: Pilot) -> None:
    """The page opens over the line and Back leads to it again, as it was typed."""
    type_line(ready, "Reading", "n258")
    ready.touch("What one line may say")
    assert ready.says("n258 4x100 b20 10 rsrp -86 rsrq -12.5 sinr 14")
    ready.back()

    assert ready.router.sheets[-1].state.texts["line"] == "n258"
