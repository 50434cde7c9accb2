"""The Day place: the survey in order of time, each row open to change, undo at the foot."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, ListProperty, StringProperty

from surveyapp.ui.day_doubts import count_words, open_count
from surveyapp.ui.day_filter import KINDS, DayFilter, phone_choices
from surveyapp.ui.day_list import DayItem, day_of
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.expected_now import ACCEPTED
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401

UNDO = Choice(value="undo", label="Undo", icon="undo")
REDO = Choice(value="redo", label="Redo", icon="redo")
FILTER, REVIEW = "filter", "review"
HIDDEN_LAYERS = "plan_hidden"  # the plan's own setting


class DayPage(ReviewedPage):
    """The current survey."""

    title = StringProperty("")
    summary = StringProperty("")
    items = ListProperty([])
    steps = ListProperty([])
    kinds = ListProperty(KINDS)
    phones = ListProperty([])
    kind = StringProperty("")
    phone = StringProperty("")
    filtering = BooleanProperty(False)

    def on_kv_post(self, *_: Any) -> None:
        """Remember the parts that come and go."""
        self._sought = self._looked_at = ""
        ids = self.ids
        self._empty, self._list = ids.empty.__self__, ids.list.__self__
        self._filters = ids.filters.__self__
        self._plan: Any = None
        self.bind(items=self._arrange, filtering=self._arrange)
        self.bind(wide=lambda *_: self._soon())
        self._arrange()

    def on_pre_enter(self, *_: Any) -> None:
        """Begin at the current stop."""
        super().on_pre_enter()
        self._sought = self.session.stop.id if self.session.stop else ""
        self._looked_at = ""

    def seek(self) -> None:
        """Bring the current stop into sight, once."""
        row = self._list.row_of(self._sought) if self._sought else None
        if row is not None:
            self._sought = ""
            Clock.schedule_once(lambda _: self._bring_up(row))

    def _bring_up(self, row: Any) -> None:
        scroll = self.ids.scroll
        below = (scroll.height - row.height) / dp(1)
        scroll.scroll_to(row, padding=below, animate=False)

    def _arrange(self, *_: Any) -> None:
        """The list below its filters, or what it teaches while it is empty."""
        wanted = [self._filters] * self.filtering
        wanted += [self._list if self.items or self.filtering else self._empty]
        room = self.ids.room
        if room.children[::-1] != wanted:
            room.clear_widgets()
            for part in wanted:
                room.add_widget(part)

    def refresh(self) -> None:
        """Read the survey again."""
        session, survey, notebook = self.session, self.session.survey, self.session.notebook
        shown = DayFilter(self.kind, self.phone)
        accepted = notebook.setting(ACCEPTED, [])
        day = day_of(notebook, survey, self.review(), accepted, shown)
        self.title = survey.title if survey else "No survey yet"
        self.phones = phone_choices(session.devices)
        doubted = count_words(open_count(day.doubts, accepted), self.looking())
        self.summary, self.items = day.summary, list(day.items)
        self._show_plan()
        about = tools(shown.words(session.devices), doubted) if self.items or shown else []
        self.steps = [UNDO] * session.can_undo + [REDO] * notebook.can_redo + about

    def _show_plan(self) -> None:
        """On a desk the survey is drawn beside its list."""
        room = self.ids.plan_room
        if not (self.wide and self.items):
            room.clear_widgets()
            return
        if self._plan is None:
            from surveyapp.ui.day_plan import DayPlan  # a phone does without it

            self._plan = DayPlan()
            self._plan.bind(on_stop=lambda _, stop_id: self.look_at(stop_id))
        if self._plan.parent is None:
            room.add_widget(self._plan)
        stop = self.session.stop
        hidden = self.session.notebook.setting(HIDDEN_LAYERS, [])
        self._plan.show(self.session, hidden, self._looked_at or (stop.id if stop else ""))

    def look_at(self, stop_id: str) -> None:
        """Bring a stop's entries into sight, and mark it on the plan."""
        self._looked_at = self._plan.ids.view.current_stop_id = stop_id
        row = self._list.row_of(stop_id)
        if row is not None:
            self._bring_up(row)

    def show_kind(self, kind: str) -> None:
        """Only entries of this kind."""
        self.kind = kind
        self.refresh()

    def show_phone(self, device_id: str) -> None:
        """Only entries of this phone."""
        self.phone = device_id
        self.refresh()

    def open_row(self, item: DayItem) -> None:
        """The sheet of a row."""
        self.router.open_entry(item.sheet, item.row_id)

    def step(self, value: str) -> None:
        """Undo or redo, open or shut the filters, or go to the page that looks closer."""
        if value == FILTER:
            self.filtering = not self.filtering
            self.ids.scroll.scroll_y = 1
        elif value == REVIEW:
            self.router.push(REVIEW)
        else:
            getattr(self.session, value)()


def tools(shown: str, doubted: str) -> list[Choice]:
    """What can be done with the day as a whole."""
    return [
        Choice(value=FILTER, label=shown, icon="search"),
        Choice(value=REVIEW, label=f"Review · {doubted}", icon="warn"),
    ]


load_kv(__file__)
