"""Where the current field is filled: the pad, choices, or the keyboard, Next below them all."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.lang import Builder
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.textinput import TextInput

from surveyapp.ui.entries.field import Choice, Kind, Sign
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, pad  # noqa: F401


class InputPane(BoxLayout):
    """Fits itself to the current field of an `EntryState`.

    `room` is the height it may take: hints and suggestions beyond it are scrolled.
    Dispatches `on_key(key)` from the pad, `on_choose(value)` from choices, `on_suggest(text)`
    from suggestions and `on_write(text)` as text is typed.
    """

    field_name = StringProperty("")
    kind = StringProperty(Kind.NUMBER.value)
    sentence = StringProperty("")
    doubtful = BooleanProperty(False)
    suggestions = ListProperty([])
    choices = ListProperty([])
    chosen = StringProperty("")
    text = StringProperty("")
    hint = StringProperty("")
    tiles = BooleanProperty(False)
    sign_free = BooleanProperty(False)
    decimal = BooleanProperty(False)
    first = BooleanProperty(False)
    next_word = StringProperty("Next")
    room = NumericProperty(0)
    fixed_height = NumericProperty(0)
    __events__ = ("on_key", "on_choose", "on_suggest", "on_write")

    def on_kv_post(self, *_: Any) -> None:
        """Hold all parts; show those the first field needs."""
        ids = self.ids
        self._parts = {
            Kind.NUMBER.value: ids.pad.__self__,
            Kind.CHOICE.value: ids.choices_view.__self__,
            Kind.TEXT.value: ids.writing.__self__,
        }
        self._hints = ids.hints_view.__self__
        self._foot = ids.foot.__self__
        self._focus_soon = Clock.create_trigger(self.focus_line, 0)
        self.bind(kind=self.arrange, suggestions=self.arrange, sentence=self.arrange)
        self.arrange()

    def arrange(self, *_: Any) -> None:
        """Put in the parts that the kind of field needs, Next always last."""
        part = self._parts[self.kind]
        wanted = [self._hints] if self.suggestions or self.sentence else []
        wanted += [part, self._foot]
        if list(reversed(self.children)) != wanted:
            self.clear_widgets()
            for one in wanted:
                self.add_widget(one)
            part.bind(height=self.weigh)
            self._foot.bind(height=self.weigh)
        self.weigh()

    def weigh(self, *_: Any) -> None:
        """Take the height of what cannot be scrolled away."""
        self.fixed_height = self._parts[self.kind].height + self._foot.height

    def show(self, state: Any, more: tuple[Choice, ...] = ()) -> None:
        """Fit the pane to the field that has the cursor; `more` chips follow its own."""
        field = state.current
        self.sign_free, self.decimal = field.sign is Sign.EITHER, field.decimals > 0
        self.first = state.path[0] == field.name
        self.next_word = state.form.save_word if state.at_end else "Next"
        self.tiles = bool(field.choices) and all(choice.icon for choice in field.choices)
        self.choices, self.suggestions = list(field.choices), [*field.offered, *more]
        self.chosen, self.hint = state.text(field.name), field.hint
        self.kind = field.kind.value
        if field.name != self.field_name:
            self.field_name, self.ids.choices_view.scroll_y = field.name, 1
        if field.kind is Kind.TEXT and self.ids.line.text != self.chosen:
            self.ids.line.text = self.chosen
        self._focus_soon()

    def focus_line(self, *_: Any) -> None:
        """Give the text line the keyboard where text is asked for, and take it away elsewhere."""
        line: TextInput = self.ids.line
        line.focus = self.kind == Kind.TEXT.value and line.get_root_window() is not None

    def rest(self) -> None:
        """The sheet goes: give the keyboard back, which Kivy would otherwise keep it alive by,
        and let the parts that are not shown follow theme and text size no longer."""
        self._focus_soon.cancel()
        self.ids.line.focus = False
        for part in (self._hints, *self._parts.values()):
            if part.parent is None:
                for widget in part.walk(restrict=True):
                    Builder.unbind_widget(widget.uid)

    def on_key(self, key: str) -> None:
        """Event: a key of the pad."""

    def on_choose(self, value: str) -> None:
        """Event: a choice was tapped."""

    def on_suggest(self, text: str) -> None:
        """Event: a suggestion was tapped."""

    def on_write(self, text: str) -> None:
        """Event: the text changed."""


load_kv(__file__)
