"""Sensors that lie are caught and told in a sentence, and the value can be typed all the same."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from surveyapp.errors import SensorUnavailable
from surveyapp.model import HeadingSample, PositionFrom, PositionSample
from surveyapp.sensors.heading import FakeHeading
from surveyapp.sensors.position import FakePosition
from surveyapp.sensors.screen_edges import Edges, FixedEdges
from surveyapp.sensors.vibration import FakeVibration
from surveyapp.ui.senses import gathering, standing
from tests.ui import fake_phone, field_day, harness
from tests.ui.harness import Pilot, until

SECONDS = 12
THREE_KM_DEG = 3_000 / 111_132  # of latitude; a minute of it is about 1852 m
Batches = Sequence[Sequence[PositionSample]]
GOOD = fake_phone.positions(SECONDS)


def each(change: Callable[[PositionSample], PositionSample]) -> Batches:
    """The good samples, every one of them changed."""
    return [[change(sample) for sample in batch] for batch in GOOD]


def no_numbers(sample: PositionSample) -> PositionSample:
    """A receiver whose arithmetic broke."""
    return replace(sample, lat_deg=math.nan, lon_deg=math.nan)


def of_1970(sample: PositionSample) -> PositionSample:
    """A receiver that does not know the time."""
    return replace(sample, fix_utc=datetime(1970, 1, 1, 0, 0, 7, tzinfo=UTC))


def frozen(sample: PositionSample) -> PositionSample:
    """A receiver that repeats its first position."""
    first = GOOD[0][0]
    return replace(sample, lat_deg=first.lat_deg, lon_deg=first.lon_deg)


def a_jump() -> Batches:
    """One sample 3 km to the north."""
    far = replace(GOOD[1][0], lat_deg=GOOD[1][0].lat_deg + THREE_KM_DEG)
    return [GOOD[0], [far], *GOOD[2:]]


POSITIONS = {
    "no numbers": (FakePosition(each(no_numbers)), "refused because it is no number"),
    "a time in 1970": (FakePosition(each(of_1970)), "refused because its time is in 1970"),
    "frozen": (FakePosition(each(frozen)), "the receiver may be stuck"),
    "a jump of 3 km": (FakePosition(a_jump()), "jumps 3,00"),
    "dies": (FakePosition([SensorUnavailable("The receiver fell silent: type the position.")]),
             "The receiver fell silent"),
    "none": (FakePosition(refusal=SensorUnavailable("This phone has no receiver: type the "
                                                    "position.")), "has no receiver"),
}  # fmt: skip


@pytest.fixture(autouse=True)
def hurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sensors are asked a hundred times a second; nothing is taken by itself before it settles."""
    monkeypatch.setattr(standing, "EVERY_S", 0.01)
    monkeypatch.setattr(gathering, "EVERY_S", 0.01)


def opened(path: Path, **sensors: object) -> Pilot:
    """The app on a phone with these sensors, at a new stop."""
    phone = replace(fake_phone.phone(), **sensors)
    pilot = harness.start(path, clock=lambda: fake_phone.NOW, sensors=phone)
    pilot.touch("I have read this")
    pilot.touch("Later")
    field_day.prepare(pilot)
    return pilot


@pytest.mark.parametrize("lie", POSITIONS)
def test_a_lying_receiver_is_told_and_the_position_typed(path: Path, lie: str) -> None:
    """No stop is placed by a lie; the sentence stands where the position will be."""
    receiver, words = POSITIONS[lie]
    pilot = opened(path, position=receiver)
    pilot.touch_at(180, 500)
    until(lambda: pilot.says(words))
    assert pilot.session.stop.lat_deg is None

    field_day.place(pilot)
    assert pilot.session.stop.lat_deg == field_day.PLACE_DEG[0]
    assert pilot.session.stop.position_from is PositionFrom.TYPED
    harness.stop(pilot)


def test_listening_ends_in_a_sentence_and_a_way_on(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A receiver that says nothing is not listened to for ever: the wait counts down and ends."""
    monkeypatch.setattr(standing, "SILENT_S", 0.5)
    pilot = opened(path, position=FakePosition([]))
    pilot.touch_at(180, 500)
    until(lambda: pilot.says("s left"))
    until(lambda: pilot.says("take it again under open sky, tap it on the plan, or type it."))
    assert not pilot.session.senses.standing.listening
    pilot.touch("Take position")
    assert pilot.session.senses.standing.listening
    harness.stop(pilot)


def test_a_doubtful_position_is_taken_with_its_doubt_told(path: Path) -> None:
    """A place that one jump was left out of can be taken by hand, and says so."""
    pilot = opened(path, position=FakePosition(a_jump()))
    pilot.touch_at(180, 500)
    until(lambda: pilot.says("jumps 3,00"))
    pilot.touch("Take this position")
    assert pilot.session.stop.position_from is PositionFrom.SENSOR
    assert pilot.session.stop.lat_deg == pytest.approx(fake_phone.PLACE_DEG[0], abs=1e-4)
    assert pilot.app.root.message.startswith("One position left out")
    harness.stop(pilot)


def fields(change: Callable[[HeadingSample], HeadingSample]) -> FakeHeading:
    """The good headings, each changed."""
    return FakeHeading([[change(one) for one in batch] for batch in fake_phone.headings(90.0)])


def same(sample: HeadingSample) -> HeadingSample:
    """A compass that is stuck, half a second a sample."""
    first = fake_phone.headings(90.0)[0][0]
    after = sample.time_utc - fake_phone.NOW
    return replace(first, time_utc=fake_phone.NOW + 5 * after)


def in_motion(sample: HeadingSample) -> HeadingSample:
    """A phone that is swung."""
    return replace(sample, gravity_m_s2=(0.0, 0.0, 15.0))


HEADINGS = {
    "no numbers": (lambda s: replace(s, field_ut=(math.nan,) * 3), "compass gives no numbers", ""),
    "a magnet": (lambda s: replace(s, field_ut=(900.0, 0.0, 0.0)), "which Earth's is nowhere", ""),
    "steel": (lambda s: replace(s, field_ut=tuple(v * 1.3 for v in s.field_ut)),
              "steel or a magnet is near", "90"),
    "swung": (in_motion, "hold it still", ""),
    "frozen": (same, "it may be stuck", "90"),
}  # fmt: skip


def test_a_lying_compass_is_told_and_the_bearing_typed(path: Path) -> None:
    """What cannot be is not filled in; what is doubtful is, with its doubt."""
    pilot = opened(path)
    pilot.touch_at(180, 500)
    until(lambda: pilot.session.stop.lat_deg is not None)
    for change, words, filled in HEADINGS.values():
        sensors = replace(pilot.session.senses.sensors, heading=fields(change))
        pilot.session.senses._sensors = sensors
        pilot.touch("Sighting")
        pilot.touch("Mill Street 3")
        pilot.touch("Take heading")
        until(lambda words=words: words in pilot.app.root.message)
        state = pilot.router.sheets[-1].state
        assert state.text("bearing").startswith(filled)
        assert bool(state.text("bearing")) == bool(filled)
        pilot.touch("Bearing")
        for key in "351":
            pilot.touch_key(key)
        assert state.text("bearing") == "351"
        pilot.touch("Clear the sheet")
        pilot.back()
    harness.stop(pilot)


def test_keys_are_felt_and_the_frame_keeps_clear_of_the_bars(path: Path) -> None:
    """Each key, choice and chip buzzes once; the bars are asked for anew when the phone turns."""
    edges, vibration = FixedEdges(Edges(top_px=40, bottom_px=30)), FakeVibration()
    pilot = opened(path, edges=edges, vibration=vibration)
    bar, page = pilot.app.root.ids.bar, pilot.app.root.ids.page
    assert (bar.to_window(*bar.pos)[1], page.top) == (30, harness.Window.height - 40)

    edges.edges = Edges(left_px=40, right_px=30)
    harness.Window.size = harness.LAID_DOWN
    until(lambda: page.x == 40)
    assert page.right == harness.Window.width - 30
    harness.Window.size = harness.PHONE
    harness.wait(1.1)

    pilot.touch("Sighting")
    pilot.touch("Mill Street 3")
    for key in (*"351", "Next"):
        pilot.touch_key(key)
    assert len(vibration.buzzed_ms) == 5
    harness.stop(pilot)
