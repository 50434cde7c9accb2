"""Finding what was named on the command line in a notebook."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from surveyapp.errors import NotFound
from surveyapp.model import Device, Site, Stop, Survey

if TYPE_CHECKING:
    from surveyapp.analysis.standing import PhoneOffset
    from surveyapp.store.notebook import Notebook

Found = TypeVar("Found")


def open_notebook(path: Path) -> Notebook:
    """The notebook at `path`; imported here, so that other commands need no store."""
    from surveyapp.store.notebook import Notebook

    return Notebook.open(path)


def find_site(notebook: Notebook, name: str) -> Site:
    """The site of this name; upper and lower case count as the same where one only fits."""
    sites = notebook.all(Site)
    return _one(name, [(site.name, site) for site in sites], "site", notebook)


def find_device(notebook: Notebook, label: str) -> Device:
    """The phone of this label."""
    devices = notebook.all(Device)
    return _one(label, [(device.label, device) for device in devices], "device", notebook)


def find_survey(notebook: Notebook, title: str | None) -> Survey:
    """The survey of this title, or without one the survey of the newest stop."""
    if title is not None:
        surveys = notebook.all(Survey)
        return _one(title, [(survey.title, survey) for survey in surveys], "survey", notebook)
    newest = max(notebook.all(Stop), key=lambda stop: stop.time_utc, default=None)
    if newest is None:
        raise NotFound(f"{notebook.path} holds no stop yet: make one in the app first.")
    return notebook.get(Survey, newest.survey_id)


def find_stop(notebook: Notebook, title: str | None, number: int | None) -> Stop:
    """The stop of this number in a survey, or without a number its newest one."""
    survey = find_survey(notebook, title)
    stops = notebook.all(Stop, survey_id=survey.id)
    if not stops:
        raise NotFound(f"The survey '{survey.title}' holds no stop yet: make one first.")
    if number is None:
        return max(stops, key=lambda stop: stop.time_utc)
    for stop in stops:
        if stop.number == number:
            return stop
    raise NotFound(
        f"The survey '{survey.title}' has no stop {number}: it has "
        f"{', '.join(str(stop.number) for stop in stops)}."
    )


def learned_offsets(notebook: Notebook) -> dict[str, PhoneOffset]:
    """What each phone shows too much, learned from all pairs in the notebook."""
    from surveyapp.analysis.phone_offset import offsets_from_readings

    return offsets_from_readings(notebook.paired_readings())


def _one(name: str, named: list[tuple[str, Found]], kind: str, notebook: Notebook) -> Found:
    exact = [found for own, found in named if own == name]
    found = exact or [found for own, found in named if own.casefold() == name.casefold()]
    if len(found) == 1:
        return found[0]
    if found:
        raise NotFound(f"The notebook holds {len(found)} {kind}s named '{name}': rename one first.")
    known = ", ".join(own for own, _ in named) or "none yet"
    raise NotFound(f"{notebook.path} has no {kind} named '{name[:60]}'; it has: {known}.")
