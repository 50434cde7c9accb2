"""Start to a usable Stop page against a bare Kivy window with one label, in the same run.

`python -m tests.benchmarks.start_time [--runs N]`: each is started N times, in turns, in a
process of its own, without a screen; the least of the times counts. Also how many frames a
keystroke takes to the picture with 10,000 entries in the notebook (goal: two).
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import click

from surveyapp.model import Device, Remark, Stop, Survey
from surveyapp.store.notebook import Notebook
from tests.ui.typist import NOW

HERE = Path(__file__).resolve().parent.parent.parent
ENTRIES = 10_000
NO_BYTECODE = "PYTHONDONTWRITEBYTECODE"  # an installed program has its bytecode
BARE = """
from tests.ui import no_screen
from kivy.config import Config
Config.set("graphics", "width", "412")
Config.set("graphics", "height", "915")
from kivy.app import App
from kivy.clock import Clock
from kivy.uix.label import Label
class Bare(App):
    def build(self):
        return Label(text="Stop 1")
    def on_start(self):
        Clock.schedule_once(lambda _: Clock.schedule_once(lambda _: self.stop(), 0), 0)
Bare().run()
"""
OURS = """
import sys
from pathlib import Path
from tests.ui import no_screen
from surveyapp.ui.start import run_app
from kivy.app import App
from kivy.clock import Clock
end = lambda _: App.get_running_app().stop()
Clock.schedule_once(lambda _: Clock.schedule_once(end, 0), 0)
run_app(Path(sys.argv[1]), (412, 915))
"""
FRAMES = """
import sys
from pathlib import Path
from tests.ui import harness
pilot = harness.start(Path(sys.argv[1]), draw=True)
pilot.touch("Speed run")
worst = 0
for key in ("1", "4", "8", "0"):
    target = [w for w in pilot.targets() if type(w).__name__ == "PadKey" and w.text == key][0]
    finger = harness.Finger(*target.to_window(*target.center))
    harness.EventLoop.post_dispatch_input("begin", finger)
    harness.frames(1)
    typed = pilot.router.sheets[-1].state.text("down") + key
    harness.EventLoop.post_dispatch_input("end", finger)
    count = 1
    harness.frames(1)
    while not any(w.text.startswith(typed + " ") for w in harness.shown(pilot.app.root)
                  if hasattr(w, "texture_size")):
        harness.frames(1)
        count += 1
    worst = max(worst, count)
print(worst)
harness.stop(pilot)
"""


def seconds(script: str, path: Path) -> float:
    """How long a process takes for this script."""
    begun = time.perf_counter()
    run(script, path)
    return time.perf_counter() - begun


def run(script: str, path: Path) -> str:
    """Run a script on a notebook, and give what it said; Kivy wants one that is a file."""
    kept = {name: value for name, value in os.environ.items() if name != NO_BYTECODE}
    file = path.parent / "script.py"
    file.write_text(script, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, str(file), str(path)], cwd=HERE, check=True, capture_output=True,
        text=True, env={**kept, "PYTHONPATH": str(HERE), "PYTHONPYCACHEPREFIX": str(path.parent)},
    )  # fmt: skip
    return done.stdout.strip()


def write(path: Path) -> Path:
    """A notebook with ten thousand entries, ten at each stop."""
    with Notebook.create(path, clock=lambda: NOW) as notebook:
        notebook.keep_setting("cautions_read", True)
        survey = Survey(title="Many entries")
        stops = [Stop(survey_id=survey.id, number=n, time_utc=NOW) for n in range(1, 1001)]
        notebook.save(survey, *stops, Device(label="Phone A"))
        for stop in stops:
            rows = [Remark(stop_id=stop.id, time_utc=NOW, text=f"Remark {n}")
                    for n in range(ENTRIES // len(stops))]  # fmt: skip
            notebook.save(*rows)
    return path


def measured(runs: int) -> tuple[float, float, int]:
    """Least seconds of the bare window and of ours, and frames from key to picture."""
    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder) / "many.notebook")
        bare, ours = [], []
        for _ in range(runs):
            bare.append(seconds(BARE, path))
            ours.append(seconds(OURS, path))
        return min(bare), min(ours), int(run(FRAMES, path))


@click.command()
@click.option("--runs", default=5, show_default=True)
def main(runs: int) -> None:
    """Start, measure, tell."""
    bare_s, ours_s, frames = measured(runs)
    click.echo(f"bare window with one label     {bare_s:8.2f} s")
    click.echo(f"usable Stop page               {ours_s:8.2f} s")
    click.echo(f"ratio                          {ours_s / bare_s:8.2f}   (goal 1.5)")
    click.echo(f"frames from key to picture     {frames:>8}   (goal 2)")


if __name__ == "__main__":
    main()
