"""The frame of the app: page, place bar, the sheet over or beside it, the message over both."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.floatlayout import FloatLayout
from kivy.uix.screenmanager import ScreenManager
from kivy.uix.widget import Widget

from surveyapp.ui.router import Router, screen_class
from surveyapp.ui.session import Session
from surveyapp.ui.theme import load_kv
from surveyapp.ui.tokens import LOW_DP, WIDE_DP
from surveyapp.ui.widgets.bars import TopBar

MESSAGE_SECONDS = 8


class Shell(FloatLayout):
    """Shows what the router says; makes each page when it is first visited.

    `safe_top`, `safe_bottom`, `safe_left`, `safe_right` keep clear of a phone's own bars.
    """

    session: Session = ObjectProperty()
    router: Router = ObjectProperty()
    transition = ObjectProperty()
    wide = BooleanProperty(False)
    message = StringProperty("")
    message_undo = BooleanProperty(False)
    safe_top = NumericProperty(0)
    safe_bottom = NumericProperty(0)
    safe_left = NumericProperty(0)
    safe_right = NumericProperty(0)

    def on_kv_post(self, *_: Any) -> None:
        """Start to follow the router and the session."""
        self._page = self.ids.page.__self__
        self._sheet_room = self.ids.sheet_room.__self__
        self._toast: Widget | None = None
        self.ids.manager.transition = self.transition
        self._forget = Clock.create_trigger(lambda _: self._fade(), MESSAGE_SECONDS)
        self.router.changed.bind(self.show)
        self.session.said.bind(self.tell)
        self.bind(wide=lambda *_: self.show())
        self.tell_of_demo()
        self.show()

    def tell_of_demo(self) -> None:
        """Over every page of the demo day stands what it is, and the way back."""
        notebooks = self.router.notebooks
        if notebooks is not None and notebooks.in_demo:
            from surveyapp.ui.widgets.demo_strip import DemoStrip

            strip = DemoStrip()
            strip.bind(on_leave=lambda *_: self.session.attempt(notebooks.open_own))
            self.ids.frame.add_widget(strip, index=len(self.ids.frame.children))

    def on_size(self, *_: Any) -> None:
        """Sheets stand beside the page from the width of a desk on; not on a phone laid down."""
        self.wide = self.width >= dp(WIDE_DP) and self.height >= dp(LOW_DP)

    def show(self) -> None:
        """Show the router's top page and top sheet."""
        name, parameters = self.router.pages[-1]
        manager: ScreenManager = self.ids.manager
        if not manager.has_screen(name):
            made = screen_class(name)(name=name, session=self.session, router=self.router)
            manager.add_widget(made)
        manager.get_screen(name).parameters = parameters
        manager.current = name
        self.ids.bar.current = self.router.place
        self._show_sheet()

    def _show_sheet(self) -> None:
        sheet = self.router.sheets[-1] if self.router.sheets else None
        picking = self.session.pick is not None
        if sheet is None or picking:
            wanted = [self._page]
        else:
            wanted = [self._page, self._sheet_room] if self.wide else [self._sheet_room]
        if self._sheet_room.children != [sheet]:
            self._sheet_room.clear_widgets()
            if sheet is not None:
                self._sheet_room.add_widget(sheet)
        if list(reversed(self.ids.main.children)) != wanted:
            self.ids.main.clear_widgets()
            for part in wanted:
                self.ids.main.add_widget(part)

    def tell(self, sentence: str, undo: bool) -> None:
        """Show a message, for a while, with a way to undo where that helps.

        It lies over the title of the page: nothing moves when it comes or goes, and neither
        the pad nor the bar of places is covered.
        """
        self.message, self.message_undo = sentence, undo
        if self._toast is None:
            self._toast = self._made_toast()
        self._toast.come(sentence, undo)
        if self._toast.parent is None:
            self.add_widget(self._toast)
        self._forget.cancel()
        self._forget()
        self._place_message()

    def hush(self) -> None:
        """Take the message away."""
        self.message = ""
        self._forget.cancel()
        if self._toast is not None:
            self.remove_widget(self._toast)

    def _fade(self) -> None:
        """The message has been there long enough; not while a finger is on it."""
        if self._toast.touched:
            self._forget()
            return
        self.message = ""
        self._toast.go(lambda: self.message or self.hush())

    def _place_message(self, *_: Any) -> None:
        """Over the title bar of what is shown, or the page's upper end where it has none."""
        toast = self._toast
        if toast is None or toast.parent is None:
            return
        page_shown = self._page in self.ids.main.children
        ground = self._page if page_shown else self._sheet_room
        part = self.ids.manager.current_screen if page_shown else ground
        bars = [widget for widget in part.walk(restrict=True) if isinstance(widget, TopBar)]
        over = bars[0] if bars else ground
        toast.width, toast.x = over.width, over.to_window(*over.pos)[0]
        toast.top = ground.top

    def _made_toast(self) -> Widget:
        """The strip of the messages, made for the first one."""
        from surveyapp.ui.widgets.toast import Toast

        toast = Toast()
        toast.bind(on_undo_tapped=lambda *_: self.undo(), on_hush=lambda *_: self.hush())
        placed_soon = Clock.create_trigger(self._place_message, 0)
        toast.bind(height=self._place_message)
        self.ids.main.bind(size=placed_soon, pos=placed_soon, children=placed_soon)
        return toast

    def rest(self) -> None:
        """The notebook is about to be closed: let every page and sheet go."""
        for page in self.ids.manager.screens:
            page.rest()
        for sheet in self.router.sheets:
            sheet.rest()
        self._forget.cancel()

    def undo(self) -> None:
        """Take back what the message told."""
        self.hush()
        self.session.undo()


load_kv(__file__)
