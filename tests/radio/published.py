"""Rows of the published tables under tests/authorities, for the radio tests."""

from __future__ import annotations

import csv
from pathlib import Path

AUTHORITIES = Path(__file__).resolve().parent.parent / "authorities"


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a CSV file whose first lines, starting with '#', name the source."""
    lines = (AUTHORITIES / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("#"), f"{name} does not name its source"
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
