"""Android's classes as far as the adapters use them, scripted; the real ones exist on a phone."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

UNAVAILABLE = 2_147_483_647
PRIMARY, SECONDARY = 1, 2  # CellInfo.CONNECTION_PRIMARY_SERVING, CONNECTION_SECONDARY_SERVING


class SecurityError(Exception):
    """What pyjnius makes of a Java SecurityException."""


class JavaList(list):
    """A java.util.List."""

    def get(self, at: int) -> Any:
        """The item."""
        return self[at]

    def size(self) -> int:
        """How many."""
        return len(self)


def getters(**values: Any) -> SimpleNamespace:
    """A Java object with a method for each value: `Pci=5` answers `getPci()`."""
    return SimpleNamespace(**{f"get{name}": lambda v=value: v for name, value in values.items()})


def cell(
    kind: str, identity: Any, signal: Any, *, registered: bool = True, status: int = PRIMARY,
    millis: int | None = 9_000,
) -> SimpleNamespace:  # fmt: skip
    """A CellInfo; `millis` None is Android before API 30."""
    made = getters(
        CellIdentity=identity, CellSignalStrength=signal, CellConnectionStatus=status,
        Class=getters(SimpleName=kind),
    )  # fmt: skip
    made.isRegistered = lambda: registered
    if millis is None:
        made.getTimeStamp = lambda: 8_000_000_000
    else:
        made.getTimestampMillis = lambda: millis
    return made


def nr(identity: dict[str, Any], signal: dict[str, Any], **more: Any) -> SimpleNamespace:
    """A 5G cell. Its getDbm lies, as in API 29."""
    return cell("CellInfoNr", getters(**identity), getters(Dbm=-44, **signal), **more)


def lte(identity: dict[str, Any], signal: dict[str, Any], **more: Any) -> SimpleNamespace:
    """An LTE cell."""
    return cell("CellInfoLte", getters(**identity), getters(**signal), **more)


class LocationManager:
    """Hands scripted locations to whoever listens."""

    def __init__(self, enabled: tuple[str, ...] = ("gps",), allowed: bool = True) -> None:
        self.enabled = enabled
        self.allowed = allowed
        self.listener: Any = None

    def isProviderEnabled(self, name: str) -> bool:  # noqa: N802
        """Whether the person has it switched on."""
        if name == "fused" and "fused" not in self.enabled:
            raise ValueError("IllegalArgumentException: provider doesn't exist")
        return name in self.enabled

    def requestLocationUpdates(self, provider: str, ms: int, m: float, to: Any, _: Any) -> None:  # noqa: N802
        """Begin."""
        if not self.allowed:
            raise SecurityError("requires ACCESS_FINE_LOCATION")
        self.listener = to

    def removeUpdates(self, listener: Any) -> None:  # noqa: N802
        """End."""
        assert listener is self.listener
        self.listener = None


def location(lat: float, lon: float, time_ms: int, accuracy: float | None = 5.0) -> Any:
    """An android.location.Location without altitude."""
    made = getters(
        Latitude=lat, Longitude=lon, Time=time_ms, Accuracy=accuracy or 0.0, Altitude=0.0
    )
    made.hasAccuracy = lambda: accuracy is not None
    made.hasAltitude = lambda: False
    return made


class Store:
    """A content resolver with one folder of pictures, each entry a file."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.deleted: list[str] = []

    def insert(self, _collection: Any, values: dict[str, str]) -> Any:
        """A new empty entry."""
        assert values["mime_type"] == "image/jpeg"
        return SimpleNamespace(toString=lambda: f"content://{self.folder}/1")

    def openFileDescriptor(self, uri: str, mode: str) -> Any:  # noqa: N802
        """The entry's bytes."""
        path = uri.removeprefix("content:/")
        return SimpleNamespace(detachFd=lambda: os.open(path, os.O_RDONLY))

    def delete(self, uri: str, *_: Any) -> None:
        """Remove the entry."""
        self.deleted.append(uri)


class Values(dict):
    """android.content.ContentValues."""

    def put(self, name: str, value: str) -> None:
        """Set one."""
        self[name] = value


class Intent:
    """android.content.Intent."""

    FLAG_GRANT_WRITE_URI_PERMISSION = 2

    def __init__(self, action: str) -> None:
        self.action = action
        self.extras: dict[str, Any] = {}

    def putExtra(self, name: str, value: Any) -> None:  # noqa: N802
        """Set one."""
        self.extras[name] = value

    def addFlags(self, flags: int) -> None:  # noqa: N802
        """Set some."""
        assert flags == self.FLAG_GRANT_WRITE_URI_PERMISSION


class Phone:
    """A phone whose services, classes and permissions a test sets."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, folder: Path, sdk: int = 34) -> None:
        self.services: dict[str, Any] = {}
        self.started: list[Any] = []
        self.heard: list[Callable[..., None]] = []
        self.store = Store(folder)
        self.activity = SimpleNamespace(
            getSystemService=self.services.get,
            getContentResolver=lambda: self.store,
            startActivityForResult=lambda intent, request: self.started.append((intent, request)),
        )
        self.classes: dict[str, Any] = {
            "org.kivy.android.PythonActivity": SimpleNamespace(mActivity=self.activity),
            "android.os.Build$VERSION": SimpleNamespace(SDK_INT=sdk),
            "android.os.Looper": SimpleNamespace(getMainLooper=lambda: "main"),
            "android.os.SystemClock": SimpleNamespace(elapsedRealtime=lambda: 10_000),
            "android.telephony.CellInfo": SimpleNamespace(
                CONNECTION_PRIMARY_SERVING=PRIMARY, CONNECTION_SECONDARY_SERVING=SECONDARY
            ),
            "android.content.Intent": Intent,
            "android.content.ContentValues": Values,
            "android.provider.MediaStore": SimpleNamespace(
                ACTION_IMAGE_CAPTURE="capture", EXTRA_OUTPUT="output"
            ),
            "android.provider.MediaStore$Images$Media": SimpleNamespace(
                EXTERNAL_CONTENT_URI="images"
            ),
            "android.net.Uri": SimpleNamespace(parse=lambda text: text),
        }
        jnius = ModuleType("jnius")
        jnius.autoclass = self.classes.__getitem__  # type: ignore[attr-defined]
        jnius.cast = lambda _name, value: value  # type: ignore[attr-defined]
        jnius.PythonJavaClass = object  # type: ignore[attr-defined]
        jnius.java_method = lambda _signature: lambda method: method  # type: ignore[attr-defined]
        results = ModuleType("android.activity")
        results.bind = lambda on_activity_result: self.heard.append(on_activity_result)  # type: ignore[attr-defined]
        results.unbind = lambda on_activity_result: self.heard.clear()  # type: ignore[attr-defined]
        monkeypatch.setenv("ANDROID_ARGUMENT", "")
        monkeypatch.setitem(sys.modules, "jnius", jnius)
        monkeypatch.setitem(sys.modules, "android", ModuleType("android"))
        monkeypatch.setitem(sys.modules, "android.activity", results)
