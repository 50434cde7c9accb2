"""Rows of a survey as a GeoPackage (OGC 12-128r19, version 1.3), one table a kind, and back.

Kinds with a place are feature tables of points in WGS84, the others attribute tables; carriers
have a table of their own. Times are ISO 8601 texts, for the format's own type ends at
milliseconds. Definitions of tables and of the geometry blob: clauses 1.1, 2.1 and annex C of the
standard, from memory; held against GDAL in the tests.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterable, Sequence
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any

from surveyapp.errors import InvalidValue, NotebookError
from surveyapp.exchange.content import Brought, Content, Gatherer, whole_file
from surveyapp.exchange.files import refused
from surveyapp.exchange.places_of_rows import LatLon, PlacesOfRows
from surveyapp.exchange.plain_rows import (
    ROW_KINDS,
    Field,
    Plain,
    fields_of,
    from_plain,
    to_plain,
)
from surveyapp.exchange.without_pictures import brought_without_photos
from surveyapp.model import Row

APPLICATION_ID = 0x47504B47  # 'GPKG'
VERSION = 10300
WGS84 = 4326
MOST_CELL_BYTES = 10_000_000
_HEAD = struct.Struct("<2sBBi")
_POINT = struct.Struct("<BI2d")
_POSITION = ("lat_deg", "lon_deg")
_WGS84_TEXT = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
    'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433],AUTHORITY["EPSG","4326"]]'
)
_TABLES = """
CREATE TABLE gpkg_spatial_ref_sys (
    srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
    organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT
);
CREATE TABLE gpkg_contents (
    table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
    description TEXT DEFAULT '',
    last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
    min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
    CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
    table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
    srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL,
    CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
    CONSTRAINT uk_gc_table_name UNIQUE (table_name),
    CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
    CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
"""
_TYPES = {int: "INTEGER", float: "DOUBLE"}
_NO_DATE = "1970-01-01T00:00:00.000Z"  # when it was written is nobody's business


def write_geopackage(content: Content, path: Path) -> None:
    """Write the rows. Raises NotebookError where the disk refuses."""
    with whole_file(path) as temporary:
        try:
            _write(content, temporary)
        except sqlite3.Error as error:
            raise NotebookError(f"SQLite: {error}", path=str(path)) from error


def _write(content: Content, path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA journal_mode = OFF")  # the file has no name yet: it can be thrown away
        db.execute("PRAGMA synchronous = OFF")
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.executescript(_TABLES)
        db.executemany(
            "INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)",
            [
                ("Undefined Cartesian", -1, "NONE", -1, "undefined", None),
                ("Undefined geographic", 0, "NONE", 0, "undefined", None),
                ("WGS 84", WGS84, "EPSG", WGS84, _WGS84_TEXT, "longitude and latitude, degrees"),
            ],
        )
        places = PlacesOfRows(content)
        for name, kind in ROW_KINDS.items():
            rows = [row for row in content.rows if type(row) is kind]
            if rows:
                _write_kind(db, name, rows, places)
        db.commit()


def _is_placed(kind: type[Row]) -> bool:
    names = {field.name for field in fields_of(kind)}
    return bool(names & {"lat_deg", "stop_id", "site_id"})


def _columns(fields: Iterable[Field]) -> list[Field]:
    """The fields that become columns: positions are in the geometry, carriers elsewhere."""
    return [field for field in fields if field.nested is None and field.name not in _POSITION]


def _write_kind(
    db: sqlite3.Connection, name: str, rows: Sequence[Row], places: PlacesOfRows
) -> None:
    kind = type(rows[0])
    placed = _is_placed(kind)
    columns = _columns(fields_of(kind))
    where = [places.of(row) for row in rows] if placed else []
    _register(db, name, where if placed else None)
    _create(db, name, columns, geometry=placed)
    plain = [to_plain(row) for row in rows]
    values = ([held.get(column.name) for column in columns] for held in plain)
    if placed:
        values = ([_blob(place), *item] for place, item in zip(where, values, strict=True))
    _insert(db, name, (["geom"] if placed else []) + [column.name for column in columns], values)
    for field in fields_of(kind):
        if field.nested is not None:
            _write_items(db, name, field, plain)


def _write_items(db: sqlite3.Connection, owner: str, field: Field, plain: Sequence[Plain]) -> None:
    """The carriers of all rows, each with its owner's id and its place in the row."""
    assert field.nested is not None
    name, columns = f"{owner}_{field.name}", fields_of(field.nested)
    _register(db, name, None)
    owner_id = Field(f"{owner}_id", str, False, None)
    place = Field("place", int, False, None)
    _create(db, name, [owner_id, place, *columns], geometry=False)
    values = (
        [held["id"], count, *(item.get(column.name) for column in columns)]
        for held in plain
        for count, item in enumerate(held[field.name])
    )
    _insert(db, name, [owner_id.name, "place", *(column.name for column in columns)], values)


def _register(db: sqlite3.Connection, name: str, where: Sequence[LatLon | None] | None) -> None:
    """Enter a table in the format's own tables; `where` is None for one without places."""
    known = [place for place in where or () if place is not None]
    lats, lons = [place[0] for place in known], [place[1] for place in known]
    box = (min(lons), min(lats), max(lons), max(lats)) if known else (None,) * 4
    data_type = "attributes" if where is None else "features"
    db.execute(
        "INSERT INTO gpkg_contents VALUES (?, ?, ?, '', ?, ?, ?, ?, ?, ?)",
        (name, data_type, name, _NO_DATE, *box, None if where is None else WGS84),
    )
    if where is not None:
        db.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POINT', ?, 0, 0)", (name, WGS84)
        )


def _create(db: sqlite3.Connection, name: str, columns: Iterable[Field], *, geometry: bool) -> None:
    told = [f'"{column.name}" {_TYPES.get(column.held, "TEXT")}' for column in columns]
    parts = ["fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL", *(["geom POINT"] * geometry), *told]
    db.execute(f'CREATE TABLE "{name}" ({", ".join(parts)})')


def _insert(
    db: sqlite3.Connection, name: str, columns: Sequence[str], values: Iterable[Sequence[Any]]
) -> None:
    told = ", ".join(f'"{column}"' for column in columns)
    marks = ", ".join("?" * len(columns))
    db.executemany(f'INSERT INTO "{name}" ({told}) VALUES ({marks})', values)


def _blob(place: LatLon | None) -> bytes | None:
    """A point as the standard's blob: header without envelope, little endian, then WKB."""
    if place is None:
        return None
    return _HEAD.pack(b"GP", 0, 1, WGS84) + _POINT.pack(1, 1, place[1], place[0])


def _place(blob: Any) -> tuple[float, float]:
    """Latitude and longitude in a blob, of either byte order and with any envelope."""
    try:
        flags = blob[3]
        start = 8 + (0, 32, 48, 48, 64)[(flags >> 1) & 7]
        order = "<" if blob[start] else ">"
        kind, lon_deg, lat_deg = struct.unpack_from(f"{order}I2d", blob, start + 1)
    except (struct.error, IndexError, TypeError):
        raise InvalidValue("its geometry cannot be read") from None
    if blob[:2] != b"GP" or kind % 1000 != 1:
        raise InvalidValue("its geometry is no point")
    return lat_deg, lon_deg


def read_geopackage(path: Path, workspace: Path) -> Brought:
    """The rows of such a file. Raises FormatError for a file that is none."""
    gatherer: Gatherer[Row] = Gatherer(path)
    try:
        with closing(
            sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        ) as db:
            db.row_factory = sqlite3.Row
            tables = _plain_tables(db, path)
            kinds = [name for name in ROW_KINDS if name in tables]
            if not kinds:
                raise refused(path, "holds no rows of a survey")
            for name in kinds:
                _read_kind(db, name, tables, gatherer)
    except (sqlite3.Error, UnicodeDecodeError) as error:  # SQLite quotes what is no text too
        raise refused(path, f"is no GeoPackage that can be read ({error})") from error
    return brought_without_photos(gatherer)


def _plain_tables(db: sqlite3.Connection, path: Path) -> set[str]:
    """The names of the tables that may be read: those listed that hold what they give.

    Views and virtual tables are left out, for they can give rows without end. A damaged file is
    refused, for pages that name each other can do the same.
    """
    db.execute("PRAGMA trusted_schema = OFF")
    db.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_CELL_BYTES)
    plain = {
        str(name)
        for name, sql in db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
        if not str(sql).upper().startswith("CREATE VIRTUAL")
    }
    if "gpkg_contents" not in plain:
        raise refused(path, "is a database but no GeoPackage")
    damage = db.execute("PRAGMA quick_check(1)").fetchone()[0]
    if damage != "ok":
        raise refused(path, f"is damaged ({damage})")
    listed = {name for (name,) in db.execute("SELECT table_name FROM gpkg_contents")}
    return plain & listed


def _read_kind(
    db: sqlite3.Connection, name: str, tables: set[str], gatherer: Gatherer[Row]
) -> None:
    made = ROW_KINDS[name]
    nested = next((field.name for field in fields_of(made) if field.nested), None)
    items = _items(db, name, f"{name}_{nested}") if f"{name}_{nested}" in tables else {}

    def row(held: Plain) -> Row:
        if hasattr(made, "lat_deg") and held.get("geom") is not None:
            held["lat_deg"], held["lon_deg"] = _place(held["geom"])
        if nested:
            held[nested] = items.get(held.get("id"), [])
        taken: Row = from_plain(made, held)
        return taken

    for count, found in enumerate(db.execute(f'SELECT * FROM "{name}"'), start=1):
        gatherer.take(f"table {name}, row {count}", partial(row, dict(found)))


def _items(db: sqlite3.Connection, owner: str, table: str) -> dict[Any, list[Plain]]:
    """Carriers by their owner's id."""
    found: dict[Any, list[Plain]] = {}
    for item in db.execute(f'SELECT * FROM "{table}" ORDER BY place'):
        held: Plain = dict(item)
        found.setdefault(held.get(f"{owner}_id"), []).append(held)
    return found
