"""Towns found by name without a network, for the place of a test server.

The file is `assets/data/places.csv.gz`: GeoNames' towns of 15,000 people and more (CC BY 4.0;
its first lines say so), cut by the script beside it. Positions are good to a hundredth of a
degree, about a kilometre: enough for a server's distance, for nothing else.
"""

from __future__ import annotations

import csv
import gzip
import unicodedata
from bisect import bisect_left
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from surveyapp.errors import FormatError

ATTRIBUTION = "Towns: GeoNames, CC BY 4.0"
_COLUMNS = ["name", "country", "region", "lat_deg", "lon_deg", "other_names"]
_MOST_BYTES = 16 * 2**20
# Letters that carry no separable accent (Unicode decomposes them no further)
_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe",
                          "ı": "i", "ʼ": "", "’": "", "'": "", "-": " "})  # fmt: skip


class Place(NamedTuple):
    """A town; `country` is its ISO 3166-1 code, `region` a state's code where people use it."""

    name: str
    country: str
    region: str
    lat_deg: float
    lon_deg: float

    @property
    def label(self) -> str:
        """'Porvoo, FI', 'Springfield, US-MO'."""
        area = f"{self.country}-{self.region}" if self.region else self.country
        return f"{self.name}, {area}"


class Gazetteer:
    """Towns by the beginnings of their names; accents, case and hyphens do not matter."""

    def __init__(self, towns: Iterable[tuple[Place, tuple[str, ...]]]) -> None:
        """Towns with their other names, the largest first."""
        entries = [
            (folded(name), rank, place)
            for rank, (place, others) in enumerate(towns)
            for name in (place.name, *others)
        ]
        entries.sort()
        self._keys = [entry[0] for entry in entries]
        self._ranked = [(entry[1], entry[2]) for entry in entries]

    def __len__(self) -> int:
        return len({rank for rank, _ in self._ranked})

    def find(self, text: str, limit: int = 8) -> list[Place]:
        """Towns whose name begins so: a whole name first, then the larger town first.

        A country's or state's code may follow a comma: 'Springfield, MO', 'porvoo, fi'.
        """
        name, _, area = text.partition(",")
        key, wanted = folded(name), area.strip().upper()
        if not key:
            return []
        found: dict[int, tuple[bool, int, Place]] = {}
        for at in range(bisect_left(self._keys, key), len(self._keys)):
            if not self._keys[at].startswith(key):
                break
            rank, place = self._ranked[at]
            if wanted and not _in_area(place, wanted):
                continue
            longer = self._keys[at] != key
            if rank not in found or not longer:
                found[rank] = (longer, rank, place)
        ordered = sorted(found.values(), key=lambda entry: entry[:2])
        return [place for _, _, place in ordered[:limit]]


def read_places(path: str | Path) -> Gazetteer:
    """The towns of a gazetteer file; raises FormatError where it is none."""
    path = Path(path)
    try:
        with gzip.open(path, "rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except (OSError, EOFError) as error:
        raise FormatError(
            f"{path} cannot be read as a list of places: install surveyapp again.", path=str(path)
        ) from error
    lines = content[:_MOST_BYTES].decode("utf-8", errors="replace").splitlines()
    rows = csv.reader(line for line in lines if not line.startswith("#"))
    if next(rows, None) != _COLUMNS:
        raise FormatError(
            f"{path} is no list of places: its first row must name {', '.join(_COLUMNS)}.",
            path=str(path),
        )
    return Gazetteer(_town(row, path) for row in rows)


def folded(name: str) -> str:
    """Lower case, without accents, hyphens and apostrophes."""
    lower = name.casefold()
    if lower.isascii():
        if lower.isalpha():
            return lower
    else:
        parts = unicodedata.normalize("NFKD", lower)
        lower = "".join(sign for sign in parts if not unicodedata.combining(sign))
    return " ".join(lower.translate(_LETTERS).split())


def _town(row: list[str], path: Path) -> tuple[Place, tuple[str, ...]]:
    try:
        name, country, region, lat_deg, lon_deg, others = row
        place = Place(name, country, region, float(lat_deg), float(lon_deg))
    except ValueError as error:
        raise FormatError(
            f"{path} has a row that is no place: {','.join(row)[:60]}.", path=str(path)
        ) from error
    return place, tuple(others.split("|")) if others else ()


def _in_area(place: Place, wanted: str) -> bool:
    return wanted in (place.country, place.region, f"{place.country}-{place.region}")
