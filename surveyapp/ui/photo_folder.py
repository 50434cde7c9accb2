"""Pictures sorted to the stops of a survey, then kept as one action. No Kivy here."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from surveyapp.analysis.photo_sorting import sort_photo
from surveyapp.analysis.photo_stops import TakenAt, stops_of_photos
from surveyapp.errors import FormatError, NotFound
from surveyapp.exchange.photo_exif import PhotoFacts, read_photo
from surveyapp.exchange.photo_thumbnail import Thumbnail, thumbnail
from surveyapp.model import Photo, Row, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.words import clock_text, counted, joined

READ = (".jpg", ".jpeg", ".png")
SUFFIXES = (*READ, ".heic", ".heif", ".webp")  # the last three are listed, and refused in words
PNG = b"\x89PNG"


@dataclass(frozen=True)
class SortedPhoto:
    """A picture: the stop it goes to (None for none), why, and what is doubtful.

    `refused` says why it cannot come in at all: no picture, the same as another of these, or in
    the notebook already; `known` is True for the last.
    """

    path: Path
    facts: PhotoFacts
    stop: Stop | None = None
    reason: str = ""
    doubt: str = ""
    refused: str = ""
    known: bool = False
    name: str = ""
    small: Thumbnail | None = None


def request(survey_id: str, folder: Path) -> str:
    """What `sorted_folder` needs to know, as the subject of its work."""
    return json.dumps([survey_id, str(folder)])


def sorted_folder(
    path: Path, asked: str, leave: Callable[[], bool]
) -> tuple[SortedPhoto, ...] | None:
    """Every picture of a folder, by name; None where `leave` asked to stop on the way."""
    survey_id, folder = json.loads(asked)
    files = sorted(Path(folder).iterdir(), key=lambda one: one.name.casefold())
    pictures = [file for file in files if file.suffix.lower() in SUFFIXES and file.is_file()]
    with Notebook.open(path) as notebook:
        return sort_pictures(notebook, notebook.get(Survey, survey_id), pictures, leave=leave)


def sort_pictures(
    notebook: Notebook,
    survey: Survey,
    files: Sequence[Path],
    at: Stop | None = None,
    leave: Callable[[], bool] = lambda: False,
) -> tuple[SortedPhoto, ...] | None:
    """Each picture with its stop: the one named, else by place and time; None after `leave`.

    The same bytes come in once, however many files hold them.
    """
    stops = notebook.all(Stop, survey_id=survey.id)
    known = {photo.file: where_kept(notebook, photo) for photo in notebook.all(Photo)}
    found: list[SortedPhoto] = []
    names: dict[str, str] = {}
    for file in files:
        if leave():
            return None
        one = _read(file, ZoneInfo(survey.time_zone))
        if not one.refused and one.name in names:
            one = SortedPhoto(
                file, one.facts, name=one.name, small=one.small,
                refused=f"The same picture as {names[one.name]}: kept once.",
            )  # fmt: skip
        elif not one.refused and one.name in known:
            one = SortedPhoto(file, one.facts, name=one.name, small=one.small, known=True,
                              refused=known[one.name])  # fmt: skip
        elif not one.refused:
            names[one.name] = file.name
            one = _sorted(one, stops, at)
        found.append(one)
    return tuple(found)


def where_kept(notebook: Notebook, photo: Photo) -> str:
    """'It is in the notebook already, at stop 3.'"""
    try:
        stop = notebook.get(Stop, photo.stop_id) if photo.stop_id else None
    except NotFound:
        stop = None
    where = f", at stop {stop.number}" if stop else ""
    return f"It is in the notebook already{where}."


def _read(file: Path, zone: ZoneInfo) -> SortedPhoto:
    """A picture with its facts and made small, which proves that it is whole."""
    try:
        facts = read_photo(file, zone)
        return SortedPhoto(file, facts, name=kept_name(file), small=thumbnail(file))
    except FormatError as error:
        return SortedPhoto(file, PhotoFacts(), refused=str(error).replace(str(file), file.name))


def _sorted(photo: SortedPhoto, stops: Sequence[Stop], at: Stop | None) -> SortedPhoto:
    facts = photo.facts
    place = sort_photo(
        stops,
        time_utc=facts.time_utc,
        lat_deg=facts.lat_deg,
        lon_deg=facts.lon_deg,
        position_sigma_m=facts.position_sigma_m,
    )
    doubts = " ".join(one for one in (place.doubt, *facts.doubts) if one)
    if at is None:
        return SortedPhoto(photo.path, facts, place.stop, place.reason, doubts,
                           name=photo.name, small=photo.small)  # fmt: skip
    elsewhere = place.stop is not None and place.stop.id != at.id
    said = f"By its data: {place.reason[:1].lower()}{place.reason[1:]}" if elsewhere else ""
    doubts = " ".join(one for one in (said, *facts.doubts) if one)
    return SortedPhoto(photo.path, facts, at, f"To stop {at.number} as asked.", doubts,
                       name=photo.name, small=photo.small)  # fmt: skip


def kept_name(file: Path) -> str:
    """The name a picture is kept under: the SHA-256 of its bytes, and what kind it is."""
    content = file.read_bytes()
    return hashlib.sha256(content).hexdigest() + (".png" if content.startswith(PNG) else ".jpg")


def detail(photo: SortedPhoto, survey: Survey) -> str:
    """'Stop 3 · 14:05 · Taken 12 m from stop 3 and in its time.'"""
    if photo.refused:
        return ""
    when = clock_text(photo.facts.time_utc, survey.time_zone) if photo.facts.time_utc else ""
    where = f"Stop {photo.stop.number}" if photo.stop else "At no stop"
    return joined([where, when, photo.reason])


def new_stops(
    photos: Iterable[SortedPhoto], survey_id: str, first_number: int
) -> tuple[dict[Path, Stop], tuple[Stop, ...]]:
    """Stops for pictures that belong to none but tell time and place: each picture's, and all."""
    loose = [
        TakenAt(
            name=str(one.path),
            time_utc=one.facts.time_utc,
            lat_deg=one.facts.lat_deg,
            lon_deg=one.facts.lon_deg,
        )
        for one in photos
        if one.stop is None
        and not one.refused
        and one.facts.time_utc is not None
        and one.facts.lat_deg is not None
        and one.facts.lon_deg is not None
    ]
    made = stops_of_photos(loose, survey_id, first_number)
    by_path = {Path(name): found.stop for found in made for name in found.names}
    return by_path, tuple(found.stop for found in made)


def keep_photos(
    notebook: Notebook, survey: Survey, photos: Sequence[SortedPhoto], with_stops: bool
) -> str:
    """Keep the pictures with their rows, and stops for the loose ones where wanted, as one
    action; what was done, for Undo's message."""
    at: dict[Path, Stop] = {}
    stops: tuple[Stop, ...] = ()
    if with_stops:
        at, stops = new_stops(photos, survey.id, notebook.next_stop_number(survey.id))
    rows: list[Row] = [*stops]
    for one in photos:
        stop = one.stop or at.get(one.path)
        facts = one.facts
        lat_deg, lon_deg = facts.lat_deg, facts.lon_deg
        if stop is not None and (lat_deg is None or lon_deg is None):
            lat_deg, lon_deg = stop.lat_deg, stop.lon_deg
        rows.append(
            Photo(
                survey_id=survey.id,
                stop_id=stop.id if stop else None,
                file=one.name,
                time_utc=facts.time_utc,
                lat_deg=lat_deg,
                lon_deg=lon_deg,
                direction_deg=facts.direction_deg,
                direction_reference=facts.direction_reference,
            )
        )
    what = counted(len(photos), "photo")
    if stops:
        what += f" and {counted(len(stops), 'new stop')}"
    notebook.bring_in(rows, [one.path for one in photos], what=what)
    return what
