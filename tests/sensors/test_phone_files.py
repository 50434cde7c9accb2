"""A file picked in Android's own list, against a fake of its classes."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors.camera import RESULT_OK
from surveyapp.sensors.phone_files import REQUEST, AndroidPhoneFiles
from tests.sensors.fake_android import Phone

CANCELLED = 0


class OpenDocument:
    """android.content.Intent, as far as a document is asked for."""

    ACTION_OPEN_DOCUMENT = "android.intent.action.OPEN_DOCUMENT"
    CATEGORY_OPENABLE = "android.intent.category.OPENABLE"

    def __init__(self, action: str) -> None:
        self.action = action
        self.asked: list[str] = []
        self.addCategory = self.setType = self.asked.append


def picker(phone: Phone, folder: Path, name: str) -> AndroidPhoneFiles:
    """A list of documents that was opened; its one document has this name."""
    cursor = SimpleNamespace(
        moveToFirst=lambda: True, getString=lambda _column: name, close=lambda: None
    )
    phone.classes["android.content.Intent"] = OpenDocument
    phone.activity.getCacheDir = lambda: SimpleNamespace(getAbsolutePath=lambda: str(folder))
    phone.store.query = lambda *_: cursor  # type: ignore[attr-defined]
    files = AndroidPhoneFiles()
    files.start()
    (intent, request) = phone.started[-1]

    assert (intent.action, request) == (OpenDocument.ACTION_OPEN_DOCUMENT, REQUEST)
    assert intent.asked == [OpenDocument.CATEGORY_OPENABLE, "*/*"]
    return files


def picked(folder: Path, name: str = "1") -> Any:
    """The answer of Android with the address of a document."""
    return SimpleNamespace(getData=lambda: f"content:/{folder}/{name}")


def test_a_picked_file_is_copied_under_its_own_name(phone: Phone, tmp_path: Path) -> None:
    """The next one takes its place in the cache; another program's answer is not ours."""
    (tmp_path / "1").write_bytes(b"leads")
    files = picker(phone, tmp_path, "leads.csv")
    phone.heard[0](REQUEST + 1, RESULT_OK, picked(tmp_path))
    assert files.take() == []
    phone.heard[0](REQUEST, RESULT_OK, picked(tmp_path))
    (first,) = files.take()
    files.stop()
    (tmp_path / "1").write_bytes(b"a walk")
    again = picker(phone, tmp_path, "walk.gpx")
    phone.heard[0](REQUEST, RESULT_OK, picked(tmp_path))
    (second,) = again.take()
    again.stop()

    assert (first.name, second.name, second.read_bytes()) == ("leads.csv", "walk.gpx", b"a walk")
    assert list(second.parent.iterdir()) == [second]
    assert phone.heard == []


@pytest.mark.parametrize("name", ["../../notebook.sqlite", "/etc/a", "..", "a\nb.csv", ""])
def test_a_name_cannot_lead_out_of_the_cache(phone: Phone, tmp_path: Path, name: str) -> None:
    """Other programs name their documents as they like."""
    (tmp_path / "1").write_bytes(b"x")
    files = picker(phone, tmp_path, name)
    phone.heard[0](REQUEST, RESULT_OK, picked(tmp_path))
    (copy,) = files.take()

    assert copy.parent == tmp_path / "picked"
    assert copy.read_bytes() == b"x"


def test_going_back_is_no_error_and_a_lost_document_is_told_once(
    phone: Phone, tmp_path: Path
) -> None:
    """Nothing came; then one sentence, and nothing more."""
    files = picker(phone, tmp_path, "leads.csv")
    phone.heard[0](REQUEST, CANCELLED, None)
    assert files.take() == []
    phone.heard[0](REQUEST, RESULT_OK, picked(tmp_path, "gone"))

    with pytest.raises(SensorUnavailable, match="could not be read"):
        files.take()
    assert files.take() == []


def test_a_desk_has_no_such_list() -> None:
    """One sentence, and no Java machine started."""
    with pytest.raises(SensorUnavailable, match="no Android phone"):
        AndroidPhoneFiles().start()
