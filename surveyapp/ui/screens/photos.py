"""Photos of a folder sorted in: each with its stop and the reason, kept by one touch."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.background import Background
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.photo_folder import (
    SUFFIXES,
    SortedPhoto,
    detail,
    keep_photos,
    new_stops,
    request,
    sorted_folder,
)
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.sheets.file_sheet import FileSheet
from surveyapp.ui.widgets import small_picture  # noqa: F401
from surveyapp.ui.words import counted

START = (
    "Choose one picture: all of its folder are looked at, and each is given the stop it was "
    "taken at, by its place and its time. Nothing is kept before you say so."
)
CHOOSE = Choice(value="choose", label="Choose a picture", icon="folder")


@dataclass(frozen=True)
class PhotoItem:
    """A picture's row: what is said of it, and the picture made small."""

    icon: str
    text: str
    detail: str
    row_id: str
    doubt: str
    small: Any


class PhotosPage(Page):
    """The pictures of one folder; a tap leaves one out or takes it in again."""

    sentence = StringProperty(START)
    items = ListProperty([])
    actions = ListProperty([CHOOSE])

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._sorter = Background(self.session.notebook, sorted_folder)
        self._sorter.done.bind(self._soon)
        self._asked = ""
        self._left_out: set[str] = set()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._sorter.rest()
        self._sorter.done.unbind(self._soon)
        super().rest()

    def refresh(self) -> None:
        """Show the folder as it was sorted."""
        found = self._sorter.of(self._asked) if self._asked else None
        if found is None:
            self.items, self.actions = [], [CHOOSE]
            self.sentence = self._sorter.problem or ("Looking at them." if self._asked else START)
            return
        self.items = [self._row(photo) for photo in found]
        taken = self._taken()
        loose, stops = new_stops(taken, self.session.survey.id, 1)
        self.sentence = (
            f"{counted(len(taken), 'photo')} of {len(found)} to keep; tap one to leave it out."
        )
        keep = Choice(value="keep", label=f"Keep {counted(len(taken), 'photo')}", icon="done")
        label = f"Keep, {counted(len(stops), 'new stop')} for {len(loose)}"
        made = Choice(value="stops", label=label, icon="stop")
        self.actions = [*[keep] * bool(taken), *[made] * bool(stops), CHOOSE]

    def _row(self, photo: SortedPhoto) -> PhotoItem:
        name = photo.path.name
        out = name in self._left_out or bool(photo.refused)
        words = detail(photo, self.session.survey)
        told = f"Left out · {words}" if name in self._left_out else words
        icon = "close" if out else "photo"
        return PhotoItem(icon, name, told, name, photo.refused or photo.doubt, photo.small)

    def _taken(self) -> list[SortedPhoto]:
        found = self._sorter.of(self._asked) or ()
        return [p for p in found if not p.refused and p.path.name not in self._left_out]

    def tap(self, item: PhotoItem) -> None:
        """Leave a picture out, or take it in again."""
        self._left_out ^= {item.row_id}
        self.refresh()

    def act(self, action: str) -> None:
        """Choose a folder, or keep what was sorted."""
        if action == CHOOSE.value:
            self.choose()
        else:
            self.session.attempt(lambda: self._keep(action == "stops"))

    def choose(self) -> None:
        """Choose a picture of the folder."""
        if self.session.survey is None:
            self.session.say("There is no survey to sort them into yet.")
            return
        files = FileSheet(
            session=self.session, router=self.router, take=self._look, kinds=list(SUFFIXES)
        )
        self.router.open(files)

    def _look(self, path: Path) -> None:
        self._left_out = set()
        self._asked = request(self.session.survey.id, path.parent)
        self._sorter.rest()
        self._sorter.ask(self._asked)
        self.refresh()

    def _keep(self, with_stops: bool) -> None:
        session = self.session
        what = keep_photos(session.notebook, session.survey, self._taken(), with_stops)
        self._asked = ""
        session.refresh()
        session.said.fire(f"Kept {what}.", True)
        Clock.schedule_once(lambda _: self.router.back())


load_kv(__file__)
