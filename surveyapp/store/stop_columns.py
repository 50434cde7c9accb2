"""Of thousands of stops only what a drawing needs: where each is, and how strong it was there.

Whole rows of 50,000 stops take ten times as long; those that are told of one by one are read
by their id.
"""

from __future__ import annotations

from typing import cast

from surveyapp.store.connection import Connection

LOW_DBM, HIGH_DBM = -156.0, -31.0  # what a phone can report: TS 38.133 clause 10.1.6

_PLACES = """
SELECT id, lat_deg, lon_deg FROM stop
WHERE survey_id = ? AND deleted_utc IS NULL AND lat_deg IS NOT NULL AND lon_deg IS NOT NULL
ORDER BY number, rowid
"""
_LEVELS = f"""
SELECT reading.stop_id, (
    SELECT carrier.rsrp_dbm FROM reading_carrier AS carrier
    WHERE carrier.reading_id = reading.id AND carrier.role <> 'anchor'
        AND carrier.rsrp_dbm BETWEEN {LOW_DBM} AND {HIGH_DBM}
    ORDER BY carrier.rat <> 'NR', carrier.place LIMIT 1
)
FROM stop JOIN reading ON reading.stop_id = stop.id
WHERE stop.survey_id = ? AND stop.deleted_utc IS NULL AND reading.deleted_utc IS NULL
"""


PAIRED_SURVEYS = 40
"""From so many of the newest surveys pairs of phones are looked for, our choice: what a phone
shows too much changes with its software, and a notebook kept for years must not be read whole."""

_PAIRED = """
SELECT reading.stop_id, count(*) || ' ' || max(reading.changed_utc) FROM reading
WHERE reading.deleted_utc IS NULL AND reading.stop_id IN (
    SELECT stop.id FROM stop WHERE stop.deleted_utc IS NULL AND stop.survey_id IN (
        SELECT id FROM survey WHERE deleted_utc IS NULL
        ORDER BY created_utc DESC, rowid DESC LIMIT ?
    )
)
GROUP BY reading.stop_id HAVING count(DISTINCT reading.device_id) > 1
"""


def paired_stops(connection: Connection) -> dict[str, str]:
    """The ids of stops of the newest surveys where two phones or more were read, each with a
    stamp that is another one when its readings are others."""
    return dict(cast("list[tuple[str, str]]", connection.rows(_PAIRED, (PAIRED_SURVEYS,))))


def stop_places(connection: Connection, survey_id: str) -> list[tuple[str, float, float]]:
    """(id, lat_deg, lon_deg) of a survey's stops that have a position, in their order."""
    return cast("list[tuple[str, float, float]]", connection.rows(_PLACES, (survey_id,)))


def stop_levels(connection: Connection, survey_id: str) -> list[tuple[str, float]]:
    """(stop's id, RSRP in dBm) of each reading of a survey that tells one a phone can report.

    A reading is told by its 5G carrier where that has a level, else by its first; an anchor's
    level tells of another cell and is passed over.
    """
    return [
        (row[0], row[1]) for row in connection.rows(_LEVELS, (survey_id,)) if row[1] is not None
    ]
