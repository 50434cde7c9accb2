"""What a photo's file tells the photo sheet: facts, a small picture, its stop. No Kivy here."""

from __future__ import annotations

from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo

from surveyapp.analysis.photo_direction import true_direction_deg
from surveyapp.analysis.photo_sorting import PhotoPlace, sort_photo
from surveyapp.errors import FormatError, NotFound
from surveyapp.exchange.photo_exif import PhotoFacts, read_photo
from surveyapp.exchange.photo_thumbnail import Thumbnail, thumbnail
from surveyapp.model import NorthReference, Photo, Stop
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Texts, Told, amount, plain
from surveyapp.ui.session import Session
from surveyapp.ui.words import clock_text, day_text, degrees, joined, number

SIDE_PX = 320
OFFERED = 6  # stops to choose from; a photo of an older one goes there by its own data


def facts_of(session: Session, file: str) -> PhotoFacts:
    """What the EXIF data of a picture tell. Raises NotFound and FormatError."""
    path = existing(file)
    zone = session.survey.time_zone if session.survey else "UTC"
    return _facts(path, path.stat().st_mtime_ns, zone)


def existing(text: str) -> Path:
    """The file; raises NotFound where there is none."""
    path = Path(text).expanduser()
    if not path.is_file():
        raise NotFound(f"There is no file {text}: choose a picture from the list.")
    return path


def place_of(session: Session, facts: PhotoFacts) -> PhotoPlace:
    """The stop of this survey by the photo's place and time, with the reason."""
    stops = session.notebook.all(Stop, survey_id=session.survey.id) if session.survey else []
    return sort_photo(
        stops,
        time_utc=facts.time_utc,
        lat_deg=facts.lat_deg,
        lon_deg=facts.lon_deg,
        position_sigma_m=facts.position_sigma_m,
    )


def texts_of_file(session: Session, file: str) -> Texts:
    """Direction, its north and the stop, as the sheet's texts; none where the file tells none."""
    try:
        facts = facts_of(session, file)
    except (NotFound, FormatError):
        return {}
    texts = {}
    if facts.direction_deg is not None:
        texts["direction"] = plain(round(facts.direction_deg, 1))
        texts["reference"] = facts.direction_reference.value if facts.direction_reference else ""
    place = place_of(session, facts)
    if place.stop is not None and not place.doubt:
        texts["stop"] = place.stop.id
    return texts


def told_of_picture(session: Session, texts: Texts) -> tuple[Told, ...]:
    """The picture itself, what its file tells, why it goes to its stop, and what is doubtful."""
    if texts.get("kept"):
        path = session.notebook.photo_folder / texts["kept"]
        return (Told("Picture", _true_words(session, texts), "", small_of(path)),)
    file = texts.get("file", "")
    if not file:
        return ()
    try:
        facts = facts_of(session, file)
        small = small_of(Path(file).expanduser())
    except (NotFound, FormatError) as error:
        return (Told("Picture", "", str(error).replace(str(Path(file).expanduser()), "This file")),)
    place = place_of(session, facts)
    doubts = [place.doubt, *facts.doubts]
    if place.stop is not None and texts.get("stop") != place.stop.id and not place.doubt:
        doubts.insert(0, f"By its place and time it belongs to stop {place.stop.number}.")
    doubt = " ".join(one for one in doubts if one)
    facts_words = joined([_facts_words(session, facts), place.reason, _true_words(session, texts)])
    return (Told("Its file tells", facts_words, doubt, small),)


def small_of(path: Path) -> Thumbnail | None:
    """The picture made small, or None where it cannot be shown."""
    try:
        return _small(path, path.stat().st_mtime_ns)
    except (OSError, FormatError):
        return None


def stop_field(session: Session, texts: Texts) -> Field:
    """At which stop: the chosen one and the newest of the survey."""
    notebook, survey = session.notebook, session.survey
    near = notebook.newest(Stop, OFFERED, survey_id=survey.id) if survey else []
    chosen = texts.get("stop", "")
    if chosen and chosen not in {stop.id for stop in near}:
        with suppress(NotFound):
            near = [notebook.get(Stop, chosen), *near]
    stops = sorted(near, key=lambda stop: stop.number)
    choices = tuple(Choice(value=stop.id, label=f"Stop {stop.number}") for stop in stops)
    return Field(name="stop", label="At stop", kind=Kind.CHOICE, choices=choices, on_path=False)


def _facts_words(session: Session, facts: PhotoFacts) -> str:
    zone = session.survey.time_zone if session.survey else "UTC"
    when = where = ""
    if facts.time_utc is not None:
        day = facts.time_utc.astimezone(ZoneInfo(zone)).date()
        when = joined([day_text(day), clock_text(facts.time_utc, zone)])
    if facts.lat_deg is not None:
        where = f"{number(facts.lat_deg, 5)}, {number(facts.lon_deg, 5)}"
    return joined([when, where])


def _true_words(session: Session, texts: Texts) -> str:
    """'157° true' for a magnetic direction, which the plan draws."""
    towards = amount(texts, "direction")
    if towards is None or texts.get("reference") != NorthReference.MAGNETIC.value:
        return ""
    stop = session.stop
    photo = Photo(survey_id="", file="", time_utc=stop.time_utc if stop else None,
                  direction_deg=towards, direction_reference=NorthReference.MAGNETIC)  # fmt: skip
    true_deg = true_direction_deg(photo, stop)
    return "" if true_deg is None else f"{degrees(true_deg)} true"


@lru_cache(maxsize=4)
def _facts(path: Path, _written_ns: int, zone: str) -> PhotoFacts:
    return read_photo(path, ZoneInfo(zone))


@lru_cache(maxsize=4)
def _small(path: Path, _written_ns: int) -> Thumbnail:
    return thumbnail(path, SIDE_PX)
