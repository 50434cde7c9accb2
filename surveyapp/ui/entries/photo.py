"""The photo sheet: a picture file, what it shows, and which way it was taken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from surveyapp.errors import NotFound
from surveyapp.model import NorthReference, Photo
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, amount, choices_of, plain
from surveyapp.ui.entries.sensed import TAKE_PICTURE, sensed, take_picture
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
            is_path=True, hint="Path of a JPEG, PNG or WebP file",
        )  # fmt: skip
        return (
            *(() if texts.get("kept") else (file,)),
            Field(name="caption", label="It shows", kind=Kind.TEXT),
            Field(
                name="direction", label="Taken towards", unit="°", decimals=1, low=0, high=359.9,
                suggestions=offered,
            ),
            _REFERENCE,
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """A compass reads against magnetic north."""
        return {"reference": NorthReference.MAGNETIC.value}

    def texts_of(self, session: Session, row: Photo) -> Texts:
        """The photo as it was entered."""
        return {
            "kept": row.file,
            "caption": row.caption,
            "direction": plain(row.direction_deg),
            "reference": (row.direction_reference or NorthReference.MAGNETIC).value,
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
        """Keep the picture beside the notebook and its row within it."""
        towards = amount(texts, "direction")
        reference = NorthReference(texts["reference"]) if towards is not None else None
        said = {
            "caption": texts.get("caption", "").strip(),
            "direction_deg": towards,
            "direction_reference": reference,
        }
        if row is not None:
            session.save(replace(row, **said), what=self.what(row), finished=draft)
            return
        stop = session.need_stop()
        session.add_photo(
            _existing(texts.get("file", "")),
            draft,
            survey_id=stop.survey_id,
            stop_id=stop.id,
            time_utc=session.clock(),
            lat_deg=stop.lat_deg,
            lon_deg=stop.lon_deg,
            **said,
        )


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


def _existing(text: str) -> Path:
    path = Path(text).expanduser()
    if not path.is_file():
        raise NotFound(f"There is no file {text}: choose a picture from the list.")
    return path
