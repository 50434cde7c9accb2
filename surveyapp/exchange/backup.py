"""A whole notebook in one file: its database and its pictures, each proven by its hash."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from surveyapp.exchange.archive import Part, open_archive, pieces_of, write_archive
from surveyapp.exchange.bundle import PHOTOS
from surveyapp.exchange.bundle_reading import is_picture_name, unpack_pictures
from surveyapp.exchange.files import reading, refused

MARK = "survey backup"
DATABASE = "notebook.sqlite"
MOST_DATABASE_BYTES = 8 * 2**30


def write_backup(database: Path, pictures: Mapping[str, Path], path: Path) -> None:
    """Write a closed database file and its pictures. Raises NotebookError where the disk
    refuses."""
    write_archive(path, MARK, _parts(database, pictures))


def _parts(database: Path, pictures: Mapping[str, Path]) -> Iterator[Part]:
    yield Part(DATABASE, pieces_of(database), press=True)
    for name in sorted(pictures):
        yield Part(f"{PHOTOS}{name}", pieces_of(pictures[name]), press=False)


def unpack_backup(path: Path, workspace: Path) -> Path:
    """Unpack a backup into the folder `workspace`, as a notebook with its folder of pictures;
    where its database lies. Raises FormatError for a file that is none, or is damaged."""
    with (
        reading(path),
        open_archive(path, MARK, lambda name: name == DATABASE or is_picture_name(name)) as found,
    ):
        database = next((one for one in found.listed if one.name == DATABASE), None)
        if database is None or database.size > MOST_DATABASE_BYTES:
            raise refused(path, "holds no notebook that can be one", DATABASE)
        folder = workspace / f"{Path(DATABASE).stem}.photos"
        folder.mkdir()
        unpack_pictures(found, path, folder)
        return found.unpack(database, workspace / DATABASE)
