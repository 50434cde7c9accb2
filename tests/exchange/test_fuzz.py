"""Broken files by the thousand: every reader answers or refuses in one sentence.

`python -m tests.benchmarks.fuzz` does the same at length, and bounds time, memory and places.
"""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from surveyapp.errors import LONGEST, FormatError, InvalidValue, SurveyError
from surveyapp.exchange.backup import unpack_backup
from surveyapp.exchange.formats import read_survey
from surveyapp.geometry.position_text import parse_position
from tests.benchmarks import fuzz_seeds
from tests.benchmarks.fuzz_one import changed
from tests.benchmarks.fuzz_readers import TARGETS

CASES = 60


@pytest.mark.parametrize("name", TARGETS)
def test_a_broken_file_is_refused_in_one_sentence(tmp_path: Path, name: str) -> None:
    """Sixty sound files with one to eight changes each: nothing but a SurveyError comes out."""
    target = TARGETS[name]
    (tmp_path / "seeds").mkdir()
    cases = changed(target.seeds(tmp_path / "seeds"), random.Random(7))
    for number in range(CASES):
        folder = tmp_path / f"{number}"
        folder.mkdir()
        told = "answered"
        try:
            target.read(next(cases), folder)
        except SurveyError as error:
            told = str(error)

        assert len(told.splitlines()) == 1
        assert len(told) <= LONGEST


def test_a_database_that_quotes_what_is_no_text_is_refused(tmp_path: Path) -> None:
    """SQLite's complaint about a damaged schema holds the bytes at fault; Python once failed to
    read it as text, and the import ended with that error."""
    path = tmp_path / "a.gpkg"
    with closing(sqlite3.connect(path)) as made:
        made.execute("CREATE TABLE gpkg_contents (table_name TEXT, kind_of_data TEXT)")
    path.write_bytes(path.read_bytes().replace(b"kind_of_data", b"(\xff\xfe\xff) , )"))

    with pytest.raises(FormatError, match="is no GeoPackage that can be read"):
        read_survey(path, tmp_path)


def test_a_backup_whose_directory_points_before_its_begin_is_refused(tmp_path: Path) -> None:
    """The zip's place of its first file, made larger than the file, once ended restoring with an
    error of the system's own."""
    (whole,) = fuzz_seeds.backups(tmp_path)
    end = whole.rindex(b"PK\x05\x06")
    size = int.from_bytes(whole[end + 12 : end + 16], "little")
    path = tmp_path / "a.backup.zip"
    torn = bytearray(whole)
    torn[end + 16 : end + 20] = (end - size + 40).to_bytes(4, "little")
    path.write_bytes(torn)

    with pytest.raises(FormatError):
        unpack_backup(path, tmp_path)


def test_a_refusal_is_one_line_whatever_it_quotes() -> None:
    """A position pasted with line ends once gave a message of several lines, a damaged zip one
    of 7,848 characters."""
    with pytest.raises(InvalidValue) as caught:
        parse_position("here\r\nand\u2028there\x0b, 5")

    assert len(str(caught.value).splitlines()) == 1
    told = str(SurveyError("The file " + "x" * 9000 + " is broken: fetch it again."))
    assert len(told) <= LONGEST
    assert told.startswith("The file xxx")
    assert told.endswith("is broken: fetch it again.")
