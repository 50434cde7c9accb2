"""Every command with --json prints one object with exactly the promised keys."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.geometry.settle import NOTHING_MORE
from surveyapp.model import NorthReference, Sector, Sighting, Site, Stop, Survey, View
from surveyapp.store.notebook import Notebook

Answer = Callable[..., dict[str, Any]]
RANKED_KEYS = {
    "sector", "probability", "off_boresight_deg", "distance_m", "bearing_deg",
    "predicted_rsrp_dbm", "predicted_sigma_db",
}  # fmt: skip
SECTORS = (
    "--sector", "A,60.1702,24.9380,150",
    "--sector", "B,60.1702,24.9380,330,height_m=7,eirp_dbm=55,beamwidth_deg=65,pci=12",
)  # fmt: skip
ONE_MILLIMETRE_M = 0.001
A_THOUSANDTH_DEG = 0.001
HALF_A_HUNDREDTH_DEG = 0.0055  # the report rounds to 0.01 degree


def test_serving_ranks_the_sectors_and_ends_with_none(answer: Answer) -> None:
    """Keys as promised, probabilities that sum to one, 'none' last with no geometry."""
    found = answer("serving", "--at", "60.1699,24.9384", *SECTORS, "--mhz", "26500")
    ranking = found["ranking"]

    assert set(found) == {"ranking", "settle"}
    assert all(set(ranked) == RANKED_KEYS for ranked in ranking)
    assert sum(ranked["probability"] for ranked in ranking) == pytest.approx(1.0, abs=1e-9)
    assert [ranked["sector"] for ranked in ranking] == ["A", "B", "none"]
    assert ranking[-1]["distance_m"] is None
    assert isinstance(found["settle"], str)


def test_a_settled_answer_says_only_that(run: Callable[..., Result]) -> None:
    """'To settle it' stands before what is left to do, and not before 'Settled'."""
    sector = ("--sector", "A,60.1702,24.9380,150,pci=12")
    asked = ("serving", "--at", "60.1699,24.9384", *sector, "--mhz", "26500", "--rsrp", "-120")
    open_still, settled = run(*asked).stdout, run(*asked, "--pci", "12").stdout

    assert "To settle it: " in open_still
    assert settled.splitlines()[-1] == NOTHING_MORE


def test_serving_measures_on_the_ellipsoid(answer: Answer) -> None:
    """Distance and bearing as geographiclib and PROJ 9 give them for these two points."""
    found = answer("serving", "--at", "60.1699,24.9384", *SECTORS)
    first = found["ranking"][0]

    assert first["distance_m"] == pytest.approx(40.128275, abs=ONE_MILLIMETRE_M)
    assert first["bearing_deg"] == pytest.approx(326.402389505, abs=A_THOUSANDTH_DEG)
    assert first["off_boresight_deg"] == pytest.approx(3.5976, abs=A_THOUSANDTH_DEG)


@pytest.mark.parametrize(
    "told", [("--rsrp", "-78"), ("--pci", "12"), ("--view", "blocked"), ("--mhz", "700")]
)
def test_each_thing_told_moves_the_answer(answer: Answer, told: tuple[str, str]) -> None:
    """No option is passed over: every one changes the probabilities or the predictions."""
    without = answer("serving", "--at", "60.1699,24.9384", *SECTORS)
    with_it = answer("serving", "--at", "60.1699,24.9384", *SECTORS, *told)

    assert with_it != without


def test_fix_gives_position_ellipse_residuals_and_outliers(answer: Answer) -> None:
    """Two exact bearings to one place give that place, without residuals."""
    found = answer("fix", "--sighting", "60.1699,24.9384,45", "--sighting", "60.1699,24.9402,315,2")

    assert set(found) == {
        "lat_deg", "lon_deg", "ellipse_major_m", "ellipse_minor_m", "ellipse_azimuth_deg",
        "residuals_deg", "outliers",
    }  # fmt: skip
    assert found["lon_deg"] == pytest.approx(24.9393, abs=1e-5)
    assert found["residuals_deg"] == pytest.approx([0.0, 0.0], abs=A_THOUSANDTH_DEG)
    assert found["outliers"] == []
    assert found["ellipse_major_m"] >= found["ellipse_minor_m"] > 0.0


def test_fix_names_the_outlier_by_its_index(answer: Answer) -> None:
    """Of four sightings one points elsewhere; its index, counted from 0, is given."""
    bearings = ("45,2", "315,2", "130,2", "0,2")
    stops = ("60.1699,24.9384", "60.1699,24.9402", "60.1704,24.9384", "60.1699,24.9393")
    sightings = [
        part
        for stop, bearing in zip(stops, bearings, strict=True)
        for part in ("--sighting", f"{stop},{bearing}")
    ]
    found = answer("fix", *sightings)

    assert found["outliers"] == [2]
    assert abs(found["residuals_deg"][2]) > 20.0


def test_channel_names_frequency_bands_and_numbers(answer: Answer) -> None:
    """NR-ARFCN 2079167 is 28000.08 MHz, GSCN step and bands as in TS 38.104 (release 19)."""
    found = answer("channel", "nr 2079167")

    assert set(found) == {"mhz", "bands", "numbers"}
    assert found["mhz"] == pytest.approx(28000.08, abs=1e-6)
    assert {"n257", "n261"} <= set(found["bands"])
    assert found["numbers"]["nr"] == [2079167]


@pytest.mark.parametrize(
    ("place", "day", "declination_deg"),
    [
        ("80,0", "2025-01-01", 1.28),
        ("0,120", "2025-01-01", -0.16),
        ("-80,-120", "2025-01-01", 68.78),
        ("80,0", "2027-07-02", 2.59),
        ("0,120", "2027-07-02", -0.24),
        ("-80,-120", "2027-07-02", 68.49),
    ],
)
def test_declination_agrees_with_the_models_own_report(
    answer: Answer, place: str, day: str, declination_deg: float
) -> None:
    """Six rows at 0 km of the test table in the World Magnetic Model 2025 report, to rounding."""
    found = answer("declination", place, "--date", day)

    assert set(found) == {"declination_deg", "sigma_deg"}
    assert found["declination_deg"] == pytest.approx(declination_deg, abs=HALF_A_HUNDREDTH_DEG)


def test_declination_of_today_needs_no_date(run: Callable[..., Result]) -> None:
    """Without --date the day of this machine is taken, and named."""
    result = run("declination", "-33.9,151.2")

    assert result.exit_code == 0
    assert datetime.now(UTC).date().isoformat() in result.stdout


def test_rate_gives_the_peak_and_only_with_a_sinr_what_to_expect(answer: Answer) -> None:
    """TS 38.306 clause 4.1.2 by hand: 4 carriers, 2 layers, 6 bits, 948/1024, 66 blocks, 18 %."""
    peak_mbps = 1e-6 * 4 * 2 * 6 * (948 / 1024) * 66 * 12 * 14 * 8000 * (1 - 0.18)
    bare = answer("rate", "--carriers", "4x100@120kHz:2L64QAM")
    measured = answer("rate", "--carriers", "4x100@120kHz:2L64QAM", "--sinr", "14")
    shared = answer("rate", "--carriers", "4x100@120kHz:2L64QAM", "--sinr", "14", "--tdd", "DDDSU")

    assert set(bare) == {"peak_mbps"}
    assert bare["peak_mbps"] == pytest.approx(peak_mbps, abs=1e-6)
    assert set(measured) == {"peak_mbps", "expected_mbps"}
    assert 0.0 < shared["expected_mbps"] < measured["expected_mbps"] < peak_mbps


def test_ground_makes_a_notebook_and_check_finds_it_whole(answer: Answer, tmp_path: Path) -> None:
    """Streets brought in are counted, and the notebook they went into is whole."""
    streets = tmp_path / "one.geojson"
    streets.write_text(
        '{"type": "Feature", "properties": {"highway": "residential", "name": "Mill Street"},'
        ' "geometry": {"type": "LineString", "coordinates": [[24.9, 60.1], [24.91, 60.1]]}}'
    )
    notebook = tmp_path / "walk.notebook"
    brought = answer("ground", notebook, streets)

    assert brought["streets"] == 1
    assert answer("check", notebook) == {"whole": True, "damages": []}
    with Notebook.open(notebook) as opened:
        assert [street.name for street in opened.ground.within(60, 24, 61, 25).streets] == [
            "Mill Street"
        ]


def test_check_tells_a_missing_picture_by_exit_code_1(
    run: Callable[..., Result], tmp_path: Path
) -> None:
    """A notebook that lost a picture is damaged: code 1, and the file is named."""
    from io import BytesIO

    from PIL import Image

    drawn = BytesIO()
    Image.new("RGB", (8, 8), (250, 247, 240)).save(drawn, "PNG")
    with Notebook.create(tmp_path / "walk.notebook") as notebook:
        survey = notebook.save(Survey(title="Walk"))[0]
        photo = notebook.add_photo(drawn.getvalue(), survey_id=survey.id)
        (notebook.photo_folder / photo.file).unlink()
    result = run("check", tmp_path / "walk.notebook")

    assert result.exit_code == 1
    assert photo.file in result.stdout


def a_notebook(path: Path) -> None:
    """One site sighted from two stops; a third sighting found the view blocked."""
    survey = Survey(title="Walk")
    site = Site(name="Node 1", lat_deg=60.1704, lon_deg=24.9393)
    stops = [
        Stop(survey_id=survey.id, number=number, lat_deg=60.1699, lon_deg=lon_deg,
             position_sigma_m=5.0, time_utc=datetime(2026, 5, 4, 9, number, tzinfo=UTC))
        for number, lon_deg in ((1, 24.9384), (2, 24.9402), (3, 24.9412))
    ]  # fmt: skip
    seen = [
        Sighting(stop_id=stop.id, site_id=site.id, bearing_deg=bearing_deg, sigma_deg=3.0,
                 raw_reference=NorthReference.TRUE, view=view)
        for stop, bearing_deg, view in zip(
            stops, (45.0, 315.0, None), (View.CLEAR, View.CLEAR, View.BLOCKED), strict=True
        )
    ]  # fmt: skip
    sector = Sector(site_id=site.id, label="S1", azimuth_deg=160.0)
    with Notebook.create(path) as notebook:
        notebook.save(survey, site, sector, *stops, *seen)


def test_fix_takes_the_sightings_of_a_site_from_a_notebook(answer: Answer, tmp_path: Path) -> None:
    """Blocked views have no bearing and do not join; the name may differ in case."""
    a_notebook(tmp_path / "walk.notebook")
    found = answer("fix", "--notebook", tmp_path / "walk.notebook", "--site", "node 1")

    assert found["lon_deg"] == pytest.approx(24.9393, abs=1e-5)
    assert len(found["residuals_deg"]) == 2


def test_serving_asks_about_the_newest_stop_or_the_one_named(
    answer: Answer, run: Callable[..., Result], tmp_path: Path
) -> None:
    """Without --stop the last stop is meant; a number that does not exist is refused."""
    path = tmp_path / "walk.notebook"
    a_notebook(path)
    newest = answer("serving", "--notebook", path)
    third = answer("serving", "--notebook", path, "--stop", "3")
    missing = run("serving", "--notebook", path, "--stop", "4")

    assert newest == third
    assert newest != answer("serving", "--notebook", path, "--stop", "1")
    assert missing.exit_code == 2
    assert "no stop 4" in missing.stderr


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("fix", "--site", "Node 9"), "Node 1"),
        (("serving", "--survey", "Monday"), "Walk"),
        (("serving", "--device", "Phone A"), "none yet"),
    ],
)
def test_an_unknown_name_is_refused_with_the_known_ones(
    run: Callable[..., Result], tmp_path: Path, arguments: tuple[str, ...], word: str
) -> None:
    """The sentence lists what the notebook does hold."""
    a_notebook(tmp_path / "walk.notebook")
    result = run(arguments[0], "--notebook", tmp_path / "walk.notebook", *arguments[1:])

    assert result.exit_code == 2
    assert word in result.stderr


@pytest.mark.parametrize("command", [("serving",), ("fix", "--site", "Node 1")])
def test_an_empty_notebook_gives_one_sentence(
    run: Callable[..., Result], tmp_path: Path, command: tuple[str, ...]
) -> None:
    """Nothing entered yet: said so, with what to do."""
    path = tmp_path / "empty.notebook"
    Notebook.create(path).close()
    result = run(command[0], "--notebook", path, *command[1:])

    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1


def test_positions_are_read_in_any_usual_form(answer: Answer) -> None:
    """Degrees and minutes, sides of the Earth, decimal commas and geo: URIs answer as decimals."""
    day = ("--date", "2026-06-10")
    plain = answer("declination", "-33.5,151.25", *day)
    for written in ("33°30'S 151°15'E", "33,5S 151,25E", "-33,5; 151,25", "geo:-33.5,151.25;u=9"):
        assert answer("declination", written, *day) == plain
    sightings = ("60.5,24.25,10", "60.5,24.26,350"), ("60°30'N,24°15'E,10", "60.5N,24.26E,350")
    first, second = (answer("fix", "--sighting", a, "--sighting", b) for a, b in sightings)
    assert first == second
