"""The Stop place: what serves there, and the small actions above it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from surveyapp.model import Carrier, Device, PositionFrom, Reading, Sector, Sighting, Site
from surveyapp.store.notebook import Notebook
from surveyapp.ui.answer_words import leg_views
from surveyapp.ui.entries.sighting import SightingForm
from surveyapp.ui.entry_lines import entry_lines
from surveyapp.ui.session import Session
from surveyapp.ui.theme import theme
from tests.ui import fake_phone, field_day, filled, harness
from tests.ui.conftest import NOW
from tests.ui.harness import Pilot


def test_the_serving_answer_appears(pilot: Pilot) -> None:
    """With a position and a site near by, the page names sectors with their percentages."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    harness.until(lambda: pilot.says("What would settle it"))

    assert pilot.says("What serves here")
    assert pilot.says("South")
    assert any(text.endswith(" %") for text in pilot.texts())


def test_the_answer_is_in_sight_and_the_actions_follow_the_hand(path: Path) -> None:
    """On a small phone six actions once pushed the answer off the page; laid down, with large
    text, the five buttons left no page at all."""
    pilot = harness.start(filled.write(path), clock=lambda: NOW, sensors=fake_phone.phone())
    harness.until(lambda: pilot.says("What serves here"))
    first = next(w for w in harness.shown(pilot.app.root) if type(w).__name__ == "ProbabilityRow")
    tops = {word: pilot.find(word).to_window(0, pilot.find(word).top)[1] for word in ACTIONS}
    buttons = pilot.find("Sighting")
    right_handed = [pilot.find(word).center_x for word in ACTIONS[3:]]
    theme.left_handed = True
    harness.frames(3)
    left_handed = [pilot.find(word).center_x for word in ACTIONS[3:]]

    assert first.to_window(*first.pos)[1] > buttons.to_window(0, buttons.top)[1]
    assert len(set(tops.values())) == 2
    assert right_handed == sorted(right_handed)
    assert left_handed == pytest.approx(right_handed[::-1], abs=ONE_PIXEL)

    harness.Window.size, theme.text_scale = harness.LAID_DOWN, 2.0
    harness.frames(6)
    view, buttons = (pilot.app.root.ids.manager.current_screen.ids[n] for n in ("view", "buttons"))
    assert buttons.right <= view.x + ONE_PIXEL  # under the left thumb, beside the page
    assert buttons.top <= view.top + ONE_PIXEL
    assert view.height > harness.Window.height / 2
    harness.stop(pilot)


ONE_PIXEL = 1.0
ACTIONS = (
    "Take position", "Take heading", "Compass check", "Before the runs", "Lost 5G", "Radio reset",
)  # fmt: skip


def test_two_readings_of_a_phone_are_told_apart_and_rows_name_panel_and_pci(
    tmp_path: Path,
) -> None:
    """'5G · Phone A' stood there twice; rows left out the panel sighted and the PCI read, and
    'Which panel' offered A, B and C without their azimuths."""
    with Notebook.create(tmp_path / "s.notebook", clock=lambda: NOW) as notebook:
        session = Session(notebook, lambda: NOW)
        stop = session.start_stop()
        session.set_position(60.1662, 24.94, 5.0, PositionFrom.TYPED)
        site = Site(name="Lamp 12", lat_deg=60.1668, lon_deg=24.94)
        panel = Sector(site_id=site.id, label="C", azimuth_deg=180.0, height_m=6.0, eirp_dbm=50.0)
        phone = Device(label="Phone A")
        times = (NOW, NOW + timedelta(minutes=12))
        carrier = Carrier(band="n258", rsrp_dbm=-80.0, pci=412)
        read = [
            Reading(stop_id=stop.id, device_id=phone.id, time_utc=time, carriers=(carrier,))
            for time in times
        ]
        sighting = Sighting(stop_id=stop.id, site_id=site.id, sector_id=panel.id)
        session.save(site, panel, phone, *read, sighting)
        answers, _ = session.answers()
        titles = {view.title for view in leg_views(session.scene, answers) if "5G" in view.title}
        lines = entry_lines(session.scene)

        assert titles == {"5G · Phone A · 09:30", "5G · Phone A · 09:42"}
        assert any(line.text == "Lamp 12 C" for line in lines)
        assert sum("PCI 412" in line.detail for line in lines) == 2
        (which,) = [
            field
            for field in SightingForm().fields(session, {"site": site.id})
            if field.name == "sector"
        ]
        assert [choice.label for choice in which.choices] == ["The site as a whole", "C 180°"]
