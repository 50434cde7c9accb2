"""A phone for the adapters' tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.sensors.fake_android import Phone


@pytest.fixture
def phone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Phone:
    """Android 14 with nothing set up yet."""
    return Phone(monkeypatch, tmp_path)
