"""Run as a process of its own, to be killed: enters a whole stop, then half a reading.

`python -m tests.ui.killed_script NOTEBOOK`: types with real touches, says 'typed' when
the last keystroke is acknowledged, and then waits for its end.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from tests.ui import field_day, harness

HALF_TYPED = {"primary_band": "258", "primary_count": "4", "primary_width": "10"}


def main(path: Path) -> None:
    """Enter it all, and wait to be killed."""
    pilot = harness.start(path)
    pilot.touch("I have read this")
    pilot.touch("Later")
    field_day.whole_stop(pilot)
    pilot.touch("Reading")
    field_day.keys(pilot, "258")
    field_day.keys(pilot, "4")
    for key in "10":
        pilot.touch_key(key)
    print("typed", flush=True)
    time.sleep(600)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
