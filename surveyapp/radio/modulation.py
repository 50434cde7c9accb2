"""Modulations, and the MCS and CQI tables of 3GPP TS 38.214 (clauses 5.1.3.1 and 5.2.2.1).

The tables and their edition stand in `assets/data/nr_mcs.csv` and `nr_cqi.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from surveyapp.errors import InvalidValue
from surveyapp.radio.tables import rows

TABLES = (1, 2, 3)


class Modulation(StrEnum):
    """Modulation of a shared channel, as the standards write it."""

    QPSK = "QPSK"
    QAM16 = "16QAM"
    QAM64 = "64QAM"
    QAM256 = "256QAM"

    @property
    def bits(self) -> int:
        """Bits in one symbol, Qm."""
        return {"QPSK": 2, "16QAM": 4, "64QAM": 6, "256QAM": 8}[self.value]


@dataclass(frozen=True, slots=True)
class CodingRow:
    """One row of an MCS or CQI table; `efficiency` in bit/s/Hz on one layer."""

    table: int
    index: int
    modulation: Modulation
    rate_x1024: float
    efficiency: float


def modulation(text: str) -> Modulation:
    """The modulation of this name ('64QAM', '64-qam', 'QPSK'), else InvalidValue."""
    wanted = text.strip().upper().replace("-", "").replace(" ", "")
    if wanted in set(Modulation):
        return Modulation(wanted)
    allowed = ", ".join(Modulation)
    raise InvalidValue(
        f"There is no modulation '{text.strip()}' here: take {allowed}.",
        value=text,
        allowed=allowed,
    )


def mcs_rows(table: int) -> tuple[CodingRow, ...]:
    """Rows of MCS table 1, 2 or 3 by rising index; reserved rows are left out."""
    return _table("nr_mcs", table)


def cqi_rows(table: int) -> tuple[CodingRow, ...]:
    """Rows of CQI table 1, 2 or 3 by rising index; index 0, 'out of range', is left out."""
    return _table("nr_cqi", table)


def table_for(highest: Modulation, table: int | None = None) -> int:
    """The table used for a link whose highest modulation this is: 2 with 256QAM, else 1.

    A `table` given by hand is checked: raises InvalidValue when it has no such modulation.
    """
    if table is None:
        return 2 if highest is Modulation.QAM256 else 1
    held = {row.modulation for row in mcs_rows(table)}
    if highest not in held:
        allowed = ", ".join(kind for kind in Modulation if kind in held)
        raise InvalidValue(
            f"MCS table {table} has no {highest}: take {allowed}, or table 2 for 256QAM.",
            value=highest,
            allowed=allowed,
        )
    return table


@cache
def link_rows(highest: Modulation, table: int | None = None) -> tuple[CodingRow, ...]:
    """The CQI rows of a link whose highest modulation this is, by rising efficiency.

    From the table used with it (see `table_for`); the last row is the link's peak.
    """
    rows_of_table = cqi_rows(table_for(highest, table))
    return tuple(row for row in rows_of_table if row.modulation.bits <= highest.bits)


@cache
def _table(name: str, table: int) -> tuple[CodingRow, ...]:
    """Rows of one shipped table with this number."""
    if table not in TABLES:
        raise InvalidValue(
            f"There is no table {table}: take 1, 2 or 3.", value=table, allowed="1, 2, 3"
        )
    return tuple(
        CodingRow(
            table,
            int(row["index"]),
            Modulation(row["modulation"]),
            float(row["rate_x1024"]),
            float(row["efficiency"]),
        )
        for row in rows(name)
        if int(row["table"]) == table
    )
