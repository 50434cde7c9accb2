"""`surveyapp report`: what it writes, what it hides, and what it refuses."""

from __future__ import annotations

import base64
import io
import json
import re
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from surveyapp.cli import cli
from surveyapp.model import (
    Carrier,
    Device,
    PositionFrom,
    Reading,
    Remark,
    RemarkKind,
    Sector,
    Sighting,
    Site,
    SiteKind,
    SpeedRun,
    Stop,
    Survey,
    View,
)
from surveyapp.store.notebook import Notebook
from tests.report.reading_pages import Page

START = datetime(2026, 5, 4, 6, 17, 43, tzinfo=UTC)
HOME = (48.204321, 16.371234)
PLACES = ((48.207654, 16.373456), (48.208765, 16.374567), HOME)


def run(*arguments: object) -> Result:
    """Run `surveyapp report` in this process."""
    return CliRunner().invoke(cli, ["report", *(str(argument) for argument in arguments)])


def photo() -> bytes:
    """A JPEG that tells who took it where."""
    exif = Image.Exif()
    exif[Base.Make] = "Maker of phones"
    exif[Base.DateTime] = "2026:05:04 08:17:43"
    exif.get_ifd(IFD.GPSInfo).update({GPS.GPSLatitudeRef: "N", GPS.GPSLatitude: (48.0, 12.0, 27.5)})
    held = io.BytesIO()
    Image.new("RGB", (64, 48), (20, 90, 60)).save(held, "JPEG", exif=exif, comment=b"secret door")
    return held.getvalue()


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """Three stops, the last of them at home, two phones with telling names, a photo each."""
    path = tmp_path / "walk.notebook"
    survey = Survey(title="Quiet walk", time_zone="Europe/Vienna", place_text="Vienna")
    site = Site(name="Node Quince", kind=SiteKind.LAMP_POST, lat_deg=48.208, lon_deg=16.3744)
    sector = Sector(site_id=site.id, label="S1", azimuth_deg=200.0)
    phones = [
        Device(label=f"{who}'s phone", model=f"Model {who[0]}", system="17.3.1", text=text)
        for who, text in (("Ada", "IMEI 35-209901"), ("Bert", "IMEI 35-209902"))
    ]
    with Notebook.create(path) as opened:
        opened.save(survey, site, sector, *phones)
        for number, (lat, lon) in enumerate(PLACES, start=1):
            time = START + timedelta(minutes=31 * number)
            stop = Stop(survey_id=survey.id, number=number, time_utc=time, lat_deg=lat, lon_deg=lon,
                        position_from=PositionFrom.SENSOR, position_sigma_m=6.3)  # fmt: skip
            opened.save(
                stop,
                Sighting(
                    stop_id=stop.id,
                    site_id=site.id,
                    sector_id=sector.id,
                    bearing_deg=77.3,
                    raw_bearing_deg=71.9,
                    distance_m=143.0,
                    view=View.CLEAR,
                ),
                Remark(
                    stop_id=stop.id,
                    time_utc=time,
                    kind=RemarkKind.OTHER,
                    text=f"Noted at place {number}",
                ),
                *(
                    row
                    for phone in phones
                    for row in (
                        Reading(
                            stop_id=stop.id,
                            device_id=phone.id,
                            time_utc=time,
                            carriers=(Carrier(band="n78", rsrp_dbm=-81.0, sinr_db=17.0),),
                        ),
                        SpeedRun(
                            stop_id=stop.id,
                            device_id=phone.id,
                            time_utc=time,
                            down_mbps=500.0 + number,
                            server_place="Graz",
                        ),
                    )
                ),
            )
            opened.add_photo(photo(), survey_id=survey.id, stop_id=stop.id, time_utc=time,
                             lat_deg=lat, lon_deg=lon, direction_deg=77.3,
                             caption=f"View {number}")  # fmt: skip
    return path


def everything_in(path: Path) -> str:
    """All that can be read out of a file: its bytes, and what its data URIs hold, decoded."""
    content = path.read_bytes()
    for data in re.findall(rb"data:image/[a-z]+;base64,([A-Za-z0-9+/=]+)", content):
        content += base64.b64decode(data)
    return content.decode("latin-1")


def test_what_is_hidden_is_in_no_byte(notebook: Path, tmp_path: Path) -> None:
    """Exact places and times, bearings, phones' names and ids, photos' data: none is left."""
    page, picture = tmp_path / "page.html", tmp_path / "picture.png"

    result = run(notebook, "--out", page, "--picture", picture)

    assert result.exit_code == 0, result.stderr
    with Notebook.open(notebook) as opened:
        ids = [row.id for row in opened.rows_of() if not isinstance(row, Survey)]
    traces = [
        *(f"{value:.{digits}f}" for place in PLACES for value in place for digits in (5, 6)),
        *("Ada&#39;s", "Ada's", "Bert&#39;s", "Bert's", "35-20990", "17.3.1", "Exif"),
        *("Maker of phones", "secret door"),
        *("77°", "72°", "143 m", "looks at", "2026:05:04"),
        *(f"{(START + timedelta(hours=zone, minutes=31 * n)):%H:%M}"
          for zone in (0, 2) for n in (1, 2, 3)),
        *ids,
    ]  # fmt: skip
    for path in (page, picture):
        content = everything_in(path)
        assert [trace for trace in traces if trace in content] == []
    words = Page(page.read_text()).words
    assert "Phone 1 · Model A" in words
    assert "Monday 4 May 2026" in words
    assert "stops were moved to a grid of 50 m" in words.casefold()


def test_what_lies_near_home_is_left_out(notebook: Path, tmp_path: Path) -> None:
    """The stop there, its remark and its photo do not show, whatever else is kept."""
    page = tmp_path / "page.html"
    home = ",".join(str(value) for value in HOME)

    result = run(notebook, "--out", page, "--home", f"{home},150", "--keep", "places",
                 "--keep", "times", "--keep", "devices")  # fmt: skip

    assert result.exit_code == 0, result.stderr
    words = Page(page.read_text()).words
    assert "Noted at place 2" in words
    assert "48.20876, 16.37457" in words
    assert "Ada's phone" in words
    assert "09:19" in words
    for trace in ("Noted at place 3", "View 3", "48.2043", "09:50"):
        assert trace not in everything_in(page)


def test_a_copy_for_oneself_holds_everything(notebook: Path, tmp_path: Path) -> None:
    """With --everything places, times, bearings and names stand as they were noted."""
    page = tmp_path / "page.html"

    assert run(notebook, "--out", page, "--everything").exit_code == 0
    words = Page(page.read_text()).words

    for text in ("48.20432, 16.37123 ± 6 m", "08:48", "at 77° true", "Ada's phone", "View 3"):
        assert text in words


def test_results_do_not_suffer_from_hiding(notebook: Path, tmp_path: Path) -> None:
    """They are worked out from the rows as noted: hidden or not, the shares are the same."""
    hidden, whole = tmp_path / "hidden.html", tmp_path / "whole.html"
    run(notebook, "--out", hidden)
    run(notebook, "--out", whole, "--everything")

    shares = [
        [" ".join(one.text.split()) for one in Page(path.read_text()).of("p", "shares")]
        for path in (hidden, whole)
    ]
    assert shares[0] == shares[1]
    assert len(shares[0]) == 12


def test_json_tells_what_was_written(notebook: Path, tmp_path: Path) -> None:
    """The keys a script can rely on."""
    result = run(notebook, "--out", tmp_path / "page.html", "--json")
    found: dict[str, Any] = json.loads(result.stdout)

    assert set(found) == {"page", "picture", "survey", "stops", "doubts", "hidden"}
    assert (found["survey"], found["stops"], found["picture"]) == ("Quiet walk", 3, None)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--survey", "Another"), "has no survey named"),
        (("--cover", "-300"), "out of range"),
        (("--cover", "loud"), "not a decimal number"),
        (("--everything", "--keep", "times"), "--everything hides nothing"),
        (("--blur-home",), "--blur-home needs the place"),
        (("--home", "here"), "is no place"),
        (("--picture", "page.html"), "page and picture at once"),
    ],
)
def test_bad_input_ends_with_one_sentence_and_nothing_written(
    notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...], words: str,
) -> None:  # fmt: skip
    """Exit code 2, one line on stderr, no file."""
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())

    result = run(notebook, "--out", "page.html", *arguments)

    assert result.exit_code == 2
    assert words in result.stderr
    assert result.stderr.count("\n") == 1
    assert sorted(tmp_path.iterdir()) == before


def test_a_file_is_written_over_only_on_request(notebook: Path, tmp_path: Path) -> None:
    """Somebody's file, and the notebook itself, stay as they are."""
    letter = tmp_path / "letter.html"
    letter.write_text("Dear surveyor,")
    size = notebook.stat().st_size

    refused = run(notebook, "--out", letter)
    itself = run(notebook, "--out", notebook, "--replace")

    assert "is there already" in refused.stderr
    assert letter.read_text() == "Dear surveyor,"
    assert "is the notebook itself" in itself.stderr
    assert notebook.stat().st_size == size
    assert run(notebook, "--out", letter, "--replace").exit_code == 0
    assert letter.read_text().startswith("<!doctype html>")


def test_without_matplotlib_the_command_says_how_to_get_it(
    notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence, exit code 2, no half-made page."""
    monkeypatch.setitem(sys.modules, "matplotlib", None)

    result = run(notebook, "--out", tmp_path / "page.html")

    assert result.exit_code == 2
    assert "pip install 'surveyapp[desk]'" in result.stderr
    assert not (tmp_path / "page.html").exists()
