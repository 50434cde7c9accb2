"""Towns by name, offline."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.gazetteer import Gazetteer, Place, read_places
from surveyapp.geometry.geodesy import inverse
from surveyapp.resources import shipped

FILE = shipped("assets", "data", "places.csv.gz")
LARGEST_BYTES = 700_000

# Positions of cities as the tz database's zone.tab gives them (public domain, 2026), as
# +-DDMM+-DDDMM: a list independent of the one shipped here.
TZ_CITIES = {
    "Helsinki": (60 + 10 / 60, 24 + 58 / 60), "Reykjavik": (64 + 9 / 60, -(21 + 51 / 60)),
    "Nairobi": (-(1 + 17 / 60), 36 + 49 / 60), 
    "Montevideo": (-(34 + 54.55 / 60), -(56 + 12.75 / 60)),
    "Auckland": (-(36 + 52 / 60), 174 + 46 / 60), "Ulaanbaatar": (47 + 55 / 60, 106 + 53 / 60),
}  # fmt: skip
THIRTEEN_KILOMETRES_M = 13_000.0


@pytest.fixture(scope="module")
def places() -> Gazetteer:
    """The shipped one."""
    return read_places(FILE)


def test_the_shipped_list_is_small_and_names_source_licence_and_date() -> None:
    """What GeoNames asks for stands in its first lines."""
    with gzip.open(FILE, "rt", encoding="utf-8") as file:
        head = [next(file) for _ in range(5)]

    assert FILE.stat().st_size < LARGEST_BYTES
    assert all(line.startswith("#") for line in head)
    assert "GeoNames" in head[1]
    assert "CC BY 4.0" in head[1]
    assert "2026" in head[2]


def test_it_holds_tens_of_thousands_of_towns(places: Gazetteer) -> None:
    """Some 34,000 at 15,000 people and more."""
    assert 30_000 < len(places) < 40_000


@pytest.mark.parametrize("name", TZ_CITIES)
def test_positions_agree_with_those_of_the_tz_database(places: Gazetteer, name: str) -> None:
    """Both name a point of the city; a city is some kilometres wide."""
    found = places.find(name)[0]
    off_m = inverse(*TZ_CITIES[name], found.lat_deg, found.lon_deg).distance_m

    assert off_m < THIRTEEN_KILOMETRES_M


@pytest.mark.parametrize(
    ("typed", "label"),
    [
        ("porv", "Porvoo, FI"),
        ("  PORVOO ", "Porvoo, FI"),
        ("sao paulo", "São Paulo, BR"),
        ("São Pau", "São Paulo, BR"),
        ("lodz", "Łódź, PL"),
        ("malmo", "Malmö, SE"),
        ("cologne", "Köln, DE"),
        ("helsingfors", "Helsinki, FI"),
        ("saint etienne", "Saint-Étienne, FR"),
        ("springfield, mo", "Springfield, US-MO"),
        ("springfield, us-ma", "Springfield, US-MA"),
        ("london, ca", "London, CA"),
    ],
)
def test_a_town_is_found_by_the_beginning_of_its_name(
    places: Gazetteer, typed: str, label: str
) -> None:
    """Accents, case and hyphens do not matter; an area's code tells namesakes apart."""
    assert places.find(typed)[0].label == label


def test_a_whole_name_comes_before_a_longer_one_and_a_larger_town_first() -> None:
    """'York' is York, not the larger Yorkton; each town comes once."""
    made = Gazetteer(
        [
            (Place("Yorkton", "CA", "", 51.0, -102.0), ("Yorktown",)),
            (Place("York", "GB", "", 54.0, -1.0), ()),
            (Place("York", "US", "PA", 40.0, -77.0), ()),
        ]
    )

    assert [place.label for place in made.find("york")] == [
        "York, GB",
        "York, US-PA",
        "Yorkton, CA",
    ]
    assert [place.label for place in made.find("york", limit=1)] == ["York, GB"]
    assert made.find("") == made.find(" , GB") == made.find("zzz") == []


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no gzip", "cannot be read"),
        (gzip.compress(b"name\nx\n", mtime=0), "first row must name"),
        (gzip.compress(b"", mtime=0), "first row must name"),
        (
            gzip.compress(
                b"name,country,region,lat_deg,lon_deg,other_names\nX,FI,,a,b,\n", mtime=0
            ),
            "no place",
        ),
        (
            gzip.compress(b"name,country,region,lat_deg,lon_deg,other_names\n" * 9, mtime=0)[:-9],
            "read",
        ),
    ],
)
def test_a_bad_file_is_told_in_one_sentence(content: bytes, said: str, tmp_path: Path) -> None:
    """Not gzip, other columns, a broken row, cut short."""
    path = tmp_path / "places.csv.gz"
    path.write_bytes(content)
    with pytest.raises(FormatError, match=said):
        read_places(path)
    with pytest.raises(FormatError):
        read_places(tmp_path / "missing")
