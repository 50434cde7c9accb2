"""Published tables shipped as CSV files, each naming its document in its first lines."""

from __future__ import annotations

import csv
from functools import cache

from surveyapp.resources import shipped


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of `assets/data/NAME.csv`, as text; raises NotFound where it is not installed."""
    lines = shipped("assets", "data", f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


@cache
def source(name: str) -> str:
    """The lines of `assets/data/NAME.csv` that name its document, edition and table."""
    lines = shipped("assets", "data", f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return " ".join(line.lstrip("# ") for line in lines if line.startswith("#"))
