"""A file that its owner picks in Android's own list of documents: downloads, pictures, a card.

Since API 29 a program sees no folders but its own; the picked document is handed over by its
address without a permission, and copied into the program's cache. Tested against a fake of
Android's classes; no phone was at hand.
"""

from __future__ import annotations

import os
import re
import shutil
from collections import deque
from importlib import import_module
from pathlib import Path
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors import android
from surveyapp.sensors.camera import RESULT_OK
from surveyapp.sensors.port import ScriptedSensor, Sensor

REQUEST = 0x5377
FOLDER = "picked"
ELSE = "copy it into this program's folder with a cable"
_NAME_COLUMN = "_display_name"  # Android, OpenableColumns.DISPLAY_NAME
_MOST_BYTES = 10**9
_STEP_BYTES = 2**20


class FakePhoneFiles(ScriptedSensor[Path]):
    """A scripted list of documents."""


class AndroidPhoneFiles(Sensor[Path]):
    """`start` opens the list, `take` gives the copy of what was picked; none where one went
    back. The copy lies in the cache until the next file is picked."""

    def __init__(self) -> None:
        self._came: deque[Path | str] = deque()
        self._bound = False

    def start(self) -> None:
        """Open the list; raises SensorUnavailable where there is none."""
        activity, intent = android.activity(), android.java("android.content.Intent")
        try:
            if not self._bound:
                import_module("android.activity").bind(on_activity_result=self._answered)
                self._bound = True
            asked = intent(intent.ACTION_OPEN_DOCUMENT)
            asked.addCategory(intent.CATEGORY_OPENABLE)
            asked.setType("*/*")
            activity.startActivityForResult(asked, REQUEST)
        except Exception as error:
            self.stop()
            raise SensorUnavailable(f"This phone's files cannot be listed: {ELSE}.") from error

    def take(self) -> list[Path]:
        """The copy of the picked file; raises what went wrong with it, once."""
        if not self._came:
            return []
        first = self._came.popleft()
        if isinstance(first, str):
            raise SensorUnavailable(first)
        return [first]

    def stop(self) -> None:
        """Listen no more for an answer."""
        if self._bound:
            import_module("android.activity").unbind(on_activity_result=self._answered)
            self._bound = False

    def _answered(self, request: int, result: int, intent: Any) -> None:
        """Called by the system when the list is closed, on its own thread."""
        if request != REQUEST or result != RESULT_OK:
            return
        try:
            self._came.append(self._copied(intent.getData()))
        except SensorUnavailable as error:
            self._came.append(str(error))
        except Exception:  # a provider of documents may fail in any way of its own
            self._came.append(f"The picked file could not be read: {ELSE}.")

    def _copied(self, uri: Any) -> Path:
        activity = android.activity()
        folder = Path(str(activity.getCacheDir().getAbsolutePath())) / FOLDER
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        resolver = activity.getContentResolver()
        target = folder / _safe(_name_of(resolver, uri))
        left = _MOST_BYTES
        with (
            os.fdopen(resolver.openFileDescriptor(uri, "r").detachFd(), "rb") as source,
            open(target, "wb") as copy,
        ):
            while part := source.read(_STEP_BYTES):
                left -= len(part)
                if left < 0:
                    raise SensorUnavailable("The picked file is larger than 1 GB: cut it first.")
                copy.write(part)
        return target


def _name_of(resolver: Any, uri: Any) -> str:
    """The document's own name, by whose suffix its kind is known."""
    cursor = resolver.query(uri, [_NAME_COLUMN], None, None, None)
    try:
        return str(cursor.getString(0)) if cursor is not None and cursor.moveToFirst() else ""
    finally:
        if cursor is not None:
            cursor.close()


def _safe(name: str) -> str:
    """A name that stays in its folder, whatever another program calls its document."""
    plain = re.sub(r"[/\\\x00-\x1f]", "_", name).lstrip(".").strip()
    return plain[-100:] or "picked file"
