"""What keeps a notebook: proving it whole, copying it while it is open, taking a copy back."""

from __future__ import annotations

from pathlib import Path

from surveyapp.store.checking import damages, picture_damages
from surveyapp.store.connection import Connection
from surveyapp.store.opening import new_file
from surveyapp.store.photos import PhotoFolder
from surveyapp.store.tables import Tables


class Keeping:
    """The part of a notebook that looks after its file and its pictures."""

    path: Path
    _connection: Connection
    _tables: Tables
    _photos: PhotoFolder

    def check(self) -> list[str]:
        """Every damage of the file and its pictures, one sentence each; empty when whole."""
        return [*self.check_file(), *self.check_pictures()]

    def check_file(self) -> list[str]:
        """Every damage of the file: its pages, references, rows, journal and ground."""
        return damages(self._connection, self._tables)

    def check_pictures(self) -> list[str]:
        """Every picture that is missing or whose bytes have changed."""
        return picture_damages(self._connection, self._photos)

    def backup_to(self, path: Path | str) -> None:
        """Copy the notebook as it stands now, with its pictures, while it stays open.

        The pictures go first to the copy's own folder, so a copy of that name is a whole one.
        Raises NotebookError where something is there already or the disk refuses.
        """
        target = Path(path)
        names = self._photos.names_in(self._connection)
        with new_file(target) as temporary:
            copied = PhotoFolder(photo_folder_of(target))
            if names:
                self._photos.copy_to(copied, names)
            self._connection.copy_to(temporary)
        copied.named(names)

    def snapshot_to(self, path: Path) -> dict[str, Path]:
        """Copy the file alone, and tell where the pictures lie that it names, by their names.

        A picture that is missing is left out. Raises what `backup_to` raises.
        """
        with new_file(path) as temporary:
            self._connection.copy_to(temporary)
        names = self._photos.names_in(self._connection)
        return {name: self._photos.folder / name for name in names if self._photos.has(name)}

    def take_content_of(self, other: Keeping) -> None:
        """Become what another notebook is, at once or not at all; its pictures join these.

        The other is an unpacked backup that is used up by this. Other connections to this
        notebook see it with their next call; undo and redo are the other's. It goes on under
        a name of its own, so that a notebook that knows what was done here since can be merged.
        Raises NotebookError where the disk refuses or another program keeps the file.
        """
        other._connection.run("UPDATE notebook SET home = NULL")  # see Journal
        names = other._photos.names_in(other._connection)
        other._photos.copy_to(self._photos, names)
        other._connection.copy_over(self._connection)
        self._photos.named(names)


def photo_folder_of(path: Path) -> Path:
    """Where the pictures of the notebook at `path` lie."""
    return path.with_name(f"{path.stem}.photos")
