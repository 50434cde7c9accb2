"""What privacy hides is in no byte of any file: the outputs themselves are searched."""

from __future__ import annotations

import io
import struct
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from surveyapp.errors import FormatError
from surveyapp.exchange.content import Content
from surveyapp.exchange.formats import SURVEY_FORMATS, SurveyFormat
from surveyapp.exchange.picture_bytes import only_pixels
from surveyapp.exchange.privacy import (
    NOTHING,
    HomePlace,
    NearHome,
    Privacy,
    hidden,
    on_grid,
    told,
)
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import (
    Device,
    Photo,
    Reading,
    Remark,
    Row,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from tests.exchange.survey_contents import SECRET_COMMENT, one_of_each, picture_with_facts
from tests.store.one_of_each import ROWS, WHEN

WRITTEN = [known for known in SURVEY_FORMATS if known.write is not None]
HOME = (60.1812345678, 24.9876543211)
NEAR_HOME = (60.1813131313, 24.9877171717)
HOME_ROWS: tuple[Row, ...] = (
    Stop(id="home-stop", survey_id="survey-1", number=9, time_utc=WHEN, lat_deg=NEAR_HOME[0],
         lon_deg=NEAR_HOME[1], place_text="Kitchen Lane"),
    Site(id="home-site", name="Doorstep node", lat_deg=HOME[0], lon_deg=HOME[1]),
    Sighting(id="home-sighting", stop_id="stop-1", site_id="home-site", bearing_deg=33.125,
             facing_deg=-47.625),
    Reading(id="home-reading", stop_id="home-stop", device_id="device-1", time_utc=WHEN),
    SpeedRun(id="home-run", stop_id="home-stop", device_id="device-1", time_utc=WHEN,
             reading_id="home-reading", down_mbps=777.125),
    Remark(id="home-remark", stop_id="home-stop", time_utc=WHEN, text="by my own door"),
)  # fmt: skip
FAR_ROWS: tuple[Row, ...] = (
    Sighting(id="facing-only", stop_id="stop-1", site_id="site-1", sector_id="sector-1",
             facing_deg=-47.625),
    Stop(id="no-place", survey_id="survey-1", number=10, time_utc=WHEN, place_text="Cellar Yard"),
)  # fmt: skip
ON_GRID = Privacy(picture_facts=False, devices=False, exact_times=False)
SAFE = Privacy(home_places=(HomePlace(lat_deg=HOME[0], lon_deg=HOME[1]),), salt="s")


@pytest.fixture
def content(tmp_path: Path) -> Content:
    """One row of each kind, and some near home, with a picture that tells too much."""
    return one_of_each(tmp_path, (*ROWS, *HOME_ROWS, *FAR_ROWS))


def bytes_of(known: SurveyFormat, content: Content, folder: Path) -> bytes:
    """All bytes of a file of this format, those inside a zip unpacked too."""
    path = folder / f"out{known.suffixes[0]}"
    assert known.write is not None
    known.write(content, path)
    held = path.read_bytes()
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as archive:
            held += b"".join(archive.read(name) for name in archive.namelist())
    return held


def written(number: float) -> list[bytes]:
    """The ways a coordinate may stand in a file: its text, in full and short, and its bits."""
    return [
        repr(number).encode(), f"{number:.6f}".encode(), struct.pack("<d", number),
        struct.pack(">d", number),
    ]  # fmt: skip


def texts(rows: tuple[Row, ...]) -> list[bytes]:
    """Ids of rows."""
    return [row.id.encode() for row in rows]


@pytest.mark.parametrize("known", WRITTEN, ids=lambda known: known.key)
@pytest.mark.parametrize("near_home", list(NearHome))
def test_what_is_hidden_is_in_no_byte(
    known: SurveyFormat, near_home: NearHome, content: Content, tmp_path: Path
) -> None:
    """Home, phones, minutes, stops' places and the pictures' data are searched for in each file,
    and found in the same file where nothing was hidden."""
    workspace = tmp_path / "bare"
    workspace.mkdir()
    safe = hidden(content, replace(SAFE, near_home=near_home), workspace)
    secrets = [
        *written(HOME[0]), *written(HOME[1]), *written(NEAR_HOME[0]), *written(NEAR_HOME[1]),
        b"Kitchen Lane", b"device-1", b"Phone A", b"Cracked corner", b"Invented OS 4",
        *written(60.1705), *written(24.9405), b"12:00:00.25", b"T12:00:00.250000",
        SECRET_COMMENT, b"SecretMaker", b"2026:05:04", b"TRAILING SECRET", b"Exif",
        b"27.4", struct.pack("<d", 27.4), b"33.125", b"47.625", struct.pack("<d", -47.625),
        b"Mill Street", b"Cellar Yard", b"Invented quay",
    ]  # fmt: skip
    if near_home is NearHome.CUT:
        secrets += [*texts(HOME_ROWS), b"Doorstep", b"by my own door", b"777.125"]
    open_bytes = bytes_of(known, content, tmp_path)
    safe_bytes = bytes_of(known, safe, tmp_path)
    site = next(row for row in ROWS if isinstance(row, Site))

    assert [secret for secret in secrets if secret in safe_bytes] == []
    assert site.name.encode() in safe_bytes
    assert sum(secret in open_bytes for secret in secrets) >= 8


def test_what_is_left_stands_by_itself(content: Content, tmp_path: Path) -> None:
    """After cutting, no row names one that is gone, and all kinds of the far stop are there."""
    safe = hidden(content, SAFE, tmp_path)
    ids = {row.id for row in safe.rows}
    named = {
        getattr(row, name)
        for row in safe.rows
        for name in ("stop_id", "site_id", "sector_id", "device_id", "reading_id", "together_with")
        if getattr(row, name, None)
    }

    assert named <= ids
    assert {type(row) for row in safe.rows} == {type(row) for row in content.rows}
    assert len(safe.rows) == len(ROWS) + len(FAR_ROWS)


def test_phones_are_numbered_alike_in_every_row_and_cannot_be_traced(content: Content) -> None:
    """The same phone keeps one new id through a file; another salt gives another id."""
    found = []
    for salt in ("one", "other"):
        safe = hidden(content, replace(NOTHING, devices=True, salt=salt), Path())
        (phone,) = safe.of(Device)
        assert phone.label == "Phone 1"
        assert phone.model == "Invented 1"
        assert {reading.device_id for reading in safe.of(Reading)} == {phone.id}
        found.append(phone.id)

    assert found[0] != found[1]


def test_times_are_cut_to_the_hour_and_stamps_go(content: Content) -> None:
    """Day and hour stay, for the survey needs them; minutes and stamps do not."""
    safe = hidden(content, replace(NOTHING, exact_times=True), Path())

    assert {stop.time_utc for stop in safe.of(Stop)} == {WHEN.replace(minute=0, microsecond=0)}
    assert all(row.created_utc is row.changed_utc is None for row in safe.rows)


def test_hiding_nothing_changes_nothing(content: Content, tmp_path: Path) -> None:
    """A copy for one's own use is the content itself."""
    own = hidden(content, NOTHING, tmp_path)

    assert list(own.rows) == list(content.rows)
    assert own.pictures == content.pictures
    assert told(NOTHING) == []


@example(0.859375, 180.0, 25.0)
@given(st.floats(-89.0, 89.0), st.floats(-180.0, 180.0), st.sampled_from([25.0, 50.0, 1000.0]))
@settings(max_examples=60, deadline=None)
def test_a_place_on_the_grid_is_near_and_stays_put(lat: float, lon: float, grid_m: float) -> None:
    """The grid moves a place by at most its diagonal's half, and a second time not at all."""
    once = on_grid(lat, lon, grid_m)

    assert inverse(lat, lon, *once).distance_m <= 0.72 * grid_m + 0.2
    assert inverse(*once, *on_grid(*once, grid_m)).distance_m < 0.2


@given(st.floats(0.0, 360.0), st.floats(0.0, 299.0))
@settings(max_examples=60, deadline=None)
def test_nothing_within_the_radius_of_home_is_left(azimuth: float, distance_m: float) -> None:
    """However the hidden circle is shifted, all that is near home is inside it."""
    from surveyapp.geometry.geodesy import destination

    lat, lon = destination(*HOME, azimuth, distance_m)
    stop = Stop(survey_id="survey-1", number=1, time_utc=WHEN, lat_deg=lat, lon_deg=lon)

    assert hidden(Content(rows=[stop]), replace(SAFE, grid_m=None), Path()).rows == []


def test_a_stops_street_goes_with_its_place_and_stays_with_it(content: Content) -> None:
    """'Mill Street, between ...' tells more than a grid of 50 m hides; it once stayed."""
    assert {stop.place_text for stop in hidden(content, ON_GRID, Path()).of(Stop)} == {""}
    kept = hidden(content, replace(NOTHING, home_places=SAFE.home_places), Path())
    assert [stop.place_text for stop in kept.of(Stop)] == ["Mill Street", ""]


def test_the_way_a_panel_faces_goes_with_the_bearings(content: Content) -> None:
    """Panel azimuth and facing make a bearing: with the site's place that is a line to the stop."""
    assert {one.facing_deg for one in hidden(content, ON_GRID, Path()).of(Sighting)} == {None}


def test_a_copy_says_what_was_hidden_and_a_copy_of_it_says_more(content: Content) -> None:
    """In the survey itself, so that every format carries it; what was hidden before stays said."""
    once = hidden(content, ON_GRID, Path())
    twice = hidden(once, replace(NOTHING, devices=True), Path())

    assert [one.hidden for one in once.of(Survey)] == ["exact stops, exact times"]
    assert [one.hidden for one in twice.of(Survey)] == ["exact stops, exact times, phones"]


def test_pictures_from_no_known_place_go_where_home_is_hidden(content: Content) -> None:
    """A photo without stop and place may be of home, and goes."""
    lost = Photo(survey_id="survey-1", file=f"{'cd' * 32}.jpg")
    rows = [*content.rows, lost]
    safe = hidden(replace(content, rows=rows), replace(SAFE, picture_facts=False), Path())

    assert lost.id not in {row.id for row in safe.rows}
    assert len(safe.of(Photo)) == 1


def test_a_picture_keeps_its_pixels_and_stands_upright() -> None:
    """The rewritten picture is turned as its data said, and has no data left."""
    with Image.open(io.BytesIO(only_pixels(picture_with_facts()))) as bare:
        assert bare.size == (48, 64)
        assert dict(bare.getexif()) == {}
        assert not {"exif", "comment", "icc_profile"} & set(bare.info)
        assert bare.getpixel((5, 5)) == pytest.approx((0, 0, 128), abs=6)


def test_a_picture_with_transparency_stays_a_png() -> None:
    """A PNG's text goes, its see-through pixels stay."""
    from PIL.PngImagePlugin import PngInfo

    facts = PngInfo()
    facts.add_text("Comment", "taken at home")
    held = io.BytesIO()
    Image.new("RGBA", (8, 8), (10, 20, 30, 40)).save(held, "PNG", pnginfo=facts)
    bare = only_pixels(held.getvalue())

    assert b"taken at home" not in bare
    with Image.open(io.BytesIO(bare)) as picture:
        assert picture.getpixel((3, 3)) == (10, 20, 30, 40)


def test_a_damaged_picture_stops_the_export() -> None:
    """What cannot be rewritten is refused, never sent as it is."""
    with pytest.raises(FormatError, match="damaged"):
        only_pixels(picture_with_facts()[:200])


def test_exiftool_finds_nothing_but_the_pixels_form(tmp_path: Path) -> None:
    """exiftool, where installed, lists no position, time, maker or comment."""
    import shutil
    import subprocess

    if shutil.which("exiftool") is None:
        pytest.skip("exiftool is not installed")
    (tmp_path / "bare.jpg").write_bytes(only_pixels(picture_with_facts()))
    done = subprocess.run(
        ["exiftool", "-G", "-a", "-u", tmp_path / "bare.jpg"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip

    groups = {line[1 : line.index("]")] for line in done.stdout.splitlines()}
    assert groups <= {"ExifTool", "File", "JFIF", "Composite"}


def test_all_that_was_hidden_is_told() -> None:
    """The surveyor reads in words what the file no longer holds."""
    assert len(told(SAFE)) == 5
