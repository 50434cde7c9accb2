"""The table of what was planted wrong in the demo against what the expectations name.

Run on demand: python -m tests.benchmarks.planted_troubles
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from surveyapp.demo.write import write_demo
from tests.analysis.demo_day import day_of
from tests.analysis.planted import named, table_of


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        day = day_of(write_demo(Path(folder) / "survey_demo"))
    rows = named(day)
    print(table_of(rows))
    hits = sum(row.rank in (1, 2) for row in rows)
    print(f"{hits} of {len(rows)} named as first or second reason")


if __name__ == "__main__":
    sys.exit(main())
