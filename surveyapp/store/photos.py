"""Pictures, kept beside the notebook under the SHA-256 of their bytes.

A picture is written under a temporary name, flushed, renamed, and its folder flushed, before
any row names it. Until one does, an empty file beside it says that it waits for its row: where
the program was killed in between, a later opening removes both.
"""

from __future__ import annotations

import hashlib
import io
import re
import warnings
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from surveyapp.errors import FormatError, NotebookError
from surveyapp.store.connection import Connection
from surveyapp.store.disk import flush_folder, sweep, write_whole

LARGEST_BYTES = 100 * 2**20
"""A picture file larger than this is refused unread."""

LARGEST_PIXELS = 120_000_000
"""A picture that claims more pixels is refused undecoded: a decoder's memory follows the claim."""

_SUFFIXES = {"JPEG": ".jpg", "MPO": ".jpg", "PNG": ".png"}  # MPO: JPEG with a second picture
_NAME = re.compile(r"[0-9a-f]{64}\.[a-z]{3,4}")
_WAITS = ".waits-for-row-"


def is_picture_name(name: object) -> bool:
    """Whether a photo may name this file: anything else could lead out of the folder."""
    return isinstance(name, str) and _NAME.fullmatch(name) is not None


class PhotoFolder:
    """The pictures of one notebook."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, source: Path | bytes) -> str:
        """Keep a picture and return its file's name; the same bytes are kept once. Once its row
        is saved, call `named`.

        Raises FormatError where it is no whole JPEG or PNG picture of at most
        LARGEST_BYTES and LARGEST_PIXELS, NotebookError where it cannot be written.
        """
        content, said = _content_of(source)
        name = hashlib.sha256(content).hexdigest() + _suffix_of(content, said)
        target = self.folder / name
        if _holds(target, content):
            return name
        try:
            self.folder.mkdir(exist_ok=True)
            self._waiting(name).touch()
            write_whole(target, content)
            flush_folder(self.folder.parent)
        except OSError as error:
            self.named([name])  # nothing waits
            raise NotebookError(
                f"The picture could not be written to {self.folder}: {error.strerror}. "
                "Make room or choose another place, then try again.",
                path=str(self.folder),
            ) from error
        return name

    def has(self, name: str) -> bool:
        """Whether the folder holds a picture of this name."""
        return (self.folder / name).is_file()

    def named(self, names: Iterable[str]) -> None:
        """Rows now name these pictures: they stay."""
        for name in names:
            with suppress(OSError):
                self._waiting(name).unlink()

    def settle(self, connection: Connection, names: Iterable[str]) -> None:
        """Those of these pictures that a row names stay."""
        named = "SELECT 1 FROM photo WHERE file = ?"
        self.named([name for name in names if connection.one(named, (name,))])

    def sweep(self, connection: Connection) -> None:
        """Remove what a killed program left: files under way, and pictures still without the row
        they were kept for; what cannot be removed stays."""
        if not self.folder.is_dir():
            return
        sweep(self.folder)
        waiting = [path.name.removeprefix(_WAITS) for path in self.folder.glob(f"{_WAITS}*")]
        self.settle(connection, waiting)
        for path in sweep(self.folder, _WAITS):
            with suppress(OSError):
                (self.folder / path.name.removeprefix(_WAITS)).unlink()

    def _waiting(self, name: str) -> Path:
        return self.folder / f"{_WAITS}{name}"

    @staticmethod
    def names_in(connection: Connection) -> list[str]:
        """The pictures that rows name, deleted rows too: undo may bring them back. A name that
        another program put there and that leads elsewhere is none."""
        found = connection.rows("SELECT DISTINCT file FROM photo ORDER BY file")
        return [str(name) for (name,) in found if is_picture_name(name)]

    def copy_to(self, other: PhotoFolder, names: Iterable[str]) -> None:
        """Copy pictures into another folder, each whole or not at all; missing ones are passed.
        Once rows name them there, call that folder's `named`.

        Raises OSError where the disk refuses.
        """
        other.folder.mkdir(exist_ok=True)
        for name in names:
            source, target = self.folder / name, other.folder / name
            if source.is_file() and not target.exists():
                other._waiting(name).touch()
                write_whole(target, source.read_bytes())

    def damage(self, name: str) -> str | None:
        """What is wrong with a kept picture, as a sentence, or None."""
        path = self.folder / name
        try:
            with open(path, "rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError:
            return f"The picture {name} is missing from {self.folder}."
        if found != name.partition(".")[0]:
            return f"The picture {name} in {self.folder} is damaged: its bytes have changed."
        return None


def _holds(path: Path, content: bytes) -> bool:
    """Whether the file is there with exactly this content (a damaged one is written anew)."""
    try:
        return path.stat().st_size == len(content) and path.read_bytes() == content
    except OSError:
        return False


def _content_of(source: Path | bytes) -> tuple[bytes, str]:
    """The bytes of a picture and how to call it."""
    if isinstance(source, bytes):
        content, said = source, "The picture"
    else:
        said = f"The picture {source}"
        try:
            with open(source, "rb") as file:
                content = file.read(LARGEST_BYTES + 1)
        except OSError as error:
            raise FormatError(
                f"{said} cannot be read: {error.strerror}.", path=str(source)
            ) from error
    if len(content) > LARGEST_BYTES:
        raise FormatError(
            f"{said} is larger than {LARGEST_BYTES // 2**20} MB: choose a smaller copy.",
            path="" if isinstance(source, bytes) else str(source),
        )
    return content, said


def _suffix_of(content: bytes, said: str) -> str:
    """The suffix of a readable picture, which is read to its end: JPEG decoded at an eighth of
    its size, PNG by its checksums."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as image:
                if image.width * image.height > LARGEST_PIXELS:
                    raise Image.DecompressionBombError
                suffix = _SUFFIXES[image.format or ""]
                if suffix == ".png":
                    image.verify()  # every chunk's checksum, to the last one
                else:
                    image.draft("RGB", (image.width // 8, image.height // 8))
                    image.load()
    except Image.DecompressionBombError:
        raise FormatError(
            f"{said} has more than {LARGEST_PIXELS // 1_000_000} million pixels: "
            "choose a smaller copy."
        ) from None
    except UnidentifiedImageError:
        raise FormatError(f"{said} is no JPEG or PNG: save it as one of these.") from None
    except Exception as error:  # Pillow's decoders raise all sorts on torn or hostile bytes
        raise FormatError(f"{said} is damaged and cannot be read: choose another copy.") from error
    return suffix
