"""Memory of the app with its plan open, beyond a bare Kivy window, each in its own process.

Run with `python -m tests.benchmarks.plan_memory [--readings N]`. The ground is all of the
Helsinki extract that comes with the program, the survey 50,000 readings at as many stops; the
plan is opened, then looked at and pushed at survey, quarter and street scale. Printed is the
most memory either process held. Goal: 300 MB more than the bare window.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import click

HERE = Path(__file__).resolve().parent.parent.parent
TELL = """
import resource
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""
BARE = """
from tests.ui import harness
from kivy.base import runTouchApp
from kivy.uix.label import Label
harness.Window.size = harness.PHONE
runTouchApp(Label(text="Plan"), embedded=True)
harness.wait(0.5)
"""
OURS = """
import sys
from pathlib import Path
from tests.ui import gestures, harness
pilot = harness.start(Path(sys.argv[1]), draw=True)
harness.wait(1.0)
pilot.router.go("plan")
for factor in (1.0, 6.0, 4.0):
    harness.wait(1.0)
    view = gestures.plan_view(pilot)
    view.zoom(factor)
    harness.wait(1.0)
    pilot.drag(gestures.in_window(view, 60, 60), gestures.in_window(view, -60, -60))
harness.wait(1.0)
"""


def most_mb(script: str, *arguments: str) -> float:
    """The most memory a process of its own holds for this script."""
    done = subprocess.run(
        [sys.executable, "-c", script + TELL, *arguments], cwd=HERE, check=True,
        capture_output=True, text=True,
    )  # fmt: skip
    return float(done.stdout.split()[-1])


@click.command()
@click.option("--readings", default=50_000, show_default=True)
def main(readings: int) -> None:
    """Write the notebook, run both, tell."""
    from surveyapp.exchange.formats import read_ground
    from surveyapp.resources import shipped
    from surveyapp.store.notebook import Notebook
    from tests.benchmarks.plan_speed import write_large

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.notebook"
        write_large(path, readings)
        ground = read_ground(shipped("sample_surveys", "helsinki_centre.osm.pbf"))
        with Notebook.open(path) as notebook:
            notebook.ground.replace(ground, "helsinki_centre.osm.pbf")
        bare, ours = most_mb(BARE), most_mb(OURS, str(path))
    print(f"bare window                    {bare:6.0f} MB")
    print(f"plan, {readings:,} readings         {ours:6.0f} MB")
    print(f"more                           {ours - bare:6.0f} MB   (goal 300)")


if __name__ == "__main__":
    main()
