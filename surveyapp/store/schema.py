"""The tables of a notebook, as steps that are only ever added to.

A step that has shipped is never edited: files of that schema exist. A new step is a new
function at the end (and one more in identity.SCHEMA); sqlite-utils runs the pending ones in
order, each in one transaction together with its entry in the ledger.
"""

from __future__ import annotations

import uuid

from sqlite_utils import Database, Migrations

from surveyapp.store.identity import APPLICATION_ID

STEPS = Migrations("notebook")

ROWS_AND_JOURNAL = """
CREATE TABLE survey (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    title TEXT NOT NULL, time_zone TEXT NOT NULL, place_text TEXT NOT NULL, weather TEXT,
    rain_mm_h REAL, purpose TEXT NOT NULL, text TEXT NOT NULL
) STRICT;
CREATE TABLE site (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    name TEXT NOT NULL, operator TEXT NOT NULL, kind TEXT NOT NULL, status TEXT NOT NULL,
    lat_deg REAL, lon_deg REAL, position_sigma_m REAL, position_from TEXT, height_m REAL,
    text TEXT NOT NULL
) STRICT;
CREATE TABLE sector (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    site_id TEXT NOT NULL REFERENCES site DEFERRABLE INITIALLY DEFERRED,
    label TEXT NOT NULL, azimuth_deg REAL, azimuth_sigma_deg REAL, beamwidth_deg REAL,
    downtilt_deg REAL, height_m REAL, eirp_dbm REAL, pci INTEGER
) STRICT;
CREATE TABLE sector_carrier (
    sector_id TEXT NOT NULL REFERENCES sector DEFERRABLE INITIALLY DEFERRED,
    place INTEGER NOT NULL,
    rat TEXT NOT NULL, band TEXT NOT NULL, channel INTEGER, mhz REAL, bandwidth_mhz REAL,
    count INTEGER NOT NULL, pci INTEGER,
    PRIMARY KEY (sector_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE device (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    label TEXT NOT NULL, model TEXT NOT NULL, modem TEXT NOT NULL, system TEXT NOT NULL,
    operator TEXT NOT NULL, text TEXT NOT NULL
) STRICT;
CREATE TABLE stop (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    survey_id TEXT NOT NULL REFERENCES survey DEFERRABLE INITIALLY DEFERRED,
    number INTEGER NOT NULL, time_utc TEXT NOT NULL, lat_deg REAL, lon_deg REAL,
    position_sigma_m REAL, position_from TEXT, place_text TEXT NOT NULL
) STRICT;
CREATE TABLE sighting (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    stop_id TEXT NOT NULL REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    site_id TEXT NOT NULL REFERENCES site DEFERRABLE INITIALLY DEFERRED,
    sector_id TEXT REFERENCES sector DEFERRABLE INITIALLY DEFERRED,
    bearing_deg REAL, raw_bearing_deg REAL, raw_reference TEXT NOT NULL, declination_deg REAL,
    sigma_deg REAL, elevation_deg REAL, distance_m REAL, facing_deg REAL, view TEXT
) STRICT;
CREATE TABLE reading (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    stop_id TEXT NOT NULL REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    device_id TEXT NOT NULL REFERENCES device DEFERRABLE INITIALLY DEFERRED,
    time_utc TEXT NOT NULL, mode TEXT NOT NULL, source TEXT NOT NULL
) STRICT;
CREATE TABLE reading_carrier (
    reading_id TEXT NOT NULL REFERENCES reading DEFERRABLE INITIALLY DEFERRED,
    place INTEGER NOT NULL,
    role TEXT NOT NULL, rat TEXT NOT NULL, band TEXT NOT NULL, channel INTEGER, mhz REAL,
    bandwidth_mhz REAL, count INTEGER NOT NULL, pci INTEGER, rsrp_dbm REAL, rsrq_db REAL,
    sinr_db REAL,
    PRIMARY KEY (reading_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE speed_run (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    stop_id TEXT NOT NULL REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    device_id TEXT NOT NULL REFERENCES device DEFERRABLE INITIALLY DEFERRED,
    time_utc TEXT NOT NULL,
    reading_id TEXT REFERENCES reading DEFERRABLE INITIALLY DEFERRED,
    down_mbps REAL, up_mbps REAL, ping_ms REAL, jitter_ms REAL, loss_pct REAL,
    server_place TEXT NOT NULL, server_lat_deg REAL, server_lon_deg REAL, streams TEXT NOT NULL,
    together_with TEXT REFERENCES speed_run DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE photo (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    survey_id TEXT NOT NULL REFERENCES survey DEFERRABLE INITIALLY DEFERRED,
    stop_id TEXT REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    file TEXT NOT NULL, time_utc TEXT, lat_deg REAL, lon_deg REAL, direction_deg REAL,
    direction_reference TEXT, caption TEXT NOT NULL
) STRICT;
CREATE TABLE remark (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    stop_id TEXT NOT NULL REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    device_id TEXT REFERENCES device DEFERRABLE INITIALLY DEFERRED,
    time_utc TEXT NOT NULL, kind TEXT NOT NULL, text TEXT NOT NULL
) STRICT;
CREATE INDEX site_where ON site (lat_deg) WHERE lat_deg IS NOT NULL;
CREATE INDEX sector_of_site ON sector (site_id);
CREATE INDEX stop_of_survey ON stop (survey_id);
CREATE INDEX sighting_from_stop ON sighting (stop_id);
CREATE INDEX sighting_of_site ON sighting (site_id);
CREATE INDEX reading_at_stop ON reading (stop_id);
CREATE INDEX reading_by_device ON reading (device_id, time_utc);
CREATE INDEX speed_run_at_stop ON speed_run (stop_id);
CREATE INDEX speed_run_by_device ON speed_run (device_id, time_utc);
CREATE INDEX speed_run_of_reading ON speed_run (reading_id) WHERE reading_id IS NOT NULL;
CREATE INDEX photo_of_survey ON photo (survey_id);
CREATE INDEX photo_at_stop ON photo (stop_id) WHERE stop_id IS NOT NULL;
CREATE INDEX remark_at_stop ON remark (stop_id);
CREATE TABLE journal_action (
    number INTEGER PRIMARY KEY, action_id TEXT NOT NULL, when_utc TEXT NOT NULL,
    what TEXT NOT NULL, doing TEXT NOT NULL CHECK (doing IN ('done', 'undone', 'redone')),
    origin TEXT NOT NULL,
    answers INTEGER REFERENCES journal_action,
    undo_next INTEGER REFERENCES journal_action,
    redo_next INTEGER REFERENCES journal_action
) STRICT;
CREATE TABLE journal (
    number INTEGER PRIMARY KEY, action INTEGER NOT NULL REFERENCES journal_action,
    kind TEXT NOT NULL, row_id TEXT NOT NULL, before TEXT, after TEXT NOT NULL
) STRICT;
CREATE INDEX journal_of_action ON journal (action);
CREATE INDEX journal_of_row ON journal (row_id);
CREATE TABLE notebook (origin TEXT NOT NULL) STRICT;
CREATE TABLE setting (name TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE draft (
    sheet TEXT NOT NULL, stop_id TEXT NOT NULL, row_id TEXT NOT NULL,
    fields TEXT NOT NULL, focus TEXT NOT NULL, changed_utc TEXT NOT NULL,
    PRIMARY KEY (sheet, stop_id, row_id)
) STRICT, WITHOUT ROWID;
"""

# R*Tree tables (sqlite.org/rtree.html) know no STRICT; their '+' columns are carried along.
# Boxes are 32-bit floats that SQLite rounds outwards, so a box never misses its shape.
GROUND = """
CREATE VIRTUAL TABLE ground_street USING rtree (
    id, south_deg, north_deg, west_deg, east_deg, +name, +kind, +shape
);
CREATE VIRTUAL TABLE ground_building USING rtree (
    id, south_deg, north_deg, west_deg, east_deg, +name, +height_m, +shape
);
CREATE VIRTUAL TABLE ground_furniture USING rtree (
    id, south_deg, north_deg, west_deg, east_deg, +kind, +lat_deg, +lon_deg
);
CREATE TABLE ground_source (
    source TEXT NOT NULL, attribution TEXT NOT NULL, brought_utc TEXT NOT NULL,
    south_deg REAL, west_deg REAL, north_deg REAL, east_deg REAL
) STRICT;
"""

PREPARATION_AND_COMPASS = """
CREATE TABLE preparation (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    stop_id TEXT NOT NULL REFERENCES stop DEFERRABLE INITIALLY DEFERRED,
    device_id TEXT NOT NULL REFERENCES device DEFERRABLE INITIALLY DEFERRED,
    radio_reset_utc TEXT, network_mode_utc TEXT, battery_and_heat_utc TEXT, server_chosen_utc TEXT
) STRICT;
CREATE TABLE compass_check (
    id TEXT NOT NULL PRIMARY KEY, created_utc TEXT NOT NULL, changed_utc TEXT NOT NULL,
    deleted_utc TEXT,
    survey_id TEXT NOT NULL REFERENCES survey DEFERRABLE INITIALLY DEFERRED,
    device_id TEXT NOT NULL REFERENCES device DEFERRABLE INITIALLY DEFERRED,
    time_utc TEXT NOT NULL, offset_deg REAL NOT NULL, sigma_deg REAL,
    checked_against TEXT NOT NULL
) STRICT;
CREATE INDEX preparation_at_stop ON preparation (stop_id);
CREATE INDEX compass_check_of_survey ON compass_check (survey_id);
CREATE INDEX compass_check_by_device ON compass_check (device_id, time_utc);
"""

# A merge point: from action `after_turn` of a notebook on, it knew that many actions of another.
MERGING = """
CREATE TABLE merge_point (
    origin TEXT NOT NULL, after_turn INTEGER NOT NULL, seen_origin TEXT NOT NULL,
    seen_turn INTEGER NOT NULL,
    PRIMARY KEY (origin, after_turn, seen_origin, seen_turn)
) STRICT, WITHOUT ROWID;
ALTER TABLE notebook ADD COLUMN home TEXT;
"""

RETRANSMITS = "ALTER TABLE speed_run ADD COLUMN retransmits INTEGER"

COPIES_AND_PLACE_NAMES = """
ALTER TABLE survey ADD COLUMN hidden TEXT NOT NULL DEFAULT '';
CREATE TABLE place_name (
    place TEXT NOT NULL PRIMARY KEY, name TEXT NOT NULL, asked_utc TEXT NOT NULL
) STRICT, WITHOUT ROWID;
"""

NEWEST_FIRST = """
CREATE INDEX reading_time ON reading (time_utc);
CREATE INDEX speed_run_time ON speed_run (time_utc);
CREATE INDEX photo_file ON photo (file);
"""


def _run(db: Database, script: str, number: int) -> None:
    for statement in script.split(";"):
        if statement.strip():
            db.execute(statement)
    db.execute(f"PRAGMA user_version = {number}")


@STEPS()
def rows_and_journal(db: Database) -> None:
    """Every row of the model, the journal of their changes, half-typed sheets and settings."""
    _run(db, ROWS_AND_JOURNAL, 1)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute("INSERT INTO notebook VALUES (?)", [str(uuid.uuid4())])


@STEPS()
def ground(db: Database) -> None:
    """Streets, buildings and furniture, asked for by box."""
    _run(db, GROUND, 2)


@STEPS()
def preparation_and_compass(db: Database) -> None:
    """What was made sure of before the runs, and how far a compass was off."""
    _run(db, PREPARATION_AND_COMPASS, 3)


@STEPS()
def merging(db: Database) -> None:
    """What each notebook knew of others when it was merged, and which file goes by its name."""
    _run(db, MERGING, 4)


@STEPS()
def retransmits(db: Database) -> None:
    """How many segments a speed run's TCP sender sent again."""
    _run(db, RETRANSMITS, 5)


@STEPS()
def copies_and_place_names(db: Database) -> None:
    """What was hidden in a survey's copy, and names of places that a service was asked for."""
    _run(db, COPIES_AND_PLACE_NAMES, 6)


@STEPS()
def newest_first(db: Database) -> None:
    """The newest readings and runs, and a picture's row, without looking through all of them."""
    _run(db, NEWEST_FIRST, 7)
