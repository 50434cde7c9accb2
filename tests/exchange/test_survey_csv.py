"""The table: safe in a spreadsheet, forgiving about marks, exact about what is wrong."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import FormatError
from surveyapp.exchange.content import Content
from surveyapp.exchange.survey_csv import (
    RUN_AS_FORMULA,
    columns,
    guarded,
    read_survey_csv,
    unguarded,
    write_survey_csv,
)
from surveyapp.model import Remark, Site
from tests.store.one_of_each import ROWS


def test_no_cell_can_run_as_a_formula(tmp_path: Path) -> None:
    """A text that begins like a formula gets an apostrophe (OWASP, CSV injection), a number not."""
    remark = next(row for row in ROWS if isinstance(row, Remark))
    texts = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "'=1", "fine - really"]
    rows = [replace(remark, id=f"r{n}", text=text) for n, text in enumerate(texts)]
    path = tmp_path / "t.csv"
    write_survey_csv(Content(rows=[*ROWS, *rows]), path)
    with open(path, newline="", encoding="utf-8") as file:
        cells = [(name, cell) for line in csv.DictReader(file) for name, cell in line.items()]

    assert not [
        cell
        for name, cell in cells
        if cell.startswith(RUN_AS_FORMULA) and not name.endswith(("_dbm", "_db", "_deg"))
    ]
    brought = {row.id: row for row in read_survey_csv(path, tmp_path).rows}
    assert [brought[row.id] for row in rows] == rows


@given(st.text(alphabet="'=+-@a\t", max_size=6))
def test_guarding_a_text_can_always_be_undone(text: str) -> None:
    """Whatever apostrophes a text has of its own, it comes back."""
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(RUN_AS_FORMULA)


def test_lines_end_as_rfc_4180_says(tmp_path: Path) -> None:
    """CRLF ends each line, and every line has as many cells as the head."""
    write_survey_csv(Content(rows=ROWS), tmp_path / "t.csv")
    text = (tmp_path / "t.csv").read_bytes()

    assert text.count(b"\n") == text.count(b"\r\n")
    with open(tmp_path / "t.csv", newline="", encoding="utf-8") as file:
        assert {len(line) for line in csv.reader(file)} == {len(columns())}


def test_each_number_column_names_its_unit() -> None:
    """Columns of quantities end in a unit; counts, numbers and codes have none."""
    bare = {"number", "pci", "carrier_channel", "carrier_count", "carrier_pci"}
    units = ("_deg", "_m", "_dbm", "_db", "_mhz", "_mbps", "_ms", "_pct", "_utc", "_mm_h")
    quantities = [name for name in columns() if name.endswith(units)]

    assert len(quantities) > 30
    assert bare <= set(columns())


def test_semicolons_and_decimal_commas_are_read(tmp_path: Path) -> None:
    """A table saved by a spreadsheet of another language reads the same."""
    path = tmp_path / "t.csv"
    path.write_text(
        "\ufeffrow;id;name;lat_deg;lon_deg;height_m\nsite;s1;Mole;60,17;24,94;7.5\n",
        encoding="utf-8",
    )
    site = read_survey_csv(path, tmp_path).rows[0]

    assert isinstance(site, Site)
    assert (site.lat_deg, site.lon_deg, site.height_m) == (60.17, 24.94, 7.5)


def test_each_bad_line_is_told_and_the_good_ones_read(tmp_path: Path) -> None:
    """Three bad lines are three troubles, each with its line and its reason."""
    path = tmp_path / "t.csv"
    path.write_text(
        "row,id,name,lat_deg\nsite,a,Good,60\nsite,b,Bad,north\ncastle,c,Odd,1\n"
        "site,d,Thousands,1.000,5\nsurvey,e,,\n",
        encoding="utf-8",
    )
    brought = read_survey_csv(path, tmp_path)

    assert [row.id for row in brought.rows] == ["a", "d"]
    assert [str(trouble) for trouble in brought.troubles] == [
        "line 3: lat_deg must be a number, not 'north'",
        "line 4: 'castle' is no kind of row",
        "line 6: title is missing",
    ]


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", 'row,id\n"torn\n', "\xff"])
def test_what_is_no_table_of_a_survey_is_refused(text: str, tmp_path: Path) -> None:
    """Another table, a torn one and other bytes end in a sentence."""
    path = tmp_path / "t.csv"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(FormatError):
        read_survey_csv(path, tmp_path)
