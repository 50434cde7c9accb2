"""Logs of walks, GPX and NMEA, as the stops along them."""

from __future__ import annotations

import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from surveyapp.errors import FormatError, InvalidValue
from surveyapp.exchange.formats import format_of_file, read_survey
from surveyapp.exchange.gpx_track import read_gpx_track
from surveyapp.exchange.nmea import point_of
from surveyapp.exchange.track import TrackPoint, halts
from surveyapp.model import Stop, Survey

HANDHELD = Path(__file__).parent.parent / "authorities" / "handheld_track.gpx"
NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
STEP_DEG = 0.00009  # some ten metres of latitude
A_MINUTE_OF_ARC_THOUSANDTH = 1e-3 / 60.0


def checksum(body: str) -> int:
    """Exclusive or of all characters, worked out here by itself."""
    total = 0
    for byte in body.encode():
        total ^= byte
    return total


def sentence(body: str) -> str:
    """A sentence with its checksum."""
    return f"${body}*{checksum(body):02X}"


def walk(minutes_still: float) -> list[TrackPoint]:
    """A walk north with one halt in its middle, a point every ten seconds."""
    points = []
    moved = 0
    for count in range(60):
        still = 20 <= count < 20 + 6 * minutes_still
        moved += not still
        points.append(
            TrackPoint(
                lat_deg=60.17 + STEP_DEG * moved,
                lon_deg=24.94,
                time_utc=NOON + timedelta(seconds=10 * count),
            )
        )
    return points


def test_a_halt_is_found_where_one_stood_still() -> None:
    """Three minutes in one place make one stop, twenty seconds make none."""
    (halt,) = halts(walk(3.0))

    assert abs(halt[0].lat_deg - (60.17 + STEP_DEG * 20)) < 3 * STEP_DEG
    assert len(halt) >= 18
    assert list(halts(walk(0.3))) == []


def test_a_real_handheld_log_gives_stops_and_a_doubt_about_its_clock() -> None:
    """The log says 2010: kept as it is, with the doubt told; the file twice gives the same rows."""
    brought = read_survey(HANDHELD, Path(), tracks=True)
    survey, *stops = brought.rows

    assert isinstance(survey, Survey)
    assert survey.title == "handheld_track"
    assert all(isinstance(stop, Stop) and stop.survey_id == survey.id for stop in stops)
    assert [stop.number for stop in stops if isinstance(stop, Stop)] == list(
        range(1, len(stops) + 1)
    )
    assert "before any 5G phone" in brought.notes[0]
    assert brought.troubles == ()
    assert read_survey(HANDHELD, Path(), tracks=True) == brought


def test_waypoints_of_other_programs_are_no_stops() -> None:
    """A handheld's file with waypoints is taken for leads unless its tracks are asked for."""
    assert format_of_file(HANDHELD) is None
    assert format_of_file(HANDHELD, tracks=True) is not None


def test_a_position_is_read_as_gpsbabel_reads_it(tmp_path: Path) -> None:
    """gpsbabel finds our sentence's position and time where we find them."""
    if shutil.which("gpsbabel") is None:
        pytest.skip("gpsbabel is not installed")
    body = "GPRMC,123519.500,A,4807.0380,S,01131.0000,W,022.4,084.4,230326,,,A"
    told, next_one = sentence(body), sentence(body.replace("123519", "123520"))
    path = tmp_path / "walk.nmea"
    path.write_text(f"{told}\r\n{next_one}\r\n", encoding="ascii")
    done = subprocess.run(
        ["gpsbabel", "-t", "-i", "nmea", "-f", path, "-o", "unicsv,utc=0", "-F", "-"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    fields = done.stdout.splitlines()[1].split(",")
    point = point_of(told)

    assert point is not None
    assert point.lat_deg == pytest.approx(float(fields[1]), abs=A_MINUTE_OF_ARC_THOUSANDTH)
    assert point.lon_deg == pytest.approx(float(fields[2]), abs=A_MINUTE_OF_ARC_THOUSANDTH)
    assert point.time_utc == datetime(2026, 3, 23, 12, 35, 19, 500_000, UTC)
    assert "2026/03/23" in fields


def test_a_year_counts_from_1980() -> None:
    """A receiver that never had a fix says 1980, and is not put into 2080."""
    point = point_of(sentence("GPRMC,000000,A,6010.2,N,02456.4,E,,,060180,,"))

    assert point is not None
    assert point.time_utc == datetime(1980, 1, 6, tzinfo=UTC)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("$GPRMC,120000,A,6010.2,N,02456.4,E,,,040526,,*00", "checksum"),
        (sentence("GPRMC,120000,A,6070.2,N,02456.4,E,,,040526,,"), "no place on Earth"),
        (sentence("GPRMC,120000,A,9910.2,N,02456.4,E,,,040526,,"), "no place on Earth"),
        (sentence("GPRMC,120000,A,6010.2,Q,02456.4,E,,,040526,,"), "no position"),
        (sentence("GPRMC,126000,A,6010.2,N,02456.4,E,,,040526,,"), "no date and time"),
        (sentence("GPRMC,120000,A,6010.2,N,02456.4,E,,,310226,,"), "no date and time"),
        ("$GPRMC,1200", "no whole sentence"),
        (sentence("GPRMC,120000,V,,,,,,,040526,,"), None),
        ("$nonsense", "no whole sentence"),
    ],
)
def test_broken_sentences_are_told(line: str, words: str | None) -> None:
    """What is wrong with a sentence is said; one without a fix is passed over."""
    if words is None:
        assert point_of(line) is None
        return
    with pytest.raises(InvalidValue, match=words):
        point_of(line)


def test_a_log_tells_its_broken_lines_and_gives_its_stops(tmp_path: Path) -> None:
    """Two minutes at one place make a stop; a torn line is listed with its number."""
    lines = [
        sentence(
            f"GNRMC,12{second // 60:02d}{second % 60:02d},A,6010.2000,N,02456.4000,E,,,040526,,"
        )
        for second in range(0, 125, 5)
    ]
    lines[3] = lines[3][:30]
    lines.insert(1, sentence("GPGGA,120000,6010.2,N,02456.4,E,1,8,0.9,5,M,0,M,,"))
    lines.append(sentence("GNRMC,120300,V,,,,,,,040526,,"))
    path = tmp_path / "walk.nmea"
    path.write_text("\r\n".join(["a logger's own line", *lines]), encoding="ascii")
    brought = read_survey(path, tmp_path)

    assert [trouble.place for trouble in brought.troubles] == ["line 6"]
    assert [type(row) for row in brought.rows] == [Survey, Stop]
    assert "without a position fix, passed over: 1" in brought.notes[0]


def test_what_is_no_log_is_refused(tmp_path: Path) -> None:
    """A text without sentences, and a GPX without a track, are refused."""
    (tmp_path / "notes.log").write_text("nothing\n$here\n", encoding="ascii")
    (tmp_path / "no.gpx").write_text("<gpx/>", encoding="ascii")
    with pytest.raises(FormatError, match="no log of NMEA"):
        read_survey(tmp_path / "notes.log", tmp_path)
    with pytest.raises(FormatError, match="no survey, track or log"):
        read_survey(tmp_path / "no.gpx", tmp_path)


def test_entities_in_xml_are_refused(tmp_path: Path) -> None:
    """A document that declares entities (as a bomb of them does) is not read."""
    bomb = '<!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]><gpx><trk>&b;</trk></gpx>'
    (tmp_path / "bomb.gpx").write_text(bomb, encoding="ascii")
    with pytest.raises(FormatError, match="declares entities"):
        read_survey(tmp_path / "bomb.gpx", tmp_path)


@pytest.mark.parametrize(
    ("year", "said"),
    [
        (2006, "1024 weeks behind, which would make it 2026-01-"),
        (1986, "2048 weeks behind, which would make it 2025-09-"),
        (1926, "the century is wrong, and 2026 would be possible"),
        (1900, "before any 5G phone: it is wrong"),
    ],
)
def test_a_wrong_clock_is_told_with_its_likeliest_reason(
    year: int, said: str, tmp_path: Path
) -> None:
    """Week counts that ran over (IS-GPS-200: ten bits) and a wrong century; the times stay."""
    path = tmp_path / "walk.gpx"
    points = "".join(
        f'<trkpt lat="60.17" lon="24.94"><time>{year}-06-10T12:0{minute}:00Z</time></trkpt>'
        for minute in range(3)
    )
    path.write_text(f"<gpx><trk><trkseg>{points}</trkseg></trk></gpx>", encoding="utf-8")
    brought = read_gpx_track(path, tmp_path)

    assert any(said in note for note in brought.notes), brought.notes
    assert [row.time_utc.year for row in brought.rows if isinstance(row, Stop)] == [year]
