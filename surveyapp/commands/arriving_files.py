"""Results of iperf3, output of ping and pictures for `surveyapp import`: to stops, with reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.commands.arrival import Kept, Read
from surveyapp.errors import FormatError, InvalidValue

if TYPE_CHECKING:
    from surveyapp.exchange.run_facts import RunFacts
    from surveyapp.model import Device, Stop, Survey
    from surveyapp.store.notebook import Notebook
    from surveyapp.ui.photo_folder import SortedPhoto

PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif")


@dataclass(frozen=True, kw_only=True, slots=True)
class Goal:
    """Where runs and pictures are to go, as far as it was said."""

    survey: str | None = None
    stop: int | None = None
    device: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Sorted:
    """The files asked for: runs, pictures and all others; of folders, what was passed over."""

    runs: tuple[Path, ...]
    pictures: tuple[Path, ...]
    others: tuple[Path, ...]
    passed: tuple[str, ...] = ()


def sorted_files(paths: Sequence[Path]) -> Sorted:
    """Each file by what it is; a folder stands for the runs and pictures in it.

    Raises FormatError for a folder that holds neither.
    """
    from surveyapp.exchange.run_facts import looks_like_run

    runs: list[Path] = []
    pictures: list[Path] = []
    others: list[Path] = []
    passed: list[str] = []
    for path in paths:
        inside = _files_in(path) if path.is_dir() else [path]
        found = 0
        for file in inside:
            kind = pictures if file.suffix.lower() in PICTURES else None
            kind = runs if kind is None and looks_like_run(file) else kind
            if kind is not None:
                kind.append(file)
                found += 1
            elif not path.is_dir():
                others.append(file)
        if path.is_dir() and not found:
            raise FormatError(
                f"{path} holds no picture, no result of iperf3 --json and no output of ping.",
                path=str(path),
            )
        if path.is_dir() and found < len(inside):
            passed.append(_passed_over(path, len(inside) - found))
    return Sorted(
        runs=tuple(runs), pictures=tuple(pictures), others=tuple(others), passed=tuple(passed)
    )


def _passed_over(folder: Path, count: int) -> str:
    files = "1 other file was" if count == 1 else f"{count} other files were"
    return f"{folder}: {files} passed over."


def _files_in(folder: Path) -> list[Path]:
    return sorted(
        (path for path in folder.iterdir() if path.is_file() and not path.name.startswith(".")),
        key=lambda path: path.name.casefold(),
    )


def read_runs(files: Sequence[Path], goal: Goal) -> list[Read]:
    """The runs in these files, parts of one joined; each sorted to its stop when kept."""
    from surveyapp.exchange.run_facts import read_run_file, runs_of

    return [_run_read(run, goal) for run in runs_of([read_run_file(file) for file in files])]


def _run_read(run: RunFacts, goal: Goal) -> Read:
    def keep(notebook: Notebook) -> Kept:
        from surveyapp.ui.run_files import keep_runs, sorted_runs

        (one,) = sorted_runs(notebook, [run], _stop_of(notebook, goal))
        reason = one.place.reason
        if one.place.stop is None:
            return Kept(new=0, problems=(f"{reason}: name its stop with --stop",))
        kept = keep_runs(notebook, [one], _device_of(notebook, goal.device))
        place = f"To {_named(notebook, one.place.stop)}: {reason}."
        notes = [place, one.place.doubt] if kept.new or kept.changed else []
        return Kept(
            new=kept.new,
            changed=kept.changed,
            known=kept.known,
            notes=tuple(note for note in notes if note),
        )

    return Read(file=", ".join(run.files), noun="speed run", keep=keep)


def read_photos(files: Sequence[Path], goal: Goal) -> list[Read]:
    """The pictures; each is sorted to its stop, or to none, when kept."""

    def keep(notebook: Notebook) -> Kept:
        from surveyapp.ui.photo_folder import keep_photos, sort_pictures

        survey = _survey_of(notebook, goal)
        found = sort_pictures(notebook, survey, files, _stop_of(notebook, goal))
        taken = [one for one in found if not one.refused]
        if taken:
            keep_photos(notebook, survey, taken, with_stops=False)
        known = sum(one.known for one in found)
        return Kept(
            new=len(taken),
            known=known,
            problems=tuple(_refused(one) for one in found if one.refused and not one.known),
            notes=tuple(_told(one) for one in taken),
        )

    name = files[0].name if len(files) == 1 else f"{len(files)} pictures"
    return [Read(file=name, noun="photo", keep=keep)]


def _refused(photo: SortedPhoto) -> str:
    name = photo.path.name
    return photo.refused if name in photo.refused else f"{name}: {photo.refused}"


def _told(photo: SortedPhoto) -> str:
    """'bend.jpg: to stop 3. Taken 12 m from stop 3 and in its time.'"""
    where = f"to stop {photo.stop.number}" if photo.stop else "to no stop"
    said = " ".join(part for part in (photo.reason, photo.doubt) if part)
    return f"{photo.path.name}: {where}. {said}".strip()


def _stop_of(notebook: Notebook, goal: Goal) -> Stop | None:
    from surveyapp.commands.finding import find_stop

    return None if goal.stop is None else find_stop(notebook, goal.survey, goal.stop)


def _survey_of(notebook: Notebook, goal: Goal) -> Survey:
    from surveyapp.commands.finding import find_survey

    return find_survey(notebook, goal.survey)


def _device_of(notebook: Notebook, name: str | None) -> Device:
    """The phone named, or the only one there is."""
    from surveyapp.commands.finding import find_device
    from surveyapp.model import Device

    if name is not None:
        return find_device(notebook, name)
    devices = notebook.all(Device)
    if len(devices) == 1:
        return devices[0]
    known = ", ".join(device.label for device in devices) or "none yet"
    raise InvalidValue(
        f"Say with --device which phone made the runs; the notebook has: {known}.",
        allowed=known,
    )


def _named(notebook: Notebook, stop: Stop) -> str:
    from surveyapp.model import Survey

    return f"stop {stop.number} of '{notebook.get(Survey, stop.survey_id).title}'"
