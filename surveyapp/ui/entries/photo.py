"""The photo sheet: a picture file, what it shows, and which way it was taken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from surveyapp.model import NorthReference, Photo, Stop
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, Told, amount, choices_of, plain
from surveyapp.ui.entries.photo_file import (
    existing,
    facts_of,
    stop_field,
    texts_of_file,
    told_of_picture,
)
from surveyapp.ui.entries.sensed import TAKE_PICTURE, sensed, take_picture
from surveyapp.ui.photo_folder import kept_name
from surveyapp.ui.session import Session
from surveyapp.ui.words import degrees

CHOOSE = "choose a picture"


class PhotoForm(Form):
    """File, caption, direction."""

    name = "photo"
    title = "Photo"
    row_kind = Photo

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """A photo under change keeps its file."""
        told = session.live_heading
        offered = () if told is None else (
            Choice(value=plain(told.raw_deg), label=f"Heading {degrees(told.raw_deg)}"),
        )  # fmt: skip
        file = Field(
            name="file", label="Picture file", kind=Kind.TEXT, needed=True, on_path=False,
            is_path=True, hint="Path of a JPEG or PNG file",
        )  # fmt: skip
        return (
            *(() if texts.get("kept") else (file,)),
            Field(name="caption", label="It shows", kind=Kind.TEXT),
            Field(
                name="direction", label="Taken towards", unit="°", decimals=1, low=0, high=359.9,
                suggestions=offered,
            ),
            _REFERENCE,
            stop_field(session, texts),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """A compass reads against magnetic north."""
        stop = session.stop
        return {"reference": NorthReference.MAGNETIC.value, "stop": stop.id if stop else ""}

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """What the file chosen tells of its direction and its stop."""
        return texts_of_file(session, texts["file"]) if name == "file" else {}

    def told(self, session: Session, texts: Texts) -> tuple[Told, ...]:
        """The picture, and what its file tells."""
        return told_of_picture(session, texts)

    def texts_of(self, session: Session, row: Photo) -> Texts:
        """The photo as it was entered."""
        return {
            "kept": row.file,
            "caption": row.caption,
            "direction": plain(row.direction_deg),
            "reference": row.direction_reference.value if row.direction_reference else "",
            "stop": row.stop_id or "",
        }

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """Find the picture in the folders of this machine."""
        choose = Choice(value=CHOOSE, label="Choose a picture", icon="folder")
        return () if texts.get("kept") else (*sensed(session, TAKE_PICTURE), choose)

    def act(self, sheet: Any, action: str) -> None:
        """Open the camera, or the list of files."""
        if action == TAKE_PICTURE.value:
            take_picture(sheet)
        else:
            choose_file(sheet)

    def opened(self, sheet: Any) -> None:
        """A new photo begins with its file; with a camera at hand one chooses between the two."""
        empty = sheet.state.row is None and not sheet.state.text("file")
        if empty and not sheet.session.senses.there:
            choose_file(sheet)

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Keep the picture beside the notebook and its row within it; a picture that is there
        already stays one, and its entry is changed."""
        if row is None:
            path = existing(texts.get("file", ""))
            facts = facts_of(session, texts["file"])
            row = _same_picture(session, path)
        if row is not None:
            kept = replace(row, **_said(session, texts, row))
            session.save(kept, what=self.what(row), finished=draft)
            if not texts.get("kept"):
                session.say("This picture was in the notebook already: its entry was changed.")
            return
        stop = _stop_of(session, texts) or session.need_stop()
        has_place = facts.lat_deg is not None
        session.add_photo(
            path,
            draft,
            survey_id=stop.survey_id,
            time_utc=facts.time_utc or session.clock(),
            lat_deg=facts.lat_deg if has_place else stop.lat_deg,
            lon_deg=facts.lon_deg if has_place else stop.lon_deg,
            **{**_said(session, texts, None), "stop_id": stop.id},
        )


def _said(session: Session, texts: Texts, row: Photo | None) -> dict[str, Any]:
    """The fields of the row that the sheet tells; of one that is there what is empty stays."""
    towards = amount(texts, "direction")
    reference = texts.get("reference", "")
    stop = _stop_of(session, texts)
    said: dict[str, Any] = {
        "caption": texts.get("caption", "").strip(),
        "direction_deg": towards,
        "direction_reference": NorthReference(reference) if reference and towards is not None
        else None,
        "stop_id": stop.id if stop else None,
    }  # fmt: skip
    if row is None or texts.get("kept"):
        return said
    return {name: value for name, value in said.items() if value or value == 0.0}


def _stop_of(session: Session, texts: Texts) -> Stop | None:
    return session.notebook.get(Stop, texts["stop"]) if texts.get("stop") else None


def _same_picture(session: Session, path: Path) -> Photo | None:
    """The entry of a picture with the same bytes."""
    there = session.notebook.all(Photo, file=kept_name(path))
    return there[0] if there else None


_REFERENCE = Field(
    name="reference",
    label="Direction against",
    kind=Kind.CHOICE,
    choices=choices_of(NorthReference, {"magnetic": "Magnetic north", "true": "True north"}),
    on_path=False,
)


def choose_file(sheet: Any) -> None:
    """Open the list of picture files over the sheet; the one tapped is put in."""
    from surveyapp.ui.sheets.file_sheet import FileSheet

    def take(path: Path) -> None:
        sheet.put("file", str(path))
        sheet.move_to("caption")

    files = FileSheet(session=sheet.session, router=sheet.router, take=take)
    sheet.router.open(files)
