"""Where the phone is, from its satellite receiver.

Through pyjnius rather than plyer 2.1.0: that gives neither the time of a fix nor its provider,
and mixes the receiver's fixes with guesses from the network. Tested against a fake of
`LocationManager`; no phone was at hand.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.model import PositionSample
from surveyapp.sensors import android
from surveyapp.sensors.port import ScriptedSensor, Sensor

PROVIDERS = ("gps", "fused")  # LocationManager.GPS_PROVIDER; FUSED_PROVIDER since API 31
INTERVAL_MS = 1_000
MOST_KEPT = 600
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

FakePosition = ScriptedSensor[PositionSample]
"""A scripted stand-in for tests and for a desk without a receiver."""


class AndroidPosition(Sensor[PositionSample]):
    """The receiver of an Android phone, once a second."""

    permissions = android.LOCATION

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._samples: deque[PositionSample] = deque(maxlen=MOST_KEPT)
        self._manager: Any = None
        self._listener: Any = None

    def start(self) -> None:
        """Ask the receiver for a fix a second; raises SensorUnavailable where it cannot."""
        if self._listener is not None:
            return
        manager = android.service("location", "android.location.LocationManager")
        provider = next((name for name in PROVIDERS if self._enabled(manager, name)), None)
        if provider is None:
            raise SensorUnavailable(
                "Location is switched off: switch it on, or set the stop on the plan."
            )
        listener = _listener(self._heard)
        try:
            looper = android.java("android.os.Looper").getMainLooper()
            manager.requestLocationUpdates(provider, INTERVAL_MS, 0.0, listener, looper)
        except SensorUnavailable:
            raise
        except Exception as error:  # SecurityException, as pyjnius hands it over
            raise SensorUnavailable(
                "The phone does not allow its location: allow it in the system's settings, "
                "or set the stop on the plan."
            ) from error
        self._manager, self._listener = manager, listener

    def take(self) -> list[PositionSample]:
        """Fixes since the last call."""
        taken = []
        while self._samples:
            taken.append(self._samples.popleft())
        return taken

    def stop(self) -> None:
        """Let the receiver rest."""
        manager, listener = self._manager, self._listener
        self._manager = self._listener = None
        if listener is not None:
            try:
                manager.removeUpdates(listener)
            except Exception:
                return  # the system had ended it already

    @staticmethod
    def _enabled(manager: Any, provider: str) -> bool:
        try:
            return bool(manager.isProviderEnabled(provider))
        except Exception:
            return False  # a provider this Android does not know

    def _heard(self, location: Any) -> None:
        """Called by the system, on its own thread."""
        self._samples.append(
            PositionSample(
                time_utc=self._clock(),
                lat_deg=float(location.getLatitude()),
                lon_deg=float(location.getLongitude()),
                accuracy_m=float(location.getAccuracy()) if location.hasAccuracy() else None,
                height_m=float(location.getAltitude()) if location.hasAltitude() else None,
                fix_utc=_EPOCH + timedelta(milliseconds=int(location.getTime())),
            )
        )


def _listener(heard: Callable[[Any], None]) -> Any:
    """A Java LocationListener; made here because its base class exists on a phone only."""
    jnius = android.jnius()
    method = jnius.java_method

    class Listener(jnius.PythonJavaClass):  # type: ignore[misc,name-defined]
        __javainterfaces__ = ["android/location/LocationListener"]  # noqa: RUF012
        __javacontext__ = "app"

        @method("(Landroid/location/Location;)V")  # type: ignore[untyped-decorator]
        def onLocationChanged(self, location: Any) -> None:  # noqa: N802
            heard(location)

        @method("(Ljava/lang/String;)V")  # type: ignore[untyped-decorator]
        def onProviderEnabled(self, provider: str) -> None:  # noqa: N802
            return

        @method("(Ljava/lang/String;)V")  # type: ignore[untyped-decorator]
        def onProviderDisabled(self, provider: str) -> None:  # noqa: N802
            return

        @method("(Ljava/lang/String;ILandroid/os/Bundle;)V")  # type: ignore[untyped-decorator]
        def onStatusChanged(self, provider: str, status: int, extras: Any) -> None:  # noqa: N802
            return

    return Listener()
