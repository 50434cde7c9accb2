"""Whatever was typed wrongly: exit code 2, one sentence on stderr, nothing on stdout."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

AT = ("serving", "--at", "60.1699,24.9384")
A = "A,60.1702,24.9380,150"
S = "60.1699,24.9384,45"

BAD = [
    # arguments, a word the sentence must hold
    (("declination", "91,24.9"), "latitude"),
    (("declination", "151.2,-33.9"), "latitude comes first"),  # swapped
    (("declination", "60.1,181"), "longitude"),
    (("declination", "nan,24.9"), "not a decimal number"),
    (("declination", "60.1,inf"), "not a decimal number"),
    (("declination", "60°10'N 24°70'E"), "stay below 60"),
    (("declination", "geo:60.1,24.9;crs=local"), "WGS 84"),
    (("fix", "--sighting", "24.9E,60.1N,10"), "N or S belongs"),
    (("declination", "6e1,24.9"), "not a decimal number"),
    (("declination", "6_0,24.9"), "not a decimal number"),
    (("declination", "60,1699,24,9384"), "LAT,LON"),  # decimal commas
    (("declination", "٦٠,24"), "not a decimal number"),  # other digits than ours
    (("declination", "9" * 400 + ",24"), "not a decimal number"),
    (("declination", "60.1"), "LAT,LON"),
    (("declination", "60.1,24.9", "--date", "4.5.2026"), "2026-05-04"),
    (("declination", "60.1,24.9", "--date", "2024-12-31"), "2025"),
    (("declination", "60.1,24.9", "--date", "2030-06-01"), "2025"),
    (("declination",), "LAT,LON"),
    (("declination", "60.1,24.9", "60.1,24.9"), "extra argument"),
    ((*AT, "--sector", "A,60.1702,24.9380,360"), "north is 0"),
    ((*AT, "--sector", "A,60.1702,24.9380,-1"), "azimuth -1"),
    ((*AT, "--sector", "A,60.1702,24.9380"), "NAME,LAT,LON,AZIMUTH"),
    ((*AT, "--sector", "none,60.1702,24.9380,150"), "none"),
    ((*AT, "--sector", f"{A},height_m=700"), "height"),
    ((*AT, "--sector", f"{A},tilt=7"), "height_m="),
    ((*AT, "--sector", f"{A},pci=1008"), "1007"),
    ((*AT, "--sector", f"{A},pci=7.5"), "whole number"),
    ((*AT, "--sector", A, "--sector", A), "twice"),
    ((*AT, "--sector", A, "--rsrp", "84"), "-156 to -29 dBm"),
    ((*AT, "--sector", A, "--rsrp", "2147483647"), "-156 to -29 dBm"),
    ((*AT, "--sector", A, "--pci", "1008"), "1007"),
    ((*AT, "--sector", A, "--mhz", "3"), "500"),
    ((*AT, "--sector", A, "--view", "foggy"), "clear"),
    ((*AT, "--sector", A, "--stop", "3"), "--stop"),
    (("serving", "--at", "60.1699,24.9384"), "--sector"),
    (("serving", "--notebook", "n.sqlite", "--rsrp", "-80"), "--rsrp"),
    (("serving",), "--notebook"),
    (("fix", "--sighting", S), "second"),
    (("fix", "--sighting", S, "--sighting", "60.1709,24.9384,360"), "north is 0"),
    (("fix", "--sighting", S, "--sighting", "60.1709,24.9384,-1"), "bearing -1"),
    (("fix", "--sighting", S, "--sighting", "60.1709,24.9384,100,0"), "sigma"),
    (("fix", "--sighting", S, "--sighting", "60.1709,24.9384"), "LAT,LON,BEARING"),
    (("fix", "--sighting", S, "--sighting", "60.1709,24.9384,45"), "parallel"),
    (("fix",), "--sighting"),
    (("fix", "--notebook", "n.sqlite"), "--site"),
    (("fix", "--sighting", S, "--site", "Node Alder"), "--site"),
    (("channel", "nr", "99999999"), "NR-ARFCN"),
    (("channel", "gscn 1"), "GSCN"),
    (("channel", "lte 65000"), "65000"),
    (("channel", "200 GHz"), "frequency"),
    (("channel", "n999"), "n999"),
    (("channel", "hello"), "nr 2079167"),
    (("channel", "-5", "GHz"), "frequency"),
    (("channel",), "TEXT"),
    (("nonsense",), "nonsense"),
    (("channel", "n258", "--jsno"), "--jsno"),
]


@pytest.mark.parametrize(("arguments", "word"), BAD, ids=lambda given: str(given)[:60])
def test_bad_input_is_one_sentence_and_exit_code_2(
    run: Callable[..., Result], arguments: tuple[str, ...], word: str
) -> None:
    """The sentence names what is wrong; nothing is answered."""
    result = run(*arguments)

    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    assert word in result.stderr
    assert result.stderr.rstrip().endswith((".", "?"))


def test_all_that_is_wrong_is_told_at_once(run: Callable[..., Result]) -> None:
    """Two bad sectors give two complaints, not one after the other."""
    result = run(*AT, "--sector", "A,95,24.9,10", "--sector", "B,60.1,24.9,400")

    assert "'A'" in result.stderr
    assert "'B'" in result.stderr


@pytest.mark.parametrize("command", ["check", "ground", "serving", "fix"])
def test_a_file_that_is_no_notebook_is_refused_and_left_alone(
    run: Callable[..., Result], tmp_path: Path, command: str
) -> None:
    """Every command that takes a notebook says so, and changes no byte of another file."""
    other = tmp_path / "letter.txt"
    other.write_text("Dear surveyor,\n")
    streets = tmp_path / "one.geojson"
    streets.write_text(
        '{"type": "Feature", "properties": {"highway": "residential", "name": "Mill Street"},'
        ' "geometry": {"type": "LineString", "coordinates": [[24.9, 60.1], [24.91, 60.1]]}}'
    )
    arguments = {
        "check": ("check", other),
        "ground": ("ground", other, streets),
        "serving": ("serving", "--notebook", other),
        "fix": ("fix", "--notebook", other, "--site", "Node Alder"),
    }[command]
    result = run(*arguments)

    assert result.exit_code == 2
    assert "not a notebook" in result.stderr
    assert other.read_text() == "Dear surveyor,\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["letter.txt", "one.geojson"]


def test_a_missing_notebook_is_not_made_by_asking(
    run: Callable[..., Result], tmp_path: Path
) -> None:
    """`check` of a name that does not exist says so and leaves the folder empty."""
    result = run("check", tmp_path / "nowhere.sqlite")

    assert result.exit_code == 2
    assert "no notebook" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_bad_street_file_makes_no_notebook(run: Callable[..., Result], tmp_path: Path) -> None:
    """Where the streets cannot be read, `ground` does not leave an empty notebook behind."""
    broken = tmp_path / "streets.osm"
    broken.write_text("<osm><node")
    result = run("ground", tmp_path / "new.sqlite", broken)

    assert result.exit_code == 2
    assert str(broken) in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["streets.osm"]
