"""The bars of the page: its title on top, the four places at the foot."""

from __future__ import annotations

from typing import Any

from kivy.metrics import Metrics
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets import buttons  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox
from surveyapp.ui.widgets.text import width_of

PLACES = (("stop", "Stop"), ("plan", "Plan"), ("day", "Day"), ("book", "Book"))


class TopBar(BoxLayout):
    """Title and second line of a page; the way back on the left, one action on the right.

    Set `back` to a word ('Close') to show the way back, `action` and `action_icon` for the
    button on the right; they dispatch `on_back` and `on_action`. Where large text leaves no
    room between the two, the words stand below them.
    """

    title = StringProperty("")
    subtitle = StringProperty("")
    back = StringProperty("")
    action = StringProperty("")
    action_icon = StringProperty("")
    crowded = BooleanProperty(False)
    title_width = NumericProperty(0)
    __events__ = ("on_back_tapped", "on_action_tapped")

    def on_kv_post(self, *_: Any) -> None:
        """Place what the bar shows now, and again when that changes."""
        self._parts = [part.__self__ for part in self.ids.values()]  # ids alone hold weakly
        self.bind(title=self.measure)
        Metrics.bind(sp=self.measure)
        theme.bind(tr=self.measure)
        self.measure()
        self.bind(back=self.arrange, action=self.arrange, crowded=self.arrange)
        self.arrange()

    def measure(self, *_: Any) -> None:
        """Take the width of the title on one line."""
        self.title_width = width_of(theme.tr(self.title), 20 * Metrics.sp)

    def arrange(self, *_: Any) -> None:
        """Put the words between the buttons, or below them when crowded."""
        ids = self.ids
        tools = [ids.back_button] if self.back else []
        tools += [ids.spring if self.crowded else ids.words]
        tools += [ids.action_button] if self.action else []
        ids.tools.clear_widgets()
        self.clear_widgets()
        for part in tools:
            ids.tools.add_widget(part)
        self.add_widget(ids.tools)
        if self.crowded:
            self.add_widget(ids.words)

    def on_back_tapped(self) -> None:
        """Event: the way back was tapped."""

    def on_action_tapped(self) -> None:
        """Event: the action was tapped."""


class PlaceTab(PressableBox):
    """One of the four places: icon and word, a heavy rule above the current one."""

    name = StringProperty("")
    text = StringProperty("")
    current = BooleanProperty(False)
    low = BooleanProperty(False)


class PlaceBar(BoxLayout):
    """Stop, Plan, Day, Book; dispatches `on_place(name)`.

    On a `low` window, a phone laid down, the words stand alone.
    """

    current = StringProperty("stop")
    low = BooleanProperty(False)
    places = ListProperty(PLACES)
    __events__ = ("on_place",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        for name, word in self.places:
            tab = PlaceTab(name=name, text=word, current=name == self.current)
            tab.bind(on_release=lambda tapped, *_: self.dispatch("on_place", tapped.name))
            self.add_widget(tab)

    def on_current(self, *_: Any) -> None:
        """Mark the tab of the current place."""
        for tab in self.children:
            tab.current = tab.name == self.current

    def on_low(self, *_: Any) -> None:
        """Tell the tabs."""
        for tab in self.children:
            tab.low = self.low

    def on_place(self, name: str) -> None:
        """Event: the tab of this place was tapped."""


load_kv(__file__)
