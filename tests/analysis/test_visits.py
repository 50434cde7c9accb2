"""A site's history: versions, sightings and readings of two visits become changes in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from surveyapp.analysis.visit_changes import ChangeKind, PanelState, Visit, changes_between
from surveyapp.analysis.visits import SiteHistory, site_history
from surveyapp.errors import NoAnswer
from surveyapp.model import (
    Carrier,
    Device,
    Rat,
    Reading,
    Row,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteStatus,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store.notebook import Notebook

SPRING = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
AUTUMN = datetime(2026, 9, 7, 10, 0, tzinfo=UTC)
SITE = Site(
    id="site", name="Mole 1", status=SiteStatus.SEEN, lat_deg=60.17, lon_deg=24.94,
    position_sigma_m=3.0, height_m=7.0,
)  # fmt: skip
N258 = SectorCarrier(rat=Rat.NR, band="n258", bandwidth_mhz=100.0, count=4)
B20 = SectorCarrier(rat=Rat.LTE, band="b20", bandwidth_mhz=10.0)
NORTH = Sector(
    id="north", site_id="site", label="North", azimuth_deg=0.0, azimuth_sigma_deg=5.0, pci=11,
    carriers=(N258,),
)  # fmt: skip
SOUTH = replace(NORTH, id="south", label="South", azimuth_deg=180.0, pci=12)


class Clock:
    """A clock that stands where it is put."""

    now = SPRING

    def __call__(self) -> datetime:
        """The time it shows."""
        return self.now


def visit(
    start: datetime, name: str, speed: float, pci: int, stops: int = 6, azimuth: float | None = None
) -> list[Row]:
    """The rows of a visit: a run at each stop, and a sighting of the north panel where told."""
    survey = Survey(id=name, title=name)
    rows: list[Row] = [survey]
    for number in range(1, stops + 1):
        stop = Stop(
            id=f"{name} {number}", survey_id=name, number=number, lon_deg=24.94,
            lat_deg=60.17 + 0.0005 * number, time_utc=start + timedelta(minutes=number),
        )  # fmt: skip
        reading = Reading(
            id=f"{name} reading {number}", stop_id=stop.id, device_id="phone",
            time_utc=stop.time_utc, carriers=(Carrier(rat=Rat.NR, pci=pci, rsrp_dbm=-80.0),),
        )  # fmt: skip
        run = SpeedRun(
            stop_id=stop.id, device_id="phone", time_utc=stop.time_utc, reading_id=reading.id,
            down_mbps=speed * (1.0 + 0.02 * (number % 3)) * number,
        )  # fmt: skip
        rows += [stop, reading, run]
        if azimuth is not None:
            rows.append(
                Sighting(
                    stop_id=stop.id,
                    site_id="site",
                    sector_id="north",
                    bearing_deg=180.0,
                    facing_deg=azimuth,
                    sigma_deg=3.0,
                )
            )
    return rows


@pytest.fixture
def clock() -> Clock:
    """A clock to be put forward."""
    return Clock()


@pytest.fixture
def notebook(tmp_path: Path, clock: Clock) -> Iterator[Notebook]:
    """A notebook with the site as it was in spring, before the first visit."""
    clock.now = SPRING - timedelta(days=1)
    with Notebook.create(tmp_path / "walk.notebook", clock) as made:
        made.save(Device(id="phone", label="Phone A"), SITE, NORTH)
        yield made


def history(notebook: Notebook) -> SiteHistory:
    """The site's history, every reading taken as the north panel's."""
    scenes = [notebook.stop_scene(stop.id) for stop in notebook.all(Stop)]
    served = {reading.id: "north" for scene in scenes for reading in scene.readings}
    panels = {"north", "south"}
    return site_history(
        notebook.versions(Site, "site"),
        [notebook.versions(Sector, name) for name in sorted(panels)],
        scenes,
        served,
    )


def test_changes_noted_between_visits_are_told(notebook: Notebook, clock: Clock) -> None:
    """A new panel, new carriers, another PCI and status each become one change, with numbers."""
    clock.now = SPRING + timedelta(hours=2)
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    clock.now = AUTUMN + timedelta(hours=2)
    notebook.save(*visit(AUTUMN, "autumn", 100.0, 21))
    notebook.save(
        replace(SITE, status=SiteStatus.LIVE), SOUTH, replace(NORTH, pci=21, carriers=(N258, B20))
    )
    found = history(notebook)
    told = {change.kind: change for change in found.steps[0].changes}

    assert [one.title for one in found.visits] == ["spring", "autumn"]
    assert [len(one.panels) for one in found.visits] == [1, 2]
    assert told[ChangeKind.STATUS].what == "was seen, is live"
    assert told[ChangeKind.PANEL_ADDED].panel == "South"
    assert told[ChangeKind.CARRIERS].what == "now with LTE b20 1 x 10 MHz"
    assert told[ChangeKind.PCI].what == "PCI noted as 11, then as 21"
    assert set(told) == {
        ChangeKind.STATUS, ChangeKind.PANEL_ADDED, ChangeKind.CARRIERS, ChangeKind.PCI,
    }  # fmt: skip


def test_edits_made_at_home_belong_to_the_visit_before(notebook: Notebook, clock: Clock) -> None:
    """What was noted after a visit and before the next is how the site stood at the first."""
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    clock.now = SPRING + timedelta(days=3)
    notebook.save(SOUTH)
    clock.now = AUTUMN + timedelta(hours=2)
    notebook.save(*visit(AUTUMN, "autumn", 100.0, 11))

    assert history(notebook).steps[0].changes == ()


@pytest.mark.parametrize(("azimuth", "moved"), [(10.0, False), (60.0, True), (-60.0, True)])
def test_a_turned_panel_is_told_beyond_its_error_only(
    notebook: Notebook, azimuth: float, moved: bool
) -> None:
    """Six sightings 60 degrees off are a turn, 10 degrees off are within the eye's error."""
    notebook.save(*visit(SPRING, "spring", 100.0, 11, azimuth=0.0))
    notebook.save(*visit(AUTUMN, "autumn", 100.0, 11, azimuth=azimuth))
    found = history(notebook)
    told = [change for change in found.steps[0].changes if change.kind is ChangeKind.AZIMUTH]

    assert bool(told) is moved
    if moved:
        assert f"turned by {azimuth:+.0f}°" in told[0].what
        assert any("sight it from two stops" in words for words in found.check_next)


def test_a_pci_read_otherwise_is_told_where_none_was_noted_anew(notebook: Notebook) -> None:
    """Readings alone can tell that a cell's PCI changed."""
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    notebook.save(*visit(AUTUMN, "autumn", 100.0, 31))
    (change,) = history(notebook).steps[0].changes

    assert change.what == "PCI read as 11, then as 31"


def test_a_panel_taken_down_and_a_site_moved_are_told(notebook: Notebook, clock: Clock) -> None:
    """A deleted panel is gone from the second visit; 30 m are more than 3 m explain, 4 m not."""
    notebook.save(SOUTH)
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    clock.now = AUTUMN + timedelta(hours=2)
    notebook.save(*visit(AUTUMN, "autumn", 100.0, 11))
    notebook.delete(notebook.get(Sector, "south"))
    notebook.save(replace(SITE, lat_deg=60.17004))
    assert [change.kind for change in history(notebook).steps[0].changes] == [ChangeKind.PANEL_GONE]
    notebook.save(replace(SITE, lat_deg=60.17027))

    assert [change.kind for change in history(notebook).steps[0].changes] == [
        ChangeKind.POSITION, ChangeKind.PANEL_GONE,
    ]  # fmt: skip


def test_speeds_before_and_after_use_the_same_statistics(notebook: Notebook) -> None:
    """Half as fast again at six places: the ratio, its interval and a winner."""
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    notebook.save(*visit(AUTUMN, "autumn", 150.0, 11))
    speeds = history(notebook).steps[0].speeds

    assert speeds.ratio is not None
    assert speeds.ratio.ratio == pytest.approx(100.0 / 150.0, abs=1e-9)
    assert speeds.winner == "second"
    assert (speeds.first, speeds.second) == ("spring", "autumn")


def test_runs_of_other_sites_do_not_count(notebook: Notebook) -> None:
    """Speeds are those on this site's panels only, and a survey that never met it is no visit."""
    notebook.save(*visit(SPRING, "spring", 100.0, 11))
    notebook.save(*visit(AUTUMN, "autumn", 150.0, 11))
    scenes = [notebook.stop_scene(stop.id) for stop in notebook.all(Stop)]
    served: dict[str, str | None] = {
        reading.id: "north" if scene.survey.id == "spring" else "elsewhere"
        for scene in scenes
        for reading in scene.readings
    }
    found = site_history([SITE], [[NORTH]], scenes, served)

    assert [one.title for one in found.visits] == ["spring"]
    assert found.steps == ()


def test_what_is_not_known_is_to_be_looked_at() -> None:
    """A bare lead asks for everything; a well-known live site asks for nothing."""
    lead = Site(id="site", name="Lead", status=SiteStatus.LEAD)
    bare = site_history([lead], [], [], {})
    blunt = site_history(
        [replace(SITE, position_sigma_m=40.0)],
        [[replace(NORTH, azimuth_sigma_deg=20.0)], [replace(SOUTH, azimuth_deg=None)]], [], {},
    )  # fmt: skip

    assert len(bare.check_next) == 4
    assert any("±40 m" in words for words in blunt.check_next)
    assert any("±20°" in words for words in blunt.check_next)
    assert any("has no azimuth" in words for words in blunt.check_next)


def test_a_site_known_through_and_through_asks_for_nothing(notebook: Notebook) -> None:
    """Live, placed, high, sighted and read: nothing is left to check."""
    notebook.save(replace(SITE, status=SiteStatus.LIVE))
    notebook.save(*visit(SPRING, "spring", 100.0, 11))

    assert history(notebook).check_next == ()


def test_no_state_is_no_site() -> None:
    """Without any version there is nothing to tell."""
    with pytest.raises(NoAnswer):
        site_history([], [], [], {})


def test_speeds_scale_out_of_the_ratio() -> None:
    """The figures of this test's walk differ by place, so only pairs can compare them."""
    rows = [row for row in visit(SPRING, "spring", 100.0, 11) if isinstance(row, SpeedRun)]
    speeds = [math.log(row.down_mbps or 1.0) for row in rows]

    assert max(speeds) - min(speeds) > 1.5


def test_a_panel_seen_at_one_azimuth_and_noted_at_another_is_not_said_to_have_turned() -> None:
    """It was noted wrong on the first visit, and the history claimed that it had turned by 90
    degrees; what was not seen twice may be either."""
    noted = Sector(site_id="site", label="S2", azimuth_deg=175.0, azimuth_sigma_deg=8.0)
    site = Site(id="site", name="Node")
    seen = PanelState(sector=noted, seen_azimuth_deg=85.0, seen_sigma_deg=16.0)
    first = Visit(survey_id="a", title="first", time_utc=SPRING, site=site, panels=(seen,))
    later = replace(first, survey_id="b", time_utc=AUTUMN, panels=(PanelState(sector=noted),))

    (change,) = changes_between(first, later)

    assert change.what.startswith("was seen at 85°, then noted at 175°, which is +90°")
    assert change.what.endswith("turned since, or noted wrong")
