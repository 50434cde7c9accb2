"""Every page and sheet of the app, by name: audited in the tests, drawn by `tests.pictures`.

A scene is a way to get there by touch from the Stop place of a notebook, full or empty.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from surveyapp.store.notebook import Notebook
from surveyapp.ui.theme import theme
from tests.cli.test_import_runs import iperf
from tests.ui import fake_phone, filled, harness, place_scenes, why_scenes
from tests.ui.harness import Pilot
from tests.ui.test_run_files import minutes as minutes_after_noon

FULL = "harbour.notebook"


@dataclass(frozen=True)
class Scene:
    """A page or sheet; `empty` starts with a notebook that has nothing in it."""

    name: str
    go: Callable[[Pilot], None]
    empty: bool = False
    sensors: bool = False  # on a phone, with all sensors


def _touch(*words: str) -> Callable[[Pilot], None]:
    def go(pilot: Pilot) -> None:
        for word in words:
            pilot.touch(word)

    return go


def _bearing(pilot: Pilot) -> None:
    pilot.touch("Sighting")
    pilot.touch("Mill Street 3")
    for key in "351":
        pilot.touch_key(key)


def _facing(pilot: Pilot) -> None:
    _bearing(pilot)
    pilot.touch_key("Next")
    pilot.touch("Partly")


def _next_phone(pilot: Pilot) -> None:
    pilot.touch("Reading")
    pilot.touch("As last")
    for key in (*"88", "Next"):
        pilot.touch_key(key)


def _impossible(pilot: Pilot) -> None:
    pilot.touch("Reading")
    pilot.touch("As last")
    for key in "286":
        pilot.touch_key(key)


def _deleted(pilot: Pilot) -> None:
    pilot.touch("The south panel")
    pilot.touch("Delete")


def _files(pilot: Pilot) -> None:
    folder = pilot.session.notebook.path.parent / "pictures"
    folder.mkdir(exist_ok=True)
    for name in ("panel south.jpg", "street.png", "a very long name of a picture file.jpg"):
        (folder / name).touch()
    pilot.session.notebook.keep_setting("last_folder", str(folder))
    pilot.touch("Photo")


def _photo(pilot: Pilot) -> None:
    _files(pilot)
    pilot.touch("street.png")


def _photo_told(pilot: Pilot) -> None:
    place_scenes.picture_folder.write(pilot.session.notebook.path.parent / "camera")
    folder = place_scenes.picture_folder.of(pilot)
    pilot.session.notebook.keep_setting("last_folder", str(folder))
    _touch("Photo", "at stop 1.jpg")(pilot)


def _run_file(pilot: Pilot) -> None:
    folder = pilot.session.notebook.path.parent / "results"
    iperf(folder, "bend, download.json", minutes_after_noon(filled.NOW) + 12, 612.3, reverse=True)
    pilot.session.notebook.keep_setting("last_folder", str(folder))
    _touch("Speed run", "From a file", "bend, download.json")(pilot)


def _run_files(pilot: Pilot) -> None:
    _run_file(pilot)
    pilot.touch("From a file")


def _demo_strip(pilot: Pilot) -> None:
    pilot.router.notebooks.now = pilot.router.notebooks.demo
    pilot.app.root.tell_of_demo()
    harness.wait(0.2)


def _server(pilot: Pilot) -> None:
    pilot.touch("Speed run")
    pilot.touch("Server at")
    pilot.router.sheets[-1].put("server", "turk")
    harness.frames(4)


def _german(pilot: Pilot) -> None:
    theme.language = "de"
    pilot.session.changed.fire()
    harness.wait(0.2)


def _german_sighting(pilot: Pilot) -> None:
    _german(pilot)
    _bearing(pilot)
    pilot.touch_key("Next")


def _compass_check(pilot: Pilot) -> None:
    pilot.touch("Compass check")
    pilot.touch("Corner of Dock Lane")
    for key in "105":
        pilot.touch_key(key)


def _settling(pilot: Pilot) -> None:
    pilot.touch("Take position")
    harness.wait(2.5)


def _sensed(pilot: Pilot) -> None:
    _bearing(pilot)
    pilot.touch("Take heading")
    harness.wait(2.5)


def _one_line(pilot: Pilot) -> None:
    pilot.touch("Reading")
    pilot.touch("One line")
    harness.frames(2)
    pilot.type("n258 4x100 b20 10 rsrp -86 rsrq -12,5 sinr 14 behind the tree")


SCENES = [
    Scene("stop_full", lambda pilot: harness.wait(0.2)),
    Scene("stop_empty", lambda pilot: None, empty=True),
    Scene("stop_started", _touch("Stop", "Remark", "Close"), empty=True),
    Scene("stop_message", _deleted),
    Scene("cautions", lambda pilot: pilot.router.push("cautions")),
    Scene("position", _touch("Mill Street, between")),
    Scene("heading", _touch("No heading yet")),
    Scene("sighting_site", _touch("Sighting")),
    Scene("sighting_new_site", _touch("Sighting", "New site")),
    Scene("sighting_bearing", _bearing),
    Scene("sighting_facing", _facing),
    Scene("sighting_change", _touch("Mill Street 3")),
    Scene("reading_new", _touch("Reading")),
    Scene("reading_first_phone", _touch("Reading"), empty=True),
    Scene("reading_impossible", _impossible),
    Scene("reading_next_phone", _next_phone),
    Scene("reading_change", _touch("Phone A · 5G")),
    Scene("speed_run", _touch("Speed run")),
    Scene("speed_run_server", _server),
    Scene("speed_run_together", _touch("Speed run", "At the same time as")),
    Scene("stop_german", _german),
    Scene("sighting_german", _german_sighting),
    Scene("compass_check", _compass_check),
    Scene("before_runs", _touch("Before the runs", "Network mode looked at")),
    Scene("one_line", _one_line),
    Scene("stop_of_phone", _settling, sensors=True),
    Scene("sighting_of_phone", _sensed, sensors=True),
    Scene("grammar", _touch("Speed run", "One line", "What one line may say")),
    Scene("photo_files", _files),
    Scene("photo_damaged", _photo),
    Scene("photo", _photo_told),
    Scene("speed_run_files", _run_files),
    Scene("speed_run_filled", _run_file),
    Scene("demo_day", _demo_strip, empty=True),
    Scene("first_run", lambda pilot: pilot.router.push("first_run", again="yes"), empty=True),
    Scene("phone_new", place_scenes.touch("Book", "Phones", "Add")),
    Scene("remark_kind", _touch("Remark", "About")),
    Scene("remark_text", _touch("Remark", "Weather")),
    *(Scene(*place) for place in place_scenes.SCENES),
    *(Scene(*why) for why in why_scenes.SCENES),
]


def begin(scene: Scene, folder: Path, **look: object) -> Pilot:
    """Open the app where the scene begins: at the Stop place of its notebook."""
    path = folder / f"{scene.name}.notebook"
    if scene.empty:
        with Notebook.create(path, clock=lambda: filled.NOW) as notebook:
            notebook.keep_setting("cautions_read", True)
            notebook.keep_setting("first_run_over", True)
    else:
        path = filled.write(folder / FULL)
    sensors = fake_phone.phone() if scene.sensors else None
    return harness.start(path, clock=lambda: filled.NOW, sensors=sensors, **look)


def start(scene: Scene, folder: Path, **look: object) -> Pilot:
    """Open the app where the scene begins, and go there."""
    pilot = begin(scene, folder, **look)
    scene.go(pilot)
    harness.frames(4)
    return pilot
