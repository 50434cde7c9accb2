"""The Book by touch: surveys, sites with their panels, phones, ground, settings."""

from __future__ import annotations

import shutil
from pathlib import Path

from surveyapp.model import Device, Rat, Sector, Site, SiteKind, SiteStatus, Survey
from surveyapp.resources import shipped
from surveyapp.ui.theme import theme
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch

TOUCHES = 12  # the budget for a new install with three panels, beyond its name


def site_named(pilot: Pilot, name: str) -> Site:
    """The site of this name."""
    return pilot.session.notebook.all(Site, name=name)[0]


def panels_of(pilot: Pilot, site: Site) -> list[Sector]:
    """Its panels."""
    return pilot.session.notebook.all(Sector, site_id=site.id)


def test_a_new_install_with_three_panels_takes_few_touches(full: Pilot) -> None:
    """From the Book to saved: mount, operator, place and three panels within the budget."""
    full.touches = 0
    touch("Sites", "Add")(full)
    full.type("Quay Street 12")
    full.touch("Next")
    full.touch("Lamp post")
    full.touch("Northern Radio")
    full.touch("Three, 120° apart")
    for key in "30":
        full.touch_key(key)
    full.touch("I stand beneath it")
    full.touch("Save")
    site = site_named(full, "Quay Street 12")
    azimuths = sorted(panel.azimuth_deg for panel in panels_of(full, site))

    assert azimuths == [30.0, 150.0, 270.0]
    assert (site.kind, site.operator) == (SiteKind.LAMP_POST, "Northern Radio")
    assert (site.lat_deg, site.lon_deg) == filled.PLACE_DEG
    assert full.touches <= TOUCHES, f"{full.touches} touches"


def test_a_site_is_changed_without_losing_a_digit_of_its_place(full: Pilot) -> None:
    """Only what was touched is another."""
    before = site_named(full, "Mill Street 3")
    touch("Sites", "Mill Street 3", "Change", "Status", "Dark", "Save")(full)
    after = full.session.notebook.get(Site, before.id)

    assert after.status is SiteStatus.DARK
    assert (after.lat_deg, after.lon_deg, after.height_m) == (
        before.lat_deg, before.lon_deg, before.height_m,
    )  # fmt: skip
    assert len(panels_of(full, before)) == 2


def test_a_panel_with_carriers_is_added(full: Pilot) -> None:
    """Azimuth and one carrier by the pad; the list of the site shows it."""
    site = site_named(full, "Mill Street 3")
    touch("Sites", "Mill Street 3", "Add a panel")(full)
    full.touch("C")
    for keys in ("275", "258", "4", "100"):
        for key in keys:
            full.touch_key(key)
        full.touch_key("Next" if keys != "100" else "Save")
    panel = next(p for p in panels_of(full, site) if p.label == "C")

    assert panel.azimuth_deg == 275.0
    (carrier,) = panel.carriers
    assert (carrier.rat, carrier.band, carrier.count, carrier.bandwidth_mhz) == (
        Rat.NR, "n258", 4, 100.0,
    )  # fmt: skip
    harness.frames(6)
    assert full.says("n258 4 × 100 MHz")


def test_a_panel_keeps_its_two_carriers_when_its_azimuth_changes(full: Pilot) -> None:
    """Editing one value rewrites no other."""
    before = next(p for p in panels_of(full, site_named(full, "Mill Street 3")) if p.pci == 101)
    touch("Sites", "Mill Street 3", "Panel South", "Azimuth")(full)
    for key in "185":
        full.touch_key(key)
    full.touch("Save")
    after = full.session.notebook.get(Sector, before.id)

    assert after.azimuth_deg == 185.0
    assert after.carriers == before.carriers


def test_a_half_typed_panel_goes_to_the_site_whose_page_is_open(full: Pilot) -> None:
    """A draft left at one site is not saved at that one from the page of another."""
    touch("Sites", "Mill Street 3", "Add a panel")(full)
    full.type("X")
    full.back()
    full.back()
    harness.frames(6)
    touch("Corner of Dock Lane", "Add a panel", "Save")(full)
    panel = next(p for p in full.session.notebook.all(Sector) if p.label == "X")

    assert panel.site_id == site_named(full, "Corner of Dock Lane and Ropemaker Street").id


def test_a_deleted_site_leaves_its_page(full: Pilot) -> None:
    """The list comes back without it, and Undo is offered."""
    touch("Sites", "Mill Street 3", "Change", "Delete")(full)
    harness.frames(8)

    assert full.router.pages[-1] == ("section", {"section": "sites"})
    assert full.says("Deleted site Mill Street 3.")
    full.touch("Undo")
    assert len(panels_of(full, site_named(full, "Mill Street 3"))) == 2


def test_a_survey_is_added_and_becomes_the_current_one(full: Pilot) -> None:
    """Rain is asked for only where it rains; the other survey can be gone on with."""
    touch("Surveys", "Add")(full)
    full.touch("Weather")
    full.touch("Light rain")
    full.touch_key("2")
    full.touch("Save")
    made = full.session.survey
    assert (made.title, made.rain_mm_h) == ("Survey of Wednesday 10 June 2026", 2.0)
    harness.frames(6)
    touch("Harbour side, first visit", "Go on with this survey")(full)

    assert full.session.survey.title == "Harbour side, first visit"
    assert full.session.notebook.count(Survey) == 2


def test_a_time_zone_that_is_none_is_refused(full: Pilot) -> None:
    """One sentence, and the survey as it was."""
    touch("Surveys", "Harbour side, first visit", "Change")(full)
    full.router.sheets[-1].put("zone", "Middle of nowhere")
    full.touch("Save")

    assert full.says("Middle of nowhere is no time zone")
    assert full.session.notebook.all(Survey)[0].time_zone == "Europe/Helsinki"


def test_a_phone_is_added_and_changed(full: Pilot) -> None:
    """Its name is needed, its modem kept."""
    touch("Phones", "Add", "Save")(full)
    assert full.says("Name is needed.")
    full.type("Phone C")
    full.touch("Modem")
    full.type("M7")
    full.touch("Save")

    assert [d.modem for d in full.session.notebook.all(Device, label="Phone C")] == ["M7"]


def test_ground_is_brought_in_from_a_file_and_told(full: Pilot, tmp_path: Path) -> None:
    """Chosen in the folders; its name and attribution stand on the page."""
    folder = tmp_path / "maps"
    folder.mkdir()
    shutil.copy(shipped("sample_surveys", "quarter.osm.gz"), folder)
    full.session.notebook.keep_setting("last_folder", str(folder))
    touch("Ground", "Choose a file", "quarter.osm.gz")(full)
    harness.frames(6)

    assert full.says("Brought in quarter.osm.gz.")
    assert full.says("OpenStreetMap contributors")
    assert full.session.notebook.ground.bounds is not None


def test_a_file_that_is_no_ground_changes_nothing(full: Pilot, tmp_path: Path) -> None:
    """The reason is told, the ground there was stays."""
    (tmp_path / "broken.geojson").write_text("{", encoding="utf-8")
    full.session.notebook.keep_setting("last_folder", str(tmp_path))
    touch("Ground", "Choose a file", "broken.geojson")(full)
    harness.frames(6)

    assert full.app.root.message.endswith(".")
    assert "broken.geojson" in full.app.root.message
    assert full.session.notebook.ground.bounds is None


def test_settings_work_at_once_and_last(full: Pilot) -> None:
    """Night and 130 % are in force, and again in a new process."""
    touch("Settings", "Night", "130%")(full)
    path = full.session.notebook.path
    assert (theme.name, theme.text_scale) == ("night", 1.3)
    kept = [full.session.notebook.setting(name) for name in ("theme", "text_scale")]

    assert kept == ["night", 1.3]
    assert path.exists()


def test_on_a_desk_the_section_stands_beside_the_contents(full: Pilot) -> None:
    """A tap on Sites changes the right side only."""
    harness.Window.size = harness.DESK
    harness.frames(8)
    assert full.says("Harbour side, first visit")
    full.touch("Sites")
    harness.frames(8)

    assert full.says("Mill Street 3")
    assert full.says("Cautions")
    assert full.router.pages == [("book", {})]
