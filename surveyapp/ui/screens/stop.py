"""The Stop place: where one stands, what serves there, what was entered, five big buttons."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, ListProperty, StringProperty

from surveyapp.model import Stop
from surveyapp.ui import review
from surveyapp.ui.entry_lines import EntryLine, entry_lines
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.stop_actions import do_at_stop, stop_choices
from surveyapp.ui.stop_words import heading_lines, position_lines, stop_title
from surveyapp.ui.tokens import LOW_DP
from surveyapp.ui.widgets import action_grid, entry_list  # noqa: F401
from surveyapp.ui.widgets.pressable import Pressable

ANSWER_AFTER_S = 0.05  # the saved row is drawn first, the answer in a later frame
REVIEW_AFTER_S = 1.0  # what the other stops say is looked up when the fingers rest


class StopPage(Page):
    """The current stop; a first tap anywhere starts one where there is none."""

    title = StringProperty("")
    subtitle = StringProperty("")
    position = StringProperty("")
    position_detail = StringProperty("")
    heading = StringProperty("")
    heading_detail = StringProperty("")
    started = BooleanProperty(False)
    can_undo = BooleanProperty(False)
    small_things = ListProperty([])
    low = BooleanProperty(False)  # a phone laid down: the buttons stand beside the page
    mirrored = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._answer_soon = Clock.create_trigger(lambda _: self.show_answer(), ANSWER_AFTER_S)
        self._once_drawn = Clock.create_trigger(lambda _: self._answer_soon(), 0)
        self._review_soon = Clock.create_trigger(lambda _: self._review(), REVIEW_AFTER_S)
        self._last_shown: tuple[Stop | None, dict[str, Any]] = (None, {})
        self._new: set[str] = set()  # rows that were saved and not yet brought into sight
        self._bring_soon = Clock.create_trigger(lambda _: self._bring_up(), 0)

    def on_kv_post(self, *_: Any) -> None:
        """Hold the two parts, and lay them out anew when the phone or the hand changes."""
        self._parts = [self.ids.view.__self__, self.ids.buttons.__self__]
        self.bind(low=self.arrange, mirrored=self.arrange)
        self.arrange()

    def on_size(self, *_: Any) -> None:
        """Laid down there is no height for buttons below the page."""
        self.low = self.height < dp(LOW_DP) < self.width

    def arrange(self, *_: Any) -> None:
        """The buttons below, or beside the page under the thumb."""
        self.ids.middle.clear_widgets()
        for part in self._parts[::-1] if self.low and self.mirrored else self._parts:
            self.ids.middle.add_widget(part)

    def refresh(self) -> None:
        """Show the stop and its entries now, the answer a moment later."""
        session = self.session
        self.started = session.stop is not None
        self.title, self.subtitle = stop_title(session.stop)
        self.position, self.position_detail = position_lines(session)
        self.heading, self.heading_detail = heading_lines(session)
        self.can_undo = session.can_undo
        self.ids.entries.lines = entry_lines(session.scene) if session.scene else []
        self._seek_new()
        self.small_things = list(stop_choices(session))
        self._once_drawn()
        self._review_soon.cancel()
        self._review_soon()

    def _seek_new(self) -> None:
        """What was saved since is brought into sight and marked, once its rows are laid out."""
        stop, before = self._last_shown
        now = {line.row.id: line.row for line in self.ids.entries.lines}
        if stop is not None and stop == self.session.stop:
            self._new |= {row_id for row_id, row in now.items() if before.get(row_id) != row}
        else:
            self._new = set()
        self._last_shown = (self.session.stop, now)
        self._bring_soon()

    def _bring_up(self) -> None:
        """Scroll to the rows just saved, and to Undo where it stands close above them."""
        entries, view = self.ids.entries, self.ids.view
        row = entries.mark(self._new) if self._new else None
        if row is not None:
            for part in (entries.head, row):
                view.scroll_to(part, padding=dp(8), animate=False)

    def on_pre_enter(self, *_: Any) -> None:
        """Follow the sensors too: the position settles on this page."""
        super().on_pre_enter()
        self.session.senses.changed.bind(self._settling)
        self.session.reviewer.done.bind(self._answer_soon)

    def on_leave(self, *_: Any) -> None:
        """Ask no longer what the other stops say."""
        super().on_leave()
        self._review_soon.cancel()
        self.session.reviewer.done.unbind(self._answer_soon)

    def _review(self) -> None:
        """Have the survey looked through: a PCI read elsewhere too tells more of this stop.

        One of thousands of stops would fill the memory: it is looked through where it is asked.
        """
        session = self.session
        if session.scene is not None and session.scene.readings:
            survey_id = session.scene.survey.id
            if session.notebook.count(Stop, survey_id=survey_id) <= review.MOST_UNASKED:
                session.reviewer.ask(survey_id)

    def _settling(self) -> None:
        """The receiver said something: show that, and nothing else anew."""
        session = self.session
        self.position, self.position_detail = position_lines(session)
        self.small_things = list(stop_choices(session))

    def do(self, action: str) -> None:
        """One of the small things under the heading."""
        do_at_stop(self.session, self.router, action)

    def show_answer(self) -> None:
        """Work out what serves and what was to be expected, and show it."""
        from surveyapp.ui.answer_words import leg_views

        session = self.session
        answers, reason = session.answers()
        verdicts = session.verdicts()
        views = leg_views(session.scene, answers, verdicts) if answers else []
        self._answer_view().show(views, reason)
        self.ids.entries.verdicts = verdicts
        self._bring_soon()
        Clock.schedule_once(lambda _: self._new.clear(), ANSWER_AFTER_S)

    def _answer_view(self) -> Any:
        """What shows the answer: made for the first one, so that the page starts without."""
        room = self.ids.answer_room
        if not room.children:
            from surveyapp.ui.widgets.answer import AnswerView

            room.add_widget(AnswerView())
        return room.children[0]

    def rest(self) -> None:
        """The notebook is about to be closed."""
        super().rest()
        self.session.senses.changed.unbind(self._settling)
        self.session.reviewer.rest()
        self.session.reviewer.done.unbind(self._answer_soon)
        for soon in (self._once_drawn, self._answer_soon, self._review_soon, self._bring_soon):
            soon.cancel()

    def enter(self, sheet: str) -> None:
        """One of the big buttons: open its sheet."""
        self.session.attempt(lambda: self.router.open_entry(sheet))

    def edit(self, line: EntryLine) -> None:
        """An entry was tapped: open it for change."""
        self.router.open_entry(line.sheet, line.row.id)

    def why(self, line: EntryLine) -> None:
        """The verdict on an entry was tapped: tell what is behind it."""
        from surveyapp.ui.sheets.why_sheet import WhySheet

        verdict = self.ids.entries.verdicts[line.row.id]
        about = {"device_id": line.row.device_id, "row_id": line.row.id}
        self.router.open(WhySheet(verdict, session=self.session, router=self.router, **about))

    def new_stop(self) -> None:
        """The surveyor walked on."""
        self.session.attempt(self.session.start_stop)

    def on_touch_down(self, touch: Any) -> bool:
        """A tap on the empty page starts a stop."""
        if self.started or not self.collide_point(*touch.pos) or self.touches_target(touch):
            return super().on_touch_down(touch)
        self.new_stop()
        return True

    def touches_target(self, touch: Any) -> bool:
        """Whether something that answers to a tap lies under the finger."""
        targets = (widget for widget in self.walk(restrict=True) if isinstance(widget, Pressable))
        return any(one.collide_point(*one.to_widget(*touch.pos)) for one in targets)


load_kv(__file__)
