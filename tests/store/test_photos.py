"""Pictures beside the notebook."""

from __future__ import annotations

import hashlib
import os
import struct
import time
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from surveyapp.errors import FormatError, InvalidValue, NotebookError
from surveyapp.model import Photo, Stop, Survey
from surveyapp.store import Notebook

Picture = Callable[..., bytes]


def files_of(notebook: Notebook) -> list[str]:
    """The names in the photo folder; none where there is no folder."""
    if not notebook.photo_folder.exists():
        return []
    return sorted(path.name for path in notebook.photo_folder.iterdir())


@pytest.mark.parametrize(("kind", "suffix"), [("JPEG", ".jpg"), ("PNG", ".png")])
def test_a_picture_is_kept_under_the_hash_of_its_bytes(
    kind: str, suffix: str, notebook: Notebook, stop: Stop, picture: Picture
) -> None:
    """The file holds exactly the bytes given, and its row says where and when."""
    content = picture(kind=kind)
    photo = notebook.add_photo(
        content, survey_id=stop.survey_id, stop_id=stop.id, caption="lamp post"
    )

    assert photo.file == hashlib.sha256(content).hexdigest() + suffix
    assert (notebook.photo_folder / photo.file).read_bytes() == content
    assert notebook.get(Photo, photo.id) == photo
    assert files_of(notebook) == [photo.file]


def test_the_same_picture_twice_is_one_file(
    notebook: Notebook, survey: Survey, picture: Picture, tmp_path: Path
) -> None:
    """Two rows may name it; a file as source is left as it was."""
    source = tmp_path / "taken.jpeg"
    source.write_bytes(picture())
    first = notebook.add_photo(source, survey_id=survey.id)
    second = notebook.add_photo(picture(), survey_id=survey.id)

    assert first.file == second.file
    assert files_of(notebook) == [first.file]
    assert source.read_bytes() == picture()


def test_a_kept_picture_that_was_damaged_is_mended_by_its_source(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """Bringing the good bytes in again writes them again."""
    photo = notebook.add_photo(picture(), survey_id=survey.id)
    (notebook.photo_folder / photo.file).write_bytes(picture()[:-9])
    damaged = notebook.check()
    notebook.add_photo(picture(), survey_id=survey.id)

    assert len(damaged) == 1
    assert "bytes have changed" in damaged[0]
    assert notebook.check() == []


def huge_png(width: int, height: int) -> bytes:
    """A PNG of some bytes that claims a size (PNG, W3C Recommendation 2003, section 11.2.2)."""

    def chunk(kind: bytes, held: bytes) -> bytes:
        return struct.pack(">I", len(held)) + kind + held + struct.pack(
            ">I", zlib.crc32(kind + held)
        )  # fmt: skip

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"0"))
        + chunk(b"IEND", b"")
    )  # fmt: skip


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda jpeg, png: b"", "no JPEG or PNG"),
        (lambda jpeg, png: b"plain text", "no JPEG or PNG"),
        (lambda jpeg, png: jpeg[: len(jpeg) // 2], "damaged"),
        (lambda jpeg, png: png[: len(png) // 2], "damaged"),
        (lambda jpeg, png: png[:45] + b"\x00" + png[46:], "damaged"),
        (lambda jpeg, png: huge_png(60_000, 60_000), "million pixels"),
        (lambda jpeg, png: huge_png(12_000, 11_000), "million pixels"),
    ],
    ids=["empty", "text", "torn jpeg", "torn png", "flipped png", "bomb", "too large"],
)
def test_what_is_no_whole_picture_is_refused(
    spoil: Callable[[bytes, bytes], bytes],
    said: str,
    notebook: Notebook,
    survey: Survey,
    picture: Picture,
) -> None:
    """One sentence; neither file nor row is left."""
    noisy = picture(size=(400, 300))
    with pytest.raises(FormatError, match=said):
        notebook.add_photo(spoil(noisy, picture(kind="PNG")), survey_id=survey.id)

    assert files_of(notebook) == []
    assert notebook.count(Photo) == 0


def test_a_picture_without_its_survey_is_refused(notebook: Notebook, picture: Picture) -> None:
    """The survey must be given and must exist; a kept file that no row names does no harm."""
    with pytest.raises(InvalidValue, match="survey_id"):
        notebook.add_photo(picture())
    with pytest.raises(InvalidValue, match="not in the notebook"):
        notebook.add_photo(picture(), survey_id="nowhere")

    assert notebook.check() == []


def test_a_source_that_is_not_there_is_told(notebook: Notebook, tmp_path: Path) -> None:
    """A missing file is no traceback."""
    with pytest.raises(FormatError, match="cannot be read"):
        notebook.add_photo(tmp_path / "gone.jpg", survey_id="any")


def test_a_folder_that_takes_no_files_is_told(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """A file of the folder's name stands in the way: one sentence, no row."""
    notebook.photo_folder.write_bytes(b"in the way")
    with pytest.raises(NotebookError, match="could not be written"):
        notebook.add_photo(picture(), survey_id=survey.id)

    assert notebook.count(Photo) == 0


def test_abandoned_temporary_files_are_swept_on_opening(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """One left by a killed program goes; a young one may be another program's work."""
    photo = notebook.add_photo(picture(), survey_id=survey.id)
    old, young = (notebook.photo_folder / f".incoming-{age}" for age in ("old", "young"))
    old.write_bytes(b"half a pict")
    young.write_bytes(b"half a pict")
    os.utime(old, (0, 0))
    with Notebook.open(notebook.path) as other:
        assert other.check() == []

    assert files_of(notebook) == [young.name, photo.file]


def test_a_missing_picture_is_found_by_the_check(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """The sentence names the file."""
    photo = notebook.add_photo(picture(), survey_id=survey.id)
    (notebook.photo_folder / photo.file).unlink()

    assert notebook.check() == [f"The picture {photo.file} is missing from "
                                f"{notebook.photo_folder}."]  # fmt: skip


def abandoned(folder: Path) -> None:
    """Make everything in a folder two hours old."""
    for path in folder.iterdir():
        os.utime(path, (time.time() - 7200, time.time() - 7200))


def test_a_picture_whose_row_never_came_goes_at_a_later_opening(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """A program killed between a picture and its row left a file that no row named, for good.
    Not while it is young, for another program may be about to save its row."""
    kept = notebook.add_photo(picture(), survey_id=survey.id)
    lost = notebook._photos.keep(picture("red"))  # and here the program is killed
    notebook.close()
    with Notebook.open(notebook.path):
        assert lost in files_of(notebook)
    abandoned(notebook.photo_folder)
    with Notebook.open(notebook.path) as other:
        assert files_of(notebook) == [kept.file]
        assert other.check() == []


def test_a_picture_whose_row_was_saved_stays(
    notebook: Notebook, survey: Survey, picture: Picture
) -> None:
    """Killed right after its row was saved, or deleted, or brought there by hand: it stays."""
    named = notebook._photos.keep(picture())
    photo = notebook.save(Photo(survey_id=survey.id, file=named))[0]
    notebook.delete(photo)
    by_hand = notebook.photo_folder / f"{'0' * 64}.jpg"
    by_hand.write_bytes(b"not ours to judge")
    abandoned(notebook.photo_folder)
    with Notebook.open(notebook.path):
        assert sorted(files_of(notebook)) == sorted([named, by_hand.name])


def test_what_a_killed_program_left_beside_the_notebook_goes(notebook: Notebook) -> None:
    """A notebook half made or half copied once lay there for good."""
    left = [notebook.path.with_name(f".incoming-half{end}") for end in ("", "-wal")]
    for path in left:
        path.write_bytes(b"half a notebook")
        os.utime(path, (0, 0))
    with Notebook.open(notebook.path):
        assert not any(path.exists() for path in left)
