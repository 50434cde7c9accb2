"""The name of a stop's or a site's place, asked for over the network on request. No Kivy here."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.model import LatLon, Site, Stop
from surveyapp.store.notebook import Notebook
from surveyapp.ui.session import Session
from surveyapp.ui.speech import speech

if TYPE_CHECKING:
    from surveyapp.sensors.place_names import PlaceNames


def service() -> PlaceNames:
    """Who is asked."""
    from surveyapp.sensors.place_names import NominatimNames

    return NominatimNames()


def place_of(row: Stop | Site) -> LatLon | None:
    """Its position, where it has one."""
    if row.lat_deg is None or row.lon_deg is None:
        return None
    return row.lat_deg, row.lon_deg


def question(place: LatLon) -> str:
    """All that asking needs to know, as the subject of its work."""
    return json.dumps([*place, speech.language])


def answered(path: Path, asked: str, _leave: Callable[[], bool]) -> str:
    """The name of the place, as it is kept or as it comes now."""
    from surveyapp.sensors.place_names import place_name

    lat_deg, lon_deg, language = json.loads(asked)
    with Notebook.open(path) as notebook:
        return place_name(service(), notebook, lat_deg, lon_deg, language)


def known_name(notebook: Notebook, row: Stop | Site) -> str:
    """The name that was asked for before; '' where none was."""
    place = place_of(row)
    return "" if place is None else notebook.kept_place_name(*place) or ""


def keep_name(session: Session, stop: Stop, name: str) -> None:
    """Write the name down with its stop; undo takes it back."""
    session.save(replace(stop, place_text=name), what=f"place of stop {stop.number}")
