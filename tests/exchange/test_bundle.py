"""Our bundle: lossless, proven by hashes, and safe to open wherever it comes from."""

from __future__ import annotations

import hashlib
import json
import stat
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.bundle import write_bundle
from surveyapp.exchange.bundle_reading import read_bundle
from surveyapp.model import Photo
from tests.exchange.survey_contents import one_of_each

ROW = b'{"id":"s","title":"t"}\n'
A_FEW_MEGABYTES = 12 * 2**20


def listed(name: str, content: bytes) -> dict[str, object]:
    """A file's line of the manifest."""
    return {"name": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}


@pytest.fixture
def made(tmp_path: Path) -> Callable[..., Path]:
    """Makes a zip of some files with a manifest that lists them, or the one given."""

    def make(
        files: dict[str, bytes], manifest: object = None, mode: int = 0o100644, flags: int = 0
    ) -> Path:
        path = tmp_path / "made.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in files.items():
                entry = zipfile.ZipInfo(name)
                entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
                entry.external_attr = mode << 16
                archive.writestr(entry, content)
            told = manifest or {
                "bundle": "survey bundle", "version": 1,
                "files": [listed(name, content) for name, content in files.items()],
            }  # fmt: skip
            archive.writestr("manifest.json", json.dumps(told))
        return path

    return make


def test_pictures_come_back_byte_for_byte(tmp_path: Path) -> None:
    """The picture unpacked is the picture packed, under the name its photo gives."""
    content = one_of_each(tmp_path)
    write_bundle(content, tmp_path / "b.zip")
    workspace = tmp_path / "out"
    workspace.mkdir()
    brought = read_bundle(tmp_path / "b.zip", workspace)
    (name, source), *_ = content.pictures.items()

    assert [path.name for path in brought.pictures] == [name]
    assert brought.pictures[0].read_bytes() == source.read_bytes()
    assert [row.file for row in brought.rows if isinstance(row, Photo)] == [name]


def test_python_and_unzip_find_the_archive_whole(tmp_path: Path) -> None:
    """zipfile's own test reads every entry against its checksum."""
    write_bundle(one_of_each(tmp_path), tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        assert archive.testzip() is None


@pytest.mark.parametrize(
    "name",
    [
        "../rows/survey.jsonl", "/rows/survey.jsonl", "rows/../../evil.jsonl", "rows/evil.jsonl",
        "photos/evil.jpg", f"photos/{'ab' * 32}.svg", f"photos/../{'ab' * 32}.jpg",
        "rows\\survey.jsonl", "C:rows/survey.jsonl", "rows/survey.jsonl/", "note.txt",
    ],
)  # fmt: skip
def test_names_that_lead_elsewhere_are_refused(
    name: str, made: Callable[..., Path], tmp_path: Path
) -> None:
    """No name but the few a bundle has is accepted, so nothing lands outside the workspace."""
    before = sorted(tmp_path.parent.rglob("*evil*"))
    with pytest.raises(FormatError, match="no part of a survey bundle"):
        read_bundle(made({name: ROW}), tmp_path)

    assert sorted(tmp_path.parent.rglob("*evil*")) == before


def test_links_are_refused(made: Callable[..., Path], tmp_path: Path) -> None:
    """An entry that would unpack as a symbolic link is refused by its mode."""
    with pytest.raises(FormatError, match="link or device"):
        read_bundle(
            made({"rows/survey.jsonl": b"/etc/passwd"}, mode=stat.S_IFLNK | 0o777), tmp_path
        )


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({"rows/survey.jsonl": b"\0" * 300_000_000}, "too long to be a row"),
        ({f"photos/{'ab' * 32}.jpg": b"\0" * 110_000_000}, "cannot be one"),
    ],
)
def test_bombs_are_given_up_in_bounded_memory(
    files: dict[str, bytes],
    words: str,
    made: Callable[..., Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Hundreds of megabytes of zeros, honestly listed, never stand in memory, even where the
    archive as a whole may unpack to that many."""
    monkeypatch.setattr("surveyapp.exchange.archive.MOST_PRESSED", 10_000)
    path = made(files)
    files.clear()
    tracemalloc.start()
    with pytest.raises(FormatError, match=words):
        read_bundle(path, tmp_path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert peak < A_FEW_MEGABYTES


def test_more_bytes_than_listed_are_given_up(made: Callable[..., Path], tmp_path: Path) -> None:
    """A file that unpacks to more than its manifest says is damaged, and is not read on."""
    told = {"bundle": "survey bundle", "version": 1,
            "files": [listed("rows/survey.jsonl", ROW)]}  # fmt: skip
    with pytest.raises(FormatError, match="not what its manifest says"):
        read_bundle(made({"rows/survey.jsonl": ROW * 1000}, told), tmp_path)


def test_changed_bytes_are_found(made: Callable[..., Path], tmp_path: Path) -> None:
    """One letter changed in a row is damage, by its hash."""
    told = {"bundle": "survey bundle", "version": 1,
            "files": [listed("rows/survey.jsonl", ROW)]}  # fmt: skip
    with pytest.raises(FormatError, match="damaged"):
        read_bundle(made({"rows/survey.jsonl": ROW.replace(b't"', b'u"')}, told), tmp_path)


@pytest.mark.parametrize(
    ("manifest", "words"),
    [
        ({"bundle": "survey bundle", "version": 2, "files": []}, "newer version"),
        ({"bundle": "something else", "version": 1, "files": []}, "something else"),
        ({"bundle": "survey bundle", "version": 1, "files": [{"name": 1}]}, "cannot be read"),
        ({"bundle": "survey bundle", "version": 1, "files": []}, "tells of other files"),
        ([1, 2], "cannot be read"),
    ],
)
def test_manifests_that_do_not_fit_are_refused(
    manifest: object, words: str, made: Callable[..., Path], tmp_path: Path
) -> None:
    """A manifest of another kind, or of other files, ends in a sentence."""
    with pytest.raises(FormatError, match=words):
        read_bundle(made({"rows/survey.jsonl": ROW}, manifest), tmp_path)


def test_bad_rows_are_told_with_their_line(made: Callable[..., Path], tmp_path: Path) -> None:
    """The good rows of a bundle are read, and each bad one is listed by file and line."""
    lines = ROW + b'{"id":"x"}\nnot json\n[]\n' + ROW.replace(b'"s"', b'"z"')
    brought = read_bundle(made({"rows/survey.jsonl": lines}), tmp_path)

    assert [row.id for row in brought.rows] == ["s", "z"]
    assert [trouble.place for trouble in brought.troubles] == [
        f"rows/survey.jsonl, line {line}" for line in (2, 3, 4)
    ]


def test_a_torn_bundle_is_refused(tmp_path: Path) -> None:
    """Cut anywhere, a bundle is refused and nothing of it is believed."""
    write_bundle(one_of_each(tmp_path), tmp_path / "b.zip")
    whole = (tmp_path / "b.zip").read_bytes()
    for length in range(0, len(whole), max(1, len(whole) // 40)):
        (tmp_path / "torn.zip").write_bytes(whole[:length])
        with pytest.raises(FormatError):
            read_bundle(tmp_path / "torn.zip", tmp_path)
