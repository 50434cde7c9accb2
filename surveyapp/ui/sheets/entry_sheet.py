"""The entry sheet: any form, filled with one thumb, each keystroke on disk at once."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from kivy.properties import BooleanProperty, ListProperty, NumericProperty, StringProperty

from surveyapp.errors import SurveyError
from surveyapp.ui.entries import form_named
from surveyapp.ui.entries.field import Choice, Kind
from surveyapp.ui.entries.state import EntryState, state_of
from surveyapp.ui.router import Router
from surveyapp.ui.session import Session
from surveyapp.ui.sheets.keeper import Keeper
from surveyapp.ui.sheets.keyboard import PhysicalKeys
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.sheets.typed_verdict import TypedVerdict
from surveyapp.ui.speech import tr
from surveyapp.ui.widgets import entry_fields, input_pane, told  # noqa: F401

DELETE, CLEAR, ANOTHER, BACK = "delete", "clear", "another", "take back"


class EntrySheet(Sheet):
    """Shows an `EntryState`: its fields above, the means to fill the current one below."""

    sentence = StringProperty("")
    doubtful = BooleanProperty(False)
    actions = ListProperty([])
    further = ListProperty([])
    told = ListProperty([])
    save_word = StringProperty("Save")
    columns = NumericProperty(2)
    beside = BooleanProperty(False)

    def __init__(self, state: EntryState, **kwargs: Any) -> None:
        self.state = state
        super().__init__(**kwargs)
        self._keys = PhysicalKeys(self)
        self._keeper = Keeper(self._write, self.show)
        self._verdict = TypedVerdict(self)
        self.bind(parent=lambda *_: self._keys.listen(self.parent is not None))
        self.show()

    @classmethod
    def of(
        cls, name: str, session: Session, router: Router, row_id: str | None, start: dict[str, str]
    ) -> EntrySheet:
        """The sheet of this name, new or for a row, with its draft where there is one.

        Raises NotFound where the row is not in the notebook.
        """
        state = state_of(form_named(name), session, row_id, start)
        return cls(state, session=session, router=router)

    # Showing

    def show(self) -> None:
        """Show the state as it is now."""
        state, form = self.state, self.state.form
        title = tr(form.title)
        self.title = f"{title}, {tr('change')}" if state.row else title
        self.save_word = form.save_word
        self.subtitle = form.subtitle(self.session, state.row)
        self.ids.fields.show(state)
        self.ids.pane.show(state, self._another())
        self.told = list(form.told(self.session, state.texts))
        delete = [] if state.row is None else [Choice(value=DELETE, label="Delete", icon="delete")]
        self.actions = [*form.actions(self.session, state.texts), *delete]
        self.further = [*form.further(self.session, state.texts), *self._own_actions()]
        problem = state.problems().get(state.focus, "")
        trouble = self._keeper.trouble or problem
        self.doubtful = bool(trouble)
        self.sentence = trouble or form.note(self.session, state.texts, state.focus)
        self._verdict.typed()

    def _another(self) -> tuple[Choice, ...]:
        """To save and begin the next phone's entry, once this one is worth keeping."""
        state, form = self.state, self.state.form
        if not form.main or state.row is not None or not state.text(form.main):
            return ()
        if state.focus not in state.names[state.names.index(form.main) + 1 :]:
            return ()
        wanted = form.next_device(self.session, state.texts)
        label = next((d.label for d in self.session.devices if d.id == wanted), "")
        words = f"Save, then {label}" if label else "Save, then another"
        return (Choice(value=ANOTHER, label=words, icon="done"),)

    def _own_actions(self) -> list[Choice]:
        changed = any(texts != self.state.texts for texts, _ in self.state.earlier)
        undo = [Choice(value=BACK, label="Undo", icon="undo")] if changed else []
        if self.state.row is not None or not self.state.touched:
            return undo
        return [*undo, Choice(value=CLEAR, label="Clear the sheet", icon="erase")]

    # Filling

    def key(self, key: str) -> None:
        """A key of the pad or the keyboard."""
        self.session.senses.buzz()
        if key == "next":
            self.next()
        elif key == "up":
            self.step(-1)
        else:
            self.change(lambda: self.state.press(key))

    def choose(self, value: str) -> None:
        """A choice is taken, and the cursor moves on."""
        self.session.senses.buzz()
        self.state.remember()
        self.state.put(self.state.focus, value)
        self.state.step(1)
        self.keep()

    def suggest(self, value: str) -> None:
        """One of the chips above the pad."""
        if value == ANOTHER:
            self.save_and_go_on()
        else:
            self.state.form.suggested(self, value)

    def put(self, name: str, text: str) -> None:
        """Set a field from outside the pad."""
        self.change(lambda: self.state.put(name, text))

    def put_all(self, texts: dict[str, str]) -> None:
        """Set many fields from outside the pad, as one change of the draft."""
        self.change(lambda: [self.state.put(name, text) for name, text in texts.items()])

    def go_to_first(self, names: Collection[str]) -> None:
        """The cursor to the first value among these fields, so that what was filled is seen."""
        values = [one.name for one in self.state.fields if one.kind is Kind.NUMBER]
        seen = next((name for name in values if name in names), None)
        if seen is not None:
            self.move_to(seen)

    def write(self, text: str) -> None:
        """The text line holds this now."""
        if text != self.state.text(self.state.focus):
            self.put(self.state.focus, text)

    def change(self, action: Any) -> None:
        """Change the state, keep the draft, show it."""
        self.state.remember()
        action()
        self.keep()

    def take_back(self) -> None:
        """Undo the last keystroke, choice or chip of this sheet."""
        if self.state.take_back():
            self.keep()

    def keep(self) -> None:
        """The draft to disk, then to the screen; a failing write is told and tried again."""
        self._keeper.keep()
        self.show()

    def _write(self) -> None:
        self.session.notebook.keep_draft(self.state.draft())

    def move_to(self, name: str) -> None:
        """A field was tapped."""
        self.change(lambda: self.state.move_to(name))

    def step(self, by: int) -> bool:
        """Move along the fields; False at an end."""
        moved = self.state.step(by)
        self.keep()
        return moved

    def next(self) -> None:
        """On to the next field; at the last one, save."""
        if self.state.at_end:
            self.save()
        else:
            self.step(1)

    # Ending

    def save(self) -> None:
        """Save, unless a needed field is empty or the notebook refuses: then say so and stay."""
        missing = self.state.missing()
        if missing is not None:
            self.state.move_to(missing[0])
            self.keep()
            self.sentence, self.doubtful = missing[1], True
            return
        self._keeper.trouble = ""
        try:
            self.state.form.finish(self)
        except SurveyError as error:
            self.keep()
            self.sentence, self.doubtful = self._keeper.trouble or str(error), True

    def save_and_go_on(self) -> None:
        """Save, and open the sheet of the next phone where it is to be filled first."""
        form, session, texts = self.state.form, self.session, self.state.texts
        self.save()
        if self not in self.router.sheets:
            self.router.open_entry(form.name, **form.after(session, texts)).move_to(form.main)

    def act(self, action: str) -> None:
        """One of the chips above or below the fields."""
        if action == BACK:
            self.take_back()
        elif action == DELETE:
            self.drop()
            self.close()
            self.session.delete(self.state.row, self.state.form.row_text(self.state.row))
        elif action == CLEAR:
            self.drop()
            self.router.close(self)
            self.router.open_entry(self.state.form.name)
        else:
            self.state.form.act(self, action)

    def drop(self) -> None:
        """Forget the draft."""
        draft = self.state.draft()
        self.session.notebook.drop_draft(draft.sheet, draft.stop_id, draft.row_id)

    def kept_name(self) -> tuple[str, str | None]:
        """What the route needs to open this sheet again."""
        return self.state.form.name, self.state.row.id if self.state.row else None

    def on_back(self) -> bool:
        """Stay while what was typed is not on disk: leaving would lose it."""
        if self._keeper.trouble:
            self.keep()
        return bool(self._keeper.trouble)

    def rest(self) -> None:
        """The sheet goes from the screen: listen to no keys any more."""
        self._keys.listen(False)
        self._keeper.rest()
        self._verdict.rest()
        self.ids.pane.rest()

    def left(self) -> None:
        """A sheet nothing was typed into leaves no draft."""
        self.rest()
        if not self.state.touched:
            self.drop()
        super().left()


load_kv(__file__)
