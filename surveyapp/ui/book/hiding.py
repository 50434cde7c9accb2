"""The choices of what is hidden before anything goes out, alike for files and reports."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.book.section import Section
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.sending import HOMES, left_out
from surveyapp.ui.session import Pick
from surveyapp.ui.theme import load_kv

HOME_HERE, NO_HOME = "home", "no_home"
HIDDEN = (
    Choice(value="devices", label="Phones"),
    Choice(value="times", label="Exact times"),
    Choice(value="places", label="Exact stops"),
    Choice(value="pictures", label="Picture data"),
)


class HidingChoices(BoxLayout):
    """The choices of a `HidingSection`."""

    section = ObjectProperty(None, allownone=True)
    hidden = ListProperty([])
    hiding = ListProperty([])
    homes = ListProperty([])
    home_words = StringProperty("")


class HidingSection(Section):
    """A section that sends something out; its choices last as long as the app runs."""

    offered = HIDDEN
    hidden = ListProperty([])
    hiding = ListProperty([])
    homes = ListProperty([])
    home_words = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        self._counted: tuple[Any, str] = (None, "")
        super().__init__(**kwargs)

    def show_hiding(self, survey_id: str) -> None:
        """What would be hidden of this survey ('' for none)."""
        self.hidden = list(self.offered)
        self.hiding = sorted(self.session.sending.hide)
        homes = self.session.notebook.setting(HOMES, [])
        count = len(homes)
        near = f"What lies within 300 m of {count} home place{'s' * (count > 1)} is cut out."
        gone = self._left_out(survey_id, homes)
        self.home_words = (
            f"{near} {gone}".strip()
            if count
            else "No home place is named: what lies near yours goes out too."
        )
        forget = [Choice(value=NO_HOME, label="Forget them", icon="erase")] * bool(count)
        name = Choice(value=HOME_HERE, label="Name a home place", icon="plan")
        self.homes = [name, *forget]

    def _left_out(self, survey_id: str, homes: list[Any]) -> str:
        """Counted anew only where something has changed."""
        if not survey_id:
            return ""
        last = self.session.notebook.history(1)
        key = survey_id, last[0].action_id if last else "", str(homes)
        if key != self._counted[0]:
            self._counted = key, left_out(self.session.notebook, survey_id, homes)
        return self._counted[1]

    def toggle(self, value: str) -> None:
        """Hide this, or let it go out."""
        self.session.sending.hide ^= {value}
        self.refresh()

    def home(self, value: str) -> None:
        """Name a home place by a tap on the plan, or forget all of them."""
        if value == NO_HOME:
            self.session.notebook.keep_setting(HOMES, [])
            self.refresh()
        else:
            self.session.ask_on_plan(Pick("position", "Tap the home to hide", self._name_home))

    def _name_home(self, lat_deg: float, lon_deg: float) -> None:
        notebook = self.session.notebook
        notebook.keep_setting(HOMES, [*notebook.setting(HOMES, []), [lat_deg, lon_deg]])
        self.refresh()

    def bring_up(self, part: str, *_: Any) -> None:
        """Scroll to one part, where something was just said."""
        self.ids.scroll.scroll_to(self.ids[part], animate=False)


load_kv(__file__)
