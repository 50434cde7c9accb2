"""What the start leaves for later, so that the first page is there soon."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.ui import filled

HERE = Path(__file__).resolve().parent.parent.parent
FIRST_FRAME = """
import gc, json, sys
from pathlib import Path
from tests.ui import no_screen
from surveyapp.ui.start import run_app
from kivy.app import App
from kivy.clock import Clock
MATHEMATICS = ("numpy", "surveyapp.analysis.standing", "surveyapp.geometry.serving")
def begun(_dt):
    collecting.append(gc.isenabled())
    Clock.schedule_once(drawn, 0)
def drawn(_dt):
    page = App.get_running_app().root.ids.manager.current_screen
    told.update(title=page.title, position=page.position, entries=len(page.ids.entries.children),
                mathematics=[name for name in MATHEMATICS if name in sys.modules])
    Clock.schedule_once(lambda _dt: App.get_running_app().stop(), 0)
collecting, told = [], {}
Clock.schedule_once(begun, 0)
run_app(Path(sys.argv[1]), (360, 780))
print(json.dumps({**told, "collecting": collecting + [gc.isenabled()]}))
"""


def test_the_first_frame_shows_the_stop_and_needs_no_mathematics(path: Path) -> None:
    """Title, position and newest entries stand there; answers and collecting garbage follow."""
    filled.write(path)
    environment = {**os.environ, "PYTHONPATH": str(HERE)}
    script = path.parent / "first_frame.py"
    script.write_text(FIRST_FRAME, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, str(script), str(path)], cwd=HERE, check=True, capture_output=True,
        text=True, env=environment, timeout=120,
    )  # fmt: skip
    told = json.loads(done.stdout.splitlines()[-1])

    assert told["title"] == "Stop 3"
    assert told["position"].startswith("Mill Street")
    assert told["entries"] >= 2
    assert told["mathematics"] == []
    assert told["collecting"] == [False, True]
