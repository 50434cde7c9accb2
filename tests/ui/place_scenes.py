"""The scenes of the Plan, the Day and the Book: name, the way there, whether in a new notebook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from surveyapp.exchange.formats import read_ground
from surveyapp.model import Ground, SiteStatus
from surveyapp.resources import shipped
from surveyapp.ui.keeping import backed_up
from tests.ui import gestures, harness, picture_folder
from tests.ui.harness import Pilot


def touch(*words: str) -> Callable[[Pilot], None]:
    """Touch one thing after the other, each as soon as it is there."""

    def go(pilot: Pilot) -> None:
        for word in words:
            harness.frames(6)
            pilot.touch(word)

    return go


def backups_told(pilot: Pilot) -> None:
    """Two backups, and the choice what is to become of the older one."""
    for day in (9, 10):
        moment = f"2026-06-{day:02d}T09:30:00"
        backed_up(pilot.session.notebook.path, moment, lambda: False)
    touch("Book", "Backups", "Tuesday 9 June 2026")(pilot)


@cache
def quarter() -> Ground:
    """The quarter that comes with the program, read once."""
    return read_ground(shipped("sample_surveys", "quarter.osm.gz"))


def bring_ground(pilot: Pilot) -> None:
    """Put that quarter into the notebook."""
    ground = quarter()
    pilot.session.notebook.ground.replace(ground, "quarter.osm.gz")


def plan(pilot: Pilot) -> None:
    """The plan with its ground."""
    bring_ground(pilot)
    pilot.touch("Plan")
    harness.wait(0.15)


def _plan_site(pilot: Pilot) -> None:
    plan(pilot)
    view = gestures.plan_view(pilot)
    gestures.tap(pilot, gestures.on_plan(view, view.marks.sites[0].at))


def _plan_place(pilot: Pilot) -> None:
    plan(pilot)
    view = gestures.plan_view(pilot)
    gestures.hold(pilot, gestures.in_window(view, 60, 110))


def _plan_measured(pilot: Pilot) -> None:
    plan(pilot)
    view = gestures.plan_view(pilot)
    pilot.touch("Measure")
    gestures.tap(pilot, gestures.in_window(view, -60, -40))
    gestures.tap(pilot, gestures.in_window(view, 80, 60))


def _plan_pick(pilot: Pilot) -> None:
    bring_ground(pilot)
    touch("Sighting", "Mill Street 3", "Bearing from the plan")(pilot)
    harness.wait(0.3)


def _reviewed(page: str) -> Callable[[Pilot], None]:
    """A page over the day that waits for the look through the survey."""

    def go(pilot: Pilot) -> None:
        touch("Day", "Review", page)(pilot)
        survey = pilot.session.survey
        harness.until(lambda: pilot.session.reviewer.is_fresh(survey.id))
        harness.frames(6)

    return go


def _card_action(name: str, action: str) -> Callable[[Pilot], None]:
    """A tap on a site of the plan, then on a chip of its card."""

    def go(pilot: Pilot) -> None:
        plan(pilot)
        view = gestures.plan_view(pilot)
        at = next(mark.at for mark in view.marks.sites if mark.site.name == name)
        gestures.tap(pilot, gestures.on_plan(view, at))
        pilot.touch(action)
        harness.frames(4)

    return go


def _plan_sheet(*words: str) -> Callable[[Pilot], None]:
    def go(pilot: Pilot) -> None:
        plan(pilot)
        touch(*words)(pilot)
        harness.frames(6)

    return go


def _plan_list(pilot: Pilot) -> None:
    plan(pilot)
    for _ in range(8):
        pilot.touch("Farther")
    view = gestures.plan_view(pilot)
    gestures.tap(pilot, gestures.on_plan(view, view.marks.sites[0].at))
    pilot.touch("List of")
    harness.frames(6)


def _plan_answer(pilot: Pilot) -> None:
    plan(pilot)
    touch("Where next", "Sectors nobody")(pilot)
    gestures.answered(pilot)


def _plan_cover(pilot: Pilot) -> None:
    _card_action("Mill Street 3", "Cover")(pilot)
    touch("Panel South")(pilot)
    gestures.answered(pilot)


def _plan_figures(pilot: Pilot) -> None:
    _plan_cover(pilot)
    pilot.touch("Figures")
    harness.frames(6)


def _plan_tick(pilot: Pilot) -> None:
    site = pilot.session.sites[0]
    pilot.session.save(replace(site, status=SiteStatus.LEAD), what="a lead")
    _card_action(site.name, "Tick it off")(pilot)


def site_told(name: str) -> Callable[[Pilot], None]:
    """A site's page, its history worked out."""

    def go(pilot: Pilot) -> None:
        touch("Book", "Sites", name)(pilot)
        harness.frames(6)
        page = pilot.app.root.ids.manager.get_screen("site")
        harness.until(lambda: not page.visits.startswith("Looking"))
        harness.frames(2)

    return go


def sorted_photos(pilot: Pilot) -> None:
    """A folder of three pictures sorted to the stops."""
    picture_folder.write(pilot.session.notebook.path.parent / "camera")
    pilot.session.notebook.keep_setting("last_folder", str(picture_folder.of(pilot)))
    touch("Day", "Review", "Photos sorted", "Choose a picture", "at no stop.jpg")(pilot)
    page = pilot.app.root.ids.manager.get_screen("photos")
    harness.until(lambda: page.items)
    harness.frames(2)


SURVEY = "Harbour side, first visit"
SCENES: list[tuple[str, Callable[[Pilot], None], bool]] = [
    ("plan", plan, False),
    ("plan_site", _plan_site, False),
    ("plan_place", _plan_place, False),
    ("plan_measure", _plan_measured, False),
    ("plan_pick", _plan_pick, False),
    ("plan_layers", _plan_sheet("Layers"), False),
    ("plan_list", _plan_list, False),
    ("plan_next", _plan_sheet("Where next"), False),
    ("plan_street", _plan_sheet("Where next", "Gaps in the cover along"), False),
    ("plan_answer", _plan_answer, False),
    ("plan_cover_level", _card_action("Mill Street 3", "Cover"), False),
    ("plan_cover", _plan_cover, False),
    ("plan_figures", _plan_figures, False),
    ("plan_tick", _plan_tick, False),
    ("plan_empty", touch("Plan"), True),
    ("day", touch("Day"), False),
    ("day_empty", touch("Day"), True),
    ("day_filter", touch("Day", "Filter", "In doubt"), False),
    ("review", touch("Day", "Review"), False),
    ("doubts", _reviewed("Doubts"), False),
    ("measured", _reviewed("Measured against"), False),
    ("compare", _reviewed("Compared"), False),
    ("arrange", touch("Day", "Review", "Put entries", "A tall lorry"), False),
    ("clock", touch("Day", "Review", "Set a clock", "Phone A"), False),
    ("photos", sorted_photos, False),
    ("day_stop", touch("Day", "Stop 1"), False),
    ("book", touch("Book"), False),
    ("book_empty", touch("Book"), True),
    ("surveys", touch("Book", "Surveys"), False),
    ("survey", touch("Book", "Surveys", SURVEY), False),
    ("survey_change", touch("Book", "Surveys", SURVEY, "Change"), False),
    ("sites", touch("Book", "Sites"), False),
    ("site", site_told("Mill Street 3"), False),
    ("site_panels", touch("Book", "Sites", "Add", "Panels", "Three, 120° apart"), False),
    ("place_name", touch("Book", "Sites", "Mill Street 3", "Name of the place"), False),
    ("site_change", touch("Book", "Sites", "Mill Street 3", "Change"), False),
    ("panel_new", touch("Book", "Sites", "Mill Street 3", "Add a panel", "Azimuth"), False),
    ("panel_change", touch("Book", "Sites", "Mill Street 3", "Panel South"), False),
    ("phones", touch("Book", "Phones"), False),
    ("phones_empty", touch("Book", "Phones"), True),
    ("ground", touch("Book", "Ground"), False),
    ("report", touch("Book", "Report"), False),
    ("exchange", touch("Book", "Bring in and"), False),
    ("keep", touch("Book", "Keep"), False),
    ("backups", backups_told, False),
    ("settings", touch("Book", "Settings"), False),
]
