"""The number pad of the app: big keys, always in the same places."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox
from surveyapp.ui.widgets.text import MeasuredWord

KEYS = ("1", "2", "3", "erase", "4", "5", "6", "sign", "7", "8", "9", ".")
MIRRORED = ("erase", "1", "2", "3", "sign", "4", "5", "6", ".", "7", "8", "9")
TURNED_S = 0.5  # taps follow each other so fast in the flow of Next, Next; our choice
WORDS = {"erase": "Del", "sign": "+/−"}


class PadKey(MeasuredWord, PressableBox):
    """One key: `key` is what it sends, `text` what it says; `idle` keys keep their place."""

    key = StringProperty("")
    icon = StringProperty("")
    idle = BooleanProperty(False)
    strong = BooleanProperty(False)
    ends = BooleanProperty(False)


class NumberPad(GridLayout):
    """Digits 1 to 9, Del, sign and decimal mark; dispatches `on_key(key)`.

    `sign_free` and `decimal` tell whether those two keys make sense for the field.
    """

    sign_free = BooleanProperty(False)
    decimal = BooleanProperty(False)
    mirrored = BooleanProperty(False)
    __events__ = ("on_key",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._keys = {key: PadKey(key=key, text=WORDS.get(key, key)) for key in KEYS}
        for key in self._keys.values():
            key.bind(on_release=lambda tapped, *_: self.dispatch("on_key", tapped.key))
        self.bind(mirrored=self.arrange)
        self.arrange()
        self.on_sign_free()
        self.on_decimal()

    def arrange(self, *_: Any) -> None:
        """Del, sign and decimal mark stand under the thumb: right, or left when mirrored."""
        self.clear_widgets()
        for key in MIRRORED if self.mirrored else KEYS:
            self.add_widget(self._keys[key])

    def on_sign_free(self, *_: Any) -> None:
        """Show the sign key where the sign is free."""
        self._keys["sign"].idle = not self.sign_free

    def on_decimal(self, *_: Any) -> None:
        """Show the decimal mark where decimals make sense."""
        self._keys["."].idle = not self.decimal

    def on_key(self, key: str) -> None:
        """Event: a key was tapped."""


class PadFoot(BoxLayout):
    """The last row of the pad, there for every kind of field: Previous, 0, and Next.

    Dispatches `on_key` with 'up', '0' or 'next'; `next_word` says Next or Save,
    which looks otherwise: darker and ticked.
    """

    zero = BooleanProperty(True)
    first = BooleanProperty(False)
    column = NumericProperty(0)
    mirrored = BooleanProperty(False)
    next_word = StringProperty("Next")
    ends = BooleanProperty(False)
    __events__ = ("on_key",)

    def on_kv_post(self, *_: Any) -> None:
        """Hold the keys in their order."""
        self._turned_s = 0.0
        self._keys = list(reversed(self.children))
        self.bind(mirrored=self.arrange)
        self.arrange()

    def on_next_word(self, *_: Any) -> None:
        """Next has become Save, or Save Next again."""
        self.ends = self.next_word != "Next"
        self._turned_s = Clock.get_time()

    @property
    def settled(self) -> bool:
        """Whether Save has stood there long enough to be meant: a second tap on Next is not."""
        return not self.ends or Clock.get_time() - self._turned_s >= TURNED_S

    def tap_next(self) -> None:
        """Next was tapped, or the Save that took its place."""
        if self.settled:
            self.dispatch("on_key", "next")

    def arrange(self, *_: Any) -> None:
        """Next stands under the thumb: right, or left when mirrored."""
        self.clear_widgets()
        for key in reversed(self._keys) if self.mirrored else self._keys:
            self.add_widget(key)

    def on_key(self, key: str) -> None:
        """Event: a key was tapped."""


load_kv(__file__)
