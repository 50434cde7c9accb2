"""Position and camera, against a fake of Android's classes."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from surveyapp.errors import SensorUnavailable
from surveyapp.model import Picture, PositionSample
from surveyapp.sensors.camera import REQUEST, RESULT_OK, AndroidCamera, FakeCamera
from surveyapp.sensors.position import AndroidPosition, FakePosition
from tests.sensors.fake_android import LocationManager, Phone, location

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
NOW_MS = int(NOW.timestamp() * 1000)
CANCELLED = 0


def clock() -> datetime:
    """The program's clock, stopped."""
    return NOW


def test_fixes_come_with_their_own_time_and_accuracy(phone: Phone) -> None:
    """Both clocks are kept, so that a receiver in 1970 is found out; none says its height here."""
    manager = phone.services["location"] = LocationManager()
    sensor = AndroidPosition(clock)
    sensor.start()
    sensor.start()
    manager.listener.onLocationChanged(location(60.17, 24.94, NOW_MS))
    manager.listener.onLocationChanged(location(60.18, 24.95, 0, None))
    taken = sensor.take()

    assert taken == [
        PositionSample(time_utc=NOW, lat_deg=60.17, lon_deg=24.94, accuracy_m=5.0, fix_utc=NOW),
        PositionSample(
            time_utc=NOW, lat_deg=60.18, lon_deg=24.95, fix_utc=datetime(1970, 1, 1, tzinfo=UTC)
        ),
    ]
    assert sensor.take() == []
    sensor.stop()
    sensor.stop()
    assert manager.listener is None


def test_location_switched_off_or_refused_says_so(phone: Phone) -> None:
    """And works once the person has changed it."""
    sensor = AndroidPosition(clock)
    with pytest.raises(SensorUnavailable, match="no location service"):
        sensor.start()
    phone.services["location"] = LocationManager(enabled=())
    with pytest.raises(SensorUnavailable, match="switched off"):
        sensor.start()
    phone.services["location"] = LocationManager(allowed=False)
    with pytest.raises(SensorUnavailable, match="does not allow its location"):
        sensor.start()
    phone.services["location"] = LocationManager(enabled=("fused",))
    sensor.start()
    sensor.stop()


def test_a_desk_has_neither_receiver_nor_camera() -> None:
    """One sentence, and no Java machine started."""
    with pytest.raises(SensorUnavailable, match="no Android phone"):
        AndroidPosition(clock).start()
    with pytest.raises(SensorUnavailable, match="no Android phone"):
        AndroidCamera(clock).start()


def opened(phone: Phone) -> AndroidCamera:
    """A camera that has been opened."""
    camera = AndroidCamera(clock)
    camera.start()
    (intent, request) = phone.started[-1]

    assert (intent.action, request) == ("capture", REQUEST)
    assert camera.pending == intent.extras["output"].toString() != ""
    return camera


def test_a_picture_is_copied_out_and_leaves_nothing_behind(phone: Phone, tmp_path: Path) -> None:
    """The bytes as the camera wrote them; the phone's own entry is removed."""
    camera = opened(phone)
    (tmp_path / "1").write_bytes(b"picture")
    phone.heard[0](REQUEST + 1, RESULT_OK, None)

    assert camera.take() == []

    phone.heard[0](REQUEST, RESULT_OK, None)

    assert camera.take() == [Picture(time_utc=NOW, content=b"picture")]
    assert camera.pending == ""
    assert len(phone.store.deleted) == 1
    camera.stop()
    camera.stop()
    assert phone.heard == []


def test_a_picture_not_taken_is_no_error(phone: Phone) -> None:
    """The person went back; the empty entry is removed."""
    camera = opened(phone)
    phone.heard[0](REQUEST, CANCELLED, None)

    assert camera.take() == []
    assert camera.pending == ""
    assert len(phone.store.deleted) == 1


def test_a_picture_that_cannot_be_fetched_is_told_once(phone: Phone) -> None:
    """Nothing was written; the entry stays for its owner."""
    camera = opened(phone)
    phone.heard[0](REQUEST, RESULT_OK, None)

    with pytest.raises(SensorUnavailable, match="add it from its file"):
        camera.take()
    assert camera.take() == []
    assert phone.store.deleted == []


def test_a_picture_outlives_the_program(phone: Phone, tmp_path: Path) -> None:
    """Android ended the program while the camera was open."""
    address = opened(phone).pending
    (tmp_path / "1").write_bytes(b"picture")
    later = AndroidCamera(clock)
    later.recover(address)

    assert [picture.content for picture in later.take()] == [b"picture"]


def test_an_android_too_old_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Before API 29 the store would need a permission."""
    Phone(monkeypatch, tmp_path, sdk=28)
    with pytest.raises(SensorUnavailable, match="too old"):
        AndroidCamera(clock).start()


def test_fakes_say_what_they_were_told_and_only_while_running() -> None:
    """A batch each time, a failure in its turn."""
    sample = PositionSample(time_utc=NOW, lat_deg=60.0, lon_deg=24.0)
    fake = FakePosition([[sample], SensorUnavailable("Gone."), []])

    assert fake.take() == []
    fake.start()
    assert fake.take() == [sample]
    with pytest.raises(SensorUnavailable, match="Gone"):
        fake.take()
    fake.stop()
    assert fake.take() == []
    with pytest.raises(SensorUnavailable, match="refused"):
        FakePosition(refusal=SensorUnavailable("It was refused.")).start()
    camera = FakeCamera([[Picture(time_utc=NOW, content=b"1")]])
    camera.recover("address")
    assert (camera.pending, len(camera.take())) == ("address", 1)
