"""Heading, tilt and vibration through plyer, against a fake of its sensors."""

from __future__ import annotations

import math
import sys
from datetime import UTC, datetime
from types import ModuleType
from typing import Any

import pytest

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors.heading import PlyerHeading
from surveyapp.sensors.machine import Sensors, real_sensors
from surveyapp.sensors.permissions import (
    AndroidPermissions,
    FixedPermissions,
    real_permissions,
)
from surveyapp.sensors.tilt import PlyerTilt
from surveyapp.sensors.vibration import FakeVibration, PlyerVibration

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def clock() -> datetime:
    """The program's clock, stopped."""
    return NOW


class Facade:
    """One of plyer's sensors; `fails` names the method or field that raises."""

    def __init__(self, fails: str = "", **values: Any) -> None:
        self.fails = fails
        self.values = values
        self.on = False
        self.buzzed_s: list[float] = []

    def enable(self) -> None:
        """Switch on."""
        self._may("enable")
        self.on = True

    def disable(self) -> None:
        """Switch off."""
        self.on = False
        self._may("disable")

    def vibrate(self, duration_s: float) -> None:
        """Buzz."""
        self._may("vibrate")
        self.buzzed_s.append(duration_s)

    def _may(self, name: str) -> None:
        if self.fails == name:
            raise RuntimeError(name)

    def __getattr__(self, name: str) -> Any:
        if self.fails == name:
            raise RuntimeError(name)
        return self.values[name]


@pytest.fixture
def plyer(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Put sensors in plyer's place: `plyer(compass=Facade(...))`; what is not given is missing."""
    utils = ModuleType("plyer.utils")
    utils.platform = "android"  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "plyer.utils", utils)

    def put(**sensors: Facade) -> None:
        for name in ("compass", "gravity", "accelerometer", "vibrator"):
            module = ModuleType(name)
            if name in sensors:
                module.instance = lambda made=sensors[name]: made  # type: ignore[attr-defined]
            monkeypatch.setitem(sys.modules, f"plyer.platforms.android.{name}", module)

    return put


def test_a_heading_sample_holds_both_vectors_once_both_have_come(plyer: Any) -> None:
    """Before the first event plyer says None; a field of NaN is handed on to be judged."""
    compass, gravity = Facade(orientation=(None, None, None)), Facade(gravity=(0.0, 0.0, 9.8))
    plyer(compass=compass, gravity=gravity)
    sensor = PlyerHeading(clock)

    assert sensor.take() == []
    sensor.start()
    sensor.start()
    assert sensor.take() == []
    compass.values["orientation"] = (1.0, math.nan, -50.0)
    (sample,) = sensor.take()
    assert sample.field_ut[0::2] == (1.0, -50.0)
    assert math.isnan(sample.field_ut[1])
    assert (sample.gravity_m_s2, sample.time_utc) == ((0.0, 0.0, 9.8), NOW)
    sensor.stop()
    assert not compass.on
    assert not gravity.on


def test_a_compass_that_is_missing_fails_or_dies_is_told(plyer: Any) -> None:
    """Each in one sentence that leaves the bearing to the hand."""
    still = Facade(gravity=(0.0, 0.0, 9.8))
    plyer(gravity=still)
    with pytest.raises(SensorUnavailable, match="no compass"):
        PlyerHeading(clock).start()
    plyer(compass=Facade("enable"), gravity=still)
    with pytest.raises(SensorUnavailable, match="cannot be used"):
        PlyerHeading(clock).start()
    lonely = Facade(orientation=(1.0, 2.0, 3.0))
    plyer(compass=lonely)
    with pytest.raises(SensorUnavailable, match="no gravity"):
        PlyerHeading(clock).start()
    assert not lonely.on
    plyer(compass=Facade("orientation"), gravity=still)
    sensor = PlyerHeading(clock)
    sensor.start()
    with pytest.raises(SensorUnavailable, match="stopped answering"):
        sensor.take()


def test_tilt_falls_back_on_the_accelerometer(plyer: Any) -> None:
    """Both say the same at rest."""
    plyer(accelerometer=Facade("disable", acceleration=(0.0, 9.8, 0.0)))
    sensor = PlyerTilt(clock)
    sensor.start()

    assert sensor.take()[0].gravity_m_s2 == (0.0, 9.8, 0.0)
    sensor.stop()
    assert sensor.take() == []
    plyer()
    with pytest.raises(SensorUnavailable, match="no accelerometer"):
        sensor.start()


def test_vibration_is_felt_or_silent_but_never_an_error(plyer: Any) -> None:
    """A machine without a motor, or one that refuses, is asked once."""
    motor = Facade()
    plyer(vibrator=motor)
    PlyerVibration().buzz(20)
    assert motor.buzzed_s == [0.02]
    plyer(vibrator=Facade("vibrate"))
    PlyerVibration().buzz()
    plyer()
    silent = PlyerVibration()
    silent.buzz()
    plyer(vibrator=motor)
    silent.buzz()
    assert motor.buzzed_s == [0.02]
    fake = FakeVibration()
    fake.buzz(30)
    assert fake.buzzed_ms == [30]


def test_a_desk_makes_its_sensors_without_touching_them(capfd: pytest.CaptureFixture[str]) -> None:
    """Nothing is printed, neither plyer's facades nor pyjnius are imported, each says why not."""
    sensors = real_sensors(clock)
    for sensor in (sensors.position, sensors.heading, sensors.camera):
        with pytest.raises(SensorUnavailable, match=r"by hand|from its file"):
            sensor.start()
    sensors.vibration.buzz()

    assert capfd.readouterr() == ("", "")
    assert "jnius" not in sys.modules
    assert Sensors().position.take() == []
    with pytest.raises(SensorUnavailable):
        Sensors().phone_radio.read()


def test_permissions_are_asked_for_and_may_be_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """All or none; a desk has nothing to grant."""
    answers: list[bool] = []
    refusing = FixedPermissions(grants=False)
    refusing.ask(["fine location"], answers.append)
    refusing.ask([], answers.append)

    assert answers == [False, True]
    assert refusing.asked == [("fine location",), ()]
    assert real_permissions().granted(["anything"])

    module = ModuleType("android.permissions")
    module.check_permission = {"a": True, "b": False}.get  # type: ignore[attr-defined]
    module.request_permissions = lambda names, told: told(names, [n == "a" for n in names])  # type: ignore[attr-defined]
    monkeypatch.setenv("ANDROID_ARGUMENT", "")
    monkeypatch.setitem(sys.modules, "android", ModuleType("android"))
    monkeypatch.setitem(sys.modules, "android.permissions", module)
    answers.clear()
    android = real_permissions()
    for names in (["a"], ["a", "b"], []):
        android.ask(names, answers.append)

    assert isinstance(android, AndroidPermissions)
    assert answers == [True, False, True]
    assert (android.granted(["a"]), android.granted(["a", "b"])) == (True, False)


def test_a_build_without_the_permissions_module_grants_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Refused rather than broken."""
    monkeypatch.setitem(sys.modules, "android", None)
    answers: list[bool] = []
    AndroidPermissions().ask(["a"], answers.append)

    assert answers == [False]
    assert not AndroidPermissions().granted(["a"])
