"""MCS and CQI tables of TS 38.214."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue
from surveyapp.radio.modulation import (
    Modulation,
    cqi_rows,
    mcs_rows,
    modulation,
    table_for,
)
from surveyapp.radio.tables import source

# TS 38.214 tables 5.1.3.1-1 and -2, rows where the modulation changes, typed apart
TURNS = {
    (1, 0): ("QPSK", 120, 0.2344),
    (1, 9): ("QPSK", 679, 1.3262),
    (1, 10): ("16QAM", 340, 1.3281),
    (1, 16): ("16QAM", 658, 2.5703),
    (1, 17): ("64QAM", 438, 2.5664),
    (1, 28): ("64QAM", 948, 5.5547),
    (2, 5): ("16QAM", 378, 1.4766),
    (2, 11): ("64QAM", 466, 2.7305),
    (2, 20): ("256QAM", 682.5, 5.3320),
    (2, 27): ("256QAM", 948, 7.4063),
}
# TS 38.214 table 5.2.2.1-2
CQI_1 = [0.1523, 0.2344, 0.3770, 0.6016, 0.8770, 1.1758, 1.4766, 1.9141, 2.4063, 2.7305, 3.3223,
         3.9023, 4.5234, 5.1152, 5.5547]  # fmt: skip


@pytest.mark.parametrize(("place", "row"), TURNS.items())
def test_mcs_rows_are_those_of_the_standard(
    place: tuple[int, int], row: tuple[str, float, float]
) -> None:
    """The rows on both sides of each change of modulation, and the ends."""
    table, index = place
    found = mcs_rows(table)[index]

    assert (found.modulation, found.rate_x1024, found.efficiency) == row


def test_the_tables_have_their_published_lengths_and_name_their_edition() -> None:
    """29, 28 and 29 MCS rows, 15 CQI rows each."""
    assert [len(mcs_rows(table)) for table in (1, 2, 3)] == [29, 28, 29]
    assert [len(cqi_rows(table)) for table in (1, 2, 3)] == [15, 15, 15]
    assert "TS 38.214" in source("nr_mcs")
    assert "5.2.2.1-2" in source("nr_cqi")


def test_each_efficiency_is_its_bits_times_its_code_rate() -> None:
    """131 rows hold together to the printed four decimals."""
    rows = [row for table in (1, 2, 3) for row in (*mcs_rows(table), *cqi_rows(table))]

    assert len(rows) == 131
    for row in rows:
        assert row.efficiency == pytest.approx(
            row.modulation.bits * row.rate_x1024 / 1024, abs=6e-5
        ), row


def test_the_first_cqi_table_is_the_published_one() -> None:
    """All fifteen efficiencies; the second table ends as published."""
    assert [row.efficiency for row in cqi_rows(1)] == CQI_1
    assert [row.efficiency for row in cqi_rows(2)][-4:] == [5.5547, 6.2266, 6.9141, 7.4063]


def test_every_cqi_row_is_also_an_mcs_row() -> None:
    """Except the very lowest ones, a link can send exactly what a CQI asks for."""
    for table in (1, 2, 3):
        sendable = {(row.modulation, row.rate_x1024) for row in mcs_rows(table)}
        missing = [
            row.index for row in cqi_rows(table) if (row.modulation, row.rate_x1024) not in sendable
        ]

        assert missing == ([1] if table < 3 else [])


def test_a_table_without_the_modulation_is_refused_with_what_it_has() -> None:
    """256QAM lives on table 2 only."""
    assert table_for(Modulation.QAM256) == 2
    assert table_for(Modulation.QAM64) == 1
    with pytest.raises(InvalidValue, match="MCS table 1 has no 256QAM: take QPSK, 16QAM, 64QAM"):
        table_for(Modulation.QAM256, 1)
    with pytest.raises(InvalidValue, match="no table 5"):
        mcs_rows(5)


def test_modulations_are_read_as_people_write_them() -> None:
    """Small letters and a hyphen are fine, an unknown one names the known."""
    assert modulation("64-qam") is Modulation.QAM64
    assert modulation(" qpsk") is Modulation.QPSK
    with pytest.raises(InvalidValue, match="QPSK, 16QAM, 64QAM, 256QAM"):
        modulation("512QAM")
