"""A picture by the phone's own camera program.

plyer 2.1.0 hands it a file:// address, which Android refuses since API 24; here the picture
goes to an entry of Android's MediaStore, which needs no permission since API 29. The program
may be ended while the camera is open: keep `pending` and hand it to `recover` at the next start.
Tested against a fake of Android's classes; no phone was at hand.
"""

from __future__ import annotations

import os
from abc import abstractmethod
from collections import deque
from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.model import Picture
from surveyapp.sensors import android
from surveyapp.sensors.port import ScriptedSensor, Sensor

FROM_FILE = "take the picture with the camera and add it from its file"
LEAST_SDK = 29
REQUEST = 0x5376
RESULT_OK = -1  # Android, Activity.RESULT_OK
MOST_BYTES = 64 * 2**20


class Camera(Sensor[Picture]):
    """The port: `start` opens the camera, `take` gives the pictures that came since."""

    @property
    @abstractmethod
    def pending(self) -> str:
        """The address of a picture being taken, '' where none is; to be kept over a restart."""

    @abstractmethod
    def recover(self, pending: str) -> None:
        """Fetch a picture whose taking outlived the program; `take` then gives it."""


class FakeCamera(ScriptedSensor[Picture], Camera):
    """A scripted camera; its pending picture is whatever it is told."""

    _pending = ""

    @property
    def pending(self) -> str:
        """What was set by `recover`."""
        return self._pending

    def recover(self, pending: str) -> None:
        """Remember the address and go on with the script."""
        self._pending = pending
        self.running = True


class AndroidCamera(Camera):
    """The camera program, started by an intent; its picture is copied out and taken back."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._came: deque[Picture | str] = deque()
        self._address = ""
        self._bound = False

    @property
    def pending(self) -> str:
        """The content:// address the camera writes to."""
        return self._address

    def start(self) -> None:
        """Open the camera; raises SensorUnavailable where there is none."""
        if android.sdk() < LEAST_SDK:
            raise SensorUnavailable(
                f"This Android is too old for taking pictures from here: {FROM_FILE}."
            )
        activity, intent = android.activity(), android.java("android.content.Intent")
        store = android.java("android.provider.MediaStore")
        images = android.java("android.provider.MediaStore$Images$Media")
        try:
            self._bind()
            values = android.java("android.content.ContentValues")()
            values.put("mime_type", "image/jpeg")
            uri = activity.getContentResolver().insert(images.EXTERNAL_CONTENT_URI, values)
            asked = intent(store.ACTION_IMAGE_CAPTURE)
            asked.putExtra(store.EXTRA_OUTPUT, uri)
            asked.addFlags(intent.FLAG_GRANT_WRITE_URI_PERMISSION)
            self._address = str(uri.toString())
            activity.startActivityForResult(asked, REQUEST)
        except SensorUnavailable:
            raise
        except Exception as error:
            self._forget()
            raise SensorUnavailable(f"The camera cannot be opened: {FROM_FILE}.") from error

    def take(self) -> list[Picture]:
        """Pictures since the last call; raises what went wrong with one, once."""
        taken: list[Picture] = []
        while self._came:
            first = self._came[0]
            if isinstance(first, Picture):
                taken.append(first)
            elif taken:
                break
            self._came.popleft()
            if isinstance(first, str):
                raise SensorUnavailable(first)
        return taken

    def stop(self) -> None:
        """Listen no more for the camera's answer; a picture under way can be recovered."""
        if self._bound:
            import_module("android.activity").unbind(on_activity_result=self._answered)
            self._bound = False

    def recover(self, pending: str) -> None:
        """Fetch the picture at an address kept from before."""
        self._address = pending
        self._fetch()

    def _bind(self) -> None:
        if not self._bound:
            import_module("android.activity").bind(on_activity_result=self._answered)
            self._bound = True

    def _answered(self, request: int, result: int, _intent: Any) -> None:
        """Called by the system when the camera is closed, on its own thread."""
        if request != REQUEST or not self._address:
            return
        if result == RESULT_OK:
            self._fetch()
        else:
            self._forget()

    def _fetch(self) -> None:
        """Copy the picture out of Android's store and remove it there."""
        try:
            uri = android.java("android.net.Uri").parse(self._address)
            resolver = android.activity().getContentResolver()
            with os.fdopen(resolver.openFileDescriptor(uri, "r").detachFd(), "rb") as file:
                content = file.read(MOST_BYTES + 1)
        except Exception:
            content = b""
        if 0 < len(content) <= MOST_BYTES:
            self._came.append(Picture(time_utc=self._clock(), content=content))
            self._forget()
            return
        self._address = ""
        self._came.append(f"The camera's picture could not be fetched: {FROM_FILE}.")

    def _forget(self) -> None:
        """Remove the entry in Android's store, so that no copy stays outside the notebook."""
        address, self._address = self._address, ""
        if not address:
            return
        try:
            uri = android.java("android.net.Uri").parse(address)
            android.activity().getContentResolver().delete(uri, None, None)
        except Exception:
            return  # an entry left behind is the phone's owner's to keep
