"""Where a test server stands, found by the name of its town without a network. No Kivy here."""

from __future__ import annotations

from functools import cache

from surveyapp.exchange.gazetteer import ATTRIBUTION, Gazetteer, Place, folded, read_places
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import SpeedRun
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook
from surveyapp.ui.session import Session
from surveyapp.ui.speech import Units, length, speech
from surveyapp.ui.words import joined, number

LOOK_BACK = 20  # runs searched for a server of the same name
OFFERED = 5
LOOKED_THROUGH = 60  # towns of one beginning, the largest first
TOWNS = "server_towns"  # the setting: a town for each server's address
Position = tuple[float, float]


@cache
def towns() -> Gazetteer:
    """The towns, read when first asked for."""
    return read_places(shipped("assets", "data", "places.csv.gz"))


def offered_towns(session: Session, text: str) -> tuple[tuple[str, str], ...]:
    """Towns whose name begins so, as labels, and again with how far they are: a whole name
    first, then the nearest, since a test mostly chooses a server near by; else the largest."""
    if not text.strip():
        return ()
    found, stop = towns().find(text, LOOKED_THROUGH), session.stop
    if stop is None or stop.lat_deg is None or stop.lon_deg is None:
        return tuple((label_of(town), label_of(town)) for town in found[:OFFERED])
    here, name = (stop.lat_deg, stop.lon_deg), folded(text.partition(",")[0])
    away_m = {town: inverse(*here, town.lat_deg, town.lon_deg).distance_m for town in found}
    found.sort(key=lambda town: (folded(town.name) != name, away_m[town]))
    return tuple((label_of(t), f"{label_of(t)} · {_far(away_m[t])}") for t in found[:OFFERED])


def _far(away_m: float) -> str:
    """'151 km', or miles where lengths are told so."""
    return length(away_m) if speech.units is Units.US else f"{number(away_m / 1000, 0)} km"


def label_of(town: Place) -> str:
    """'Lodz, PL': without the accents that the screen's font (Latin-1 and a few more) lacks."""
    return "".join(map(_drawable, town.label))


def _drawable(sign: str) -> str:
    if sign.encode("cp1252", errors="ignore"):
        return sign
    plain = folded(sign).strip()
    return plain.capitalize() if sign.isupper() else plain


def server_position(notebook: Notebook, text: str) -> Position | None:
    """Where an earlier run's server of this name stood, or the town that bears it alone."""
    text = text.strip()
    if not text:
        return None
    runs = notebook.newest(SpeedRun, LOOK_BACK, server_place=text)
    for run in runs:
        if run.server_lat_deg is not None and run.server_lon_deg is not None:
            return run.server_lat_deg, run.server_lon_deg
    name = folded(text.partition(",")[0])
    same = [town for town in towns().find(text, OFFERED) if folded(town.name) == name]
    exact = [town for town in same if label_of(town) == text]
    only = exact or same
    return (only[0].lat_deg, only[0].lon_deg) if len(only) == 1 else None


def town_of(notebook: Notebook, host: str) -> str:
    """The town that was named for a server's address before, or the address itself."""
    return str(notebook.setting(TOWNS, {}).get(host, host))


def keep_town(notebook: Notebook, host: str, town: str) -> None:
    """Remember in which town the server of this address stands."""
    known = notebook.setting(TOWNS, {})
    if host and town and town != host and known.get(host) != town:
        notebook.keep_setting(TOWNS, {**known, host: town})


def server_note(session: Session, text: str) -> str:
    """How far away the server is, as far as that is known, and whose towns these are."""
    position, stop = server_position(session.notebook, text), session.stop
    if not text.strip():
        said = "Type the beginning of the town's name."
    elif position is None:
        said = "Choose a town, and its distance is known."
    elif stop is None or stop.lat_deg is None or stop.lon_deg is None:
        said = "Distance is worked out when the stop has a position."
    else:
        away_m = inverse(stop.lat_deg, stop.lon_deg, *position).distance_m
        said = f"{_far(away_m)} away"
    return joined([said, ATTRIBUTION])
