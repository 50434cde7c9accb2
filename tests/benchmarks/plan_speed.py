"""Cost of a pan frame, and of opening the plan, beside a bare window.

Run with `python -m tests.benchmarks.plan_speed [--readings N]`. The ground has 5,000 buildings
and 2,000 street pieces on four square kilometres, the survey 50,000 readings at as many stops.
Pan frames, driven by a finger, are timed in turns with frames of the same window in which the
very same meshes are only told where they are: what is left to the app is all but the drawing.
Goals: 1.5 times that frame, 0.5 s to open. Drawn by whatever OpenGL is there; mostly a
processor's. Memory is measured by plan_memory, in processes of their own.
"""

from __future__ import annotations

import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import click
import numpy as np

from tests.ui import harness  # before anything of Kivy

from kivy.base import EventLoop  # isort: skip
from kivy.core.window import Window  # isort: skip
from kivy.graphics.opengl import glFinish  # isort: skip

from surveyapp.model import Building, Carrier, Device, Ground, Reading, Stop, Street, Survey
from surveyapp.store.notebook import Notebook
from tests.ui import filled, gestures
from tests.ui.harness import Finger, Pilot
from tests.ui.place_scenes import quarter

LAT_DEG, LON_DEG = 60.17, 24.94
HALF_DEG = (0.009, 0.018)  # some 2 km by 2 km
BUILDINGS, STREETS = 5000, 2000
ROUNDS, FRAMES = 3, 20
NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)


def invented_ground(random: np.random.Generator) -> Ground:
    """Houses of twelve corners and straight streets, evenly strewn."""
    turn = np.linspace(0.0, 2 * np.pi, 13)
    houses = []
    for lat, lon in _places(random, BUILDINGS):
        size = random.uniform(0.00004, 0.00012) * (1.0 + 0.3 * np.cos(4 * turn))
        ring = np.column_stack([lat + size * np.sin(turn), lon + 2 * size * np.cos(turn)])
        houses.append(Building(outline_deg=tuple(map(tuple, ring.tolist()))))
    ends = random.uniform(-0.0008, 0.0008, (STREETS, 2))
    streets = [
        Street(
            name=f"Street {nth}", kind="residential", points_deg=((lat, lon), (lat + a, lon + b))
        )
        for nth, ((lat, lon), (a, b)) in enumerate(
            zip(_places(random, STREETS), ends.tolist(), strict=True)
        )
    ]
    return Ground(streets=tuple(streets), buildings=tuple(houses), attribution="Invented")


def write_large(path: Path, readings: int) -> None:
    """A notebook with so many readings, each at its own stop."""
    random = np.random.default_rng(1)
    with Notebook.create(path, clock=lambda: NOW) as notebook:
        notebook.keep_setting("cautions_read", True)
        survey, phone = Survey(title="Large"), Device(label="Phone")
        stops = [
            Stop(survey_id=survey.id, number=nth, time_utc=NOW, lat_deg=lat, lon_deg=lon)
            for nth, (lat, lon) in enumerate(_places(random, readings), 1)
        ]
        levels = random.uniform(-120.0, -60.0, readings)
        rows = [
            Reading(stop_id=stop.id, device_id=phone.id, time_utc=NOW,
                    carriers=(Carrier(rsrp_dbm=round(float(level), 1)),))
            for stop, level in zip(stops, levels, strict=True)
        ]  # fmt: skip
        notebook.save(survey, phone, *stops, *rows)
        notebook.ground.replace(invented_ground(random), "invented")


def bare_frames(pilot: Pilot) -> float:
    """Median seconds of a frame of the same window in which only the meshes' place changes."""
    view = gestures.plan_view(pilot)
    times = []
    for nth in range(FRAMES):
        began = time.perf_counter()
        for layer in view.drawing.layers:
            layer.look(view.viewport.moved(2.0 * nth, 1.0 * nth), view.pos)
        _frame()
        times.append(time.perf_counter() - began)
    return median(times[2:])


def pan_frames(pilot: Pilot) -> float:
    """Median seconds of a frame in which a finger pushes the plan."""
    view = gestures.plan_view(pilot)
    x, y = gestures.in_window(view, -40, -40)
    finger, times = Finger(x, y), []
    EventLoop.post_dispatch_input("begin", finger)
    for nth in range(FRAMES):
        began = time.perf_counter()
        finger.move((x + 2.0 * nth, y + 1.0 * nth))
        EventLoop.post_dispatch_input("update", finger)
        _frame()
        times.append(time.perf_counter() - began)
    EventLoop.post_dispatch_input("end", finger)
    harness.wait(0.3)
    return median(times[2:])


def _frame() -> None:
    """Draw one frame to its end, whether anything asked for it or not."""
    Window.canvas.ask_update()
    EventLoop.idle()
    glFinish()


def open_plan(pilot: Pilot) -> tuple[float, float]:
    """Seconds of processor time until the plan's first frame, and until all is drawn."""
    began = time.process_time()
    pilot.router.go("plan")
    harness.frames(1)
    first_s = time.process_time() - began
    view = gestures.plan_view(pilot)
    page = pilot.app.root.ids.manager.get_screen("plan")
    while view.drawing.ground._wanted or page._levels_soon.is_triggered:
        harness.frames(1)
    harness.frames(2)
    return first_s, time.process_time() - began


def _places(random: np.random.Generator, count: int) -> list[tuple[float, float]]:
    away = random.uniform(-1.0, 1.0, (count, 2)) * HALF_DEG
    return [(LAT_DEG + a, LON_DEG + b) for a, b in away.tolist()]


def write_both(readings: int) -> dict[str, Path]:
    """A day's notebook and a large one, by name."""
    folder = Path(tempfile.mkdtemp(prefix="plan-speed-"))
    filled.write(folder / "day.notebook")
    with Notebook.open(folder / "day.notebook") as notebook:
        notebook.ground.replace(quarter(), "quarter.osm.gz")
    write_large(folder / "large.notebook", readings)
    return {name: folder / f"{name}.notebook" for name in ("day", "large")}


def pan_and_bare_ms(pilot: Pilot, scale: float) -> tuple[float, float]:
    """Median milliseconds of a pan frame and of a bare one, the plan so much enlarged."""
    gestures.plan_view(pilot).zoom(scale)
    harness.wait(0.4)
    pairs = [(pan_frames(pilot), bare_frames(pilot)) for _ in range(ROUNDS)]
    pan, bare = (1000 * median(times) for times in zip(*pairs, strict=True))
    return pan, bare


@click.command()
@click.option("--readings", default=50_000, show_default=True)
def main(readings: int) -> None:
    """Print the table."""
    for name, path in write_both(readings).items():
        pilot = harness.start(path, draw=True)
        harness.wait(2.0)  # the Stop page is done
        first_s, all_s = open_plan(pilot)
        print(f"{name}: first frame after {first_s:.2f} s, all drawn after {all_s:.2f} s of work")
        for scale in (1.0, 6.0):
            pan, bare = pan_and_bare_ms(pilot, scale)
            print(
                f"{name}, {gestures.plan_view(pilot).px_per_m:.2f} px/m: "
                f"pan {pan:.1f} ms, bare {bare:.1f} ms, ratio {pan / bare:.2f} (goal 1.5)"
            )
        harness.stop(pilot)


if __name__ == "__main__":
    main()
