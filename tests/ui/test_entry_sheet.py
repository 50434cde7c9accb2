"""Entry sheets under a finger and under a keyboard: drafts, doubts, delete and undo."""

from __future__ import annotations

import pytest
from kivy.core.clipboard import Clipboard

from surveyapp.errors import NotebookError
from surveyapp.model import Device, PositionFrom, Reading, Remark, Sighting, SpeedRun
from surveyapp.ui.sheets import keeper
from surveyapp.ui.theme import theme
from tests.ui import field_day
from tests.ui.harness import Pilot, frames, shown, wait


@pytest.fixture
def ready(pilot: Pilot) -> Pilot:
    """The app at a stop with a position, a site and two phones."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    return pilot


def test_each_keystroke_is_in_the_notebook_at_once(ready: Pilot) -> None:
    """The draft grows with every key, before anything is saved."""
    ready.touch("Speed run")
    kept = []
    for key in "1480":
        ready.touch_key(key)
        kept.append(ready.session.notebook.drafts()[0].fields["down"])

    assert kept == ["1", "14", "148", "1480"]
    assert ready.session.notebook.count(SpeedRun) == 0


def test_a_sheet_left_half_typed_comes_back(ready: Pilot) -> None:
    """Close keeps what was typed, and the same button opens it as it was."""
    ready.touch("Speed run")
    field_day.keys(ready, "1480")
    ready.touch_key("9")
    ready.touch("Close")
    ready.touch("Speed run")

    assert ready.router.sheets[-1].state.texts["down"] == "1480"
    assert ready.router.sheets[-1].state.focus == "up"


def test_a_sheet_nothing_was_typed_into_leaves_no_draft(ready: Pilot) -> None:
    """Looking into a sheet costs nothing."""
    ready.touch("Speed run")
    ready.back()

    assert ready.session.notebook.drafts() == []


def test_clearing_a_sheet_forgets_its_draft(ready: Pilot) -> None:
    """Clear the sheet starts afresh."""
    ready.touch("Speed run")
    field_day.keys(ready, "1480")
    ready.touch("Clear the sheet")

    assert ready.router.sheets[-1].state.text("down") == ""


def test_an_impossible_value_is_told_at_once_and_kept_as_typed(ready: Pilot) -> None:
    """The sentence appears with the keystroke; saving is not blocked by a doubt."""
    ready.touch("Reading")
    field_day.keys(ready, "258")
    ready.touch("RSRP")
    for key in "286":
        ready.touch_key(key)
    assert ready.says("RSRP −286 cannot be: −156 to −29 dBm.")

    ready.touch("Save")
    reading = ready.session.notebook.all(Reading)[0]
    assert reading.carriers[0].rsrp_dbm == -286.0


def test_a_needed_field_left_empty_keeps_the_sheet_open(ready: Pilot) -> None:
    """Saving a sighting without its site asks for the site."""
    ready.touch("Sighting")
    ready.touch("Bearing")
    field_day.keys(ready, "12", "Next")
    ready.touch("Save")

    assert ready.says("Site is needed.")
    assert ready.router.sheets[-1].state.focus == "site"
    assert ready.session.notebook.count(Sighting) == 0


def test_a_position_written_or_pasted_in_any_form_is_shown_in_decimal_degrees(
    ready: Pilot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Buninyong as the Geocentric Datum of Australia technical manual has it (from memory), then a
    pasted geo: URI of RFC 5870 (from memory); what is no place is told and not saved."""
    sheet = ready.router.open_entry("position")
    sheet.move_to("written")
    sheet.write("37°39'10.15610\"S 143°55'35.38390\"E")
    frames(4)
    assert ready.says("Read as −37.652821, 143.926496.")
    assert (sheet.state.text("lat"), sheet.state.text("lon")) == ("-37.652821", "143.926496")

    monkeypatch.setattr(Clipboard, "paste", lambda: "geo:48.198634,\n16.371648;u=40")
    ready.touch("Paste")
    ready.touch("Save")
    assert ready.says("is not plainly a place")
    assert sheet in ready.router.sheets
    monkeypatch.setattr(Clipboard, "paste", lambda: "geo:48.198634,16.371648;crs=wgs84;u=40\n")
    ready.touch("Paste")
    ready.touch("Save")
    stop = ready.session.stop
    assert (stop.lat_deg, stop.lon_deg) == (48.198634, 16.371648)
    assert stop.position_from is PositionFrom.TYPED


def test_a_magnetic_bearing_is_turned_to_true_north(ready: Pilot) -> None:
    """The bearing as read, the declination and the true bearing are all kept."""
    field_day.sighting(ready)
    sighting = ready.session.notebook.all(Sighting)[0]

    assert sighting.raw_bearing_deg == 351.0
    assert sighting.declination_deg == pytest.approx(10.4, abs=0.3)
    assert sighting.bearing_deg == pytest.approx((351.0 + sighting.declination_deg) % 360, abs=1e-9)


def test_a_bearing_read_before_the_position_is_turned_when_it_comes(pilot: Pilot) -> None:
    """Without a position the declination is unknown; giving one works the bearing out."""
    field_day.prepare(pilot)
    field_day.sighting(pilot)
    assert pilot.session.notebook.all(Sighting)[0].bearing_deg is None

    field_day.place(pilot)
    assert pilot.session.notebook.all(Sighting)[0].bearing_deg == pytest.approx(1.4, abs=0.3)


def test_phones_take_turns(ready: Pilot) -> None:
    """Each new run begins with the phone that has fewer runs here."""
    for values in (*field_day.RUNS, *field_day.RUNS):
        field_day.speed_run(ready, values)
    labels = {device.id: device.label for device in ready.session.notebook.all(Device)}
    runs = sorted(ready.session.notebook.all(SpeedRun), key=lambda run: run.created_utc)

    assert sorted(labels[run.device_id] for run in runs) == ["Phone A"] * 2 + ["Phone B"] * 2


def test_an_entry_is_changed_by_a_tap_and_deleted_with_undo(ready: Pilot) -> None:
    """Delete says what it did, and Undo brings the row back."""
    field_day.speed_run(ready, field_day.RUNS[0])
    ready.touch("Phone A · 1480 down")
    assert ready.says("Speed run, change")

    ready.touch("Delete")
    assert ready.says("Deleted speed run.")
    assert ready.session.notebook.count(SpeedRun) == 0

    ready.touch("Undo")
    assert ready.session.notebook.count(SpeedRun) == 1
    assert ready.says("Phone A · 1480 down")


def test_a_physical_keyboard_fills_a_sheet(ready: Pilot) -> None:
    """Digits, either decimal mark, Tab and Enter; Enter on the last field saves."""
    ready.touch("Speed run")
    for value in ("1480", "96", "17", "2,4"):
        ready.type(value)
        ready.key_down(9)
    ready.type("0")
    ready.key_down(13)
    run = ready.session.notebook.all(SpeedRun)[0]

    assert (run.down_mbps, run.up_mbps, run.ping_ms, run.jitter_ms, run.loss_pct) == (
        1480.0, 96.0, 17.0, 2.4, 0.0,
    )  # fmt: skip


def test_the_carriers_of_last_time_come_in_one_touch(ready: Pilot) -> None:
    """The set is offered where the band is asked for, and the cursor goes to RSRP."""
    field_day.reading(ready)
    ready.touch("Reading")
    ready.touch("As last")
    state = ready.router.sheets[-1].state

    assert state.focus == "primary_rsrp"
    assert [state.text(f"primary_{name}") for name in ("band", "count", "width")] == [
        "258", "4", "100",
    ]  # fmt: skip
    assert state.text("anchor_band") == "20"
    assert state.text("primary_rsrp") == ""


def test_a_first_tap_anywhere_starts_a_stop(pilot: Pilot) -> None:
    """A tap on empty paper makes today's survey and its first stop."""
    pilot.touch_at(180, 400)
    frames(2)

    assert pilot.says("Stop 1")
    assert pilot.session.survey.title == "Survey of Wednesday 10 June 2026"


def test_a_lost_5g_leg_is_noted_for_its_phone(ready: Pilot) -> None:
    """Where a remark is about a phone the sheet asks which, on the way to the words."""
    ready.touch("Remark")
    ready.touch("Lost 5G")
    ready.touch("Phone B")
    ready.touch("Save")
    remark = ready.session.notebook.all(Remark)[0]

    assert ready.session.notebook.get(Device, remark.device_id).label == "Phone B"


def test_a_failing_write_is_told_and_tried_again_until_it_works(
    ready: Pilot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk keeps the sheet on screen with its sentence; room on the disk ends it."""
    monkeypatch.setattr(keeper, "AGAIN_AFTER_S", 0.05)
    notebook = ready.session.notebook

    def full(*_: object) -> None:
        raise NotebookError("The disk that holds it is full: free some space.")

    with monkeypatch.context() as while_full:
        while_full.setattr(notebook, "keep_draft", full)
        ready.touch("Speed run")
        ready.touch_key("1")
        wait(0.2)
        assert ready.says("Not on disk yet, trying again: The disk that holds it is full")
        ready.back()
        assert ready.says("Speed run")
        assert notebook.drafts() == []
    wait(0.2)

    assert notebook.drafts()[0].fields["down"] == "1"
    assert not ready.says("Not on disk yet")


def test_a_disk_truly_full_keeps_the_entry_and_saves_it_once_there_is_room(
    ready: Pilot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite itself refuses to grow: neither keystroke, Save nor Close loses the remark."""
    monkeypatch.setattr(keeper, "AGAIN_AFTER_S", 0.05)
    notebook, words = ready.session.notebook, "The bus stood in the beam. " * 800
    ready.touch("Remark")
    ready.touch("Other")
    (pages,) = notebook._connection.one("PRAGMA page_count")
    notebook._connection.one(f"PRAGMA max_page_count = {pages}")
    ready.router.sheets[-1].ids.pane.ids.line.text = words  # as a paste puts it
    frames(2)
    for word in ("Save", "Close"):
        assert ready.says("Not on disk yet, trying again: The disk that holds"), word
        ready.touch(word)
        assert ready.router.sheets[-1].state.text("text") == words
    assert notebook.count(Remark) == 0

    notebook._connection.one("PRAGMA max_page_count = 1000000")
    wait(0.2)
    assert not ready.says("Not on disk yet")
    assert notebook.drafts()[0].fields["text"] == words
    ready.touch("Save")
    assert notebook.all(Remark)[0].text == words.strip()


def test_the_page_goes_on_following_the_theme_after_a_sheet_was_closed(ready: Pilot) -> None:
    """Only the closed sheet's own widgets let go."""
    ready.touch("Remark")
    ready.back()
    theme.name, theme.text_scale = "night", 2.0
    frames(4)
    label = next(w for w in shown(ready.app.root) if getattr(w, "text", "") == "Plan")

    assert tuple(label.children[0].color if label.children else label.color) == tuple(theme.soft)
