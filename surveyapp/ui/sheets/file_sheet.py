"""The list of files: folders to open, files of the wanted kinds to take."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty

from surveyapp.ui.file_listing import PICTURES, first_folder, listing
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.widgets.rows import EmptyState, ListRow

OF_PHONE, WHERE = "Pick on the phone", "Downloads, pictures, memory card"
LAST_FOLDER = "last_folder"


class FileSheet(Sheet):
    """Shows one folder at a time; `take(path)` is called with the file tapped."""

    folder = StringProperty("")
    kinds = ListProperty(PICTURES)
    file_icon = StringProperty("photo")
    nothing = StringProperty("No pictures in this folder.")
    take: Callable[[Path], None] = ObjectProperty()

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("title", "Choose a picture")
        super().__init__(**kwargs)
        kept = self.session.notebook.setting(LAST_FOLDER, "")
        self.folder = str(first_folder(kept))

    def on_folder(self, *_: Any) -> None:
        """List the folder."""
        rows = self.ids.rows
        rows.clear_widgets()
        if self.session.senses.there:
            row = ListRow(icon="device", text=OF_PHONE, detail=WHERE)
            row.bind(on_release=lambda *_: self.of_phone())
            rows.add_widget(row)
        folders, files = listing(Path(self.folder), tuple(self.kinds))
        for icon, paths in (("folder", folders), (self.file_icon, files)):
            for path in paths:
                row = ListRow(icon=icon, text=path.name)
                row.bind(on_release=lambda _row, path=path: self.open(path))
                rows.add_widget(row)
        if not folders and not files:
            rows.add_widget(EmptyState(title="Nothing here", text=self.nothing))

    def open(self, path: Path) -> None:
        """Go into a folder, or take a file."""
        if path.is_dir():
            self.folder = str(path)
            return
        self.session.notebook.keep_setting(LAST_FOLDER, self.folder)
        self.close()
        self.take(path)

    def of_phone(self) -> None:
        """Pick it in the phone's own list, which sees more than this one."""

        def take(path: Path) -> None:
            if self in self.router.sheets:
                self.close()
            self.take(path)

        self.session.senses.take_file(take)

    def up(self) -> None:
        """To the folder around this one."""
        self.folder = str(Path(self.folder).parent)


load_kv(__file__)
