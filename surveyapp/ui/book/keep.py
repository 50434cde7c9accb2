"""Keep: where the notebook lies, its check, and another one merged into it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.properties import StringProperty

from surveyapp.ui.background import Background
from surveyapp.ui.book.section import Section
from surveyapp.ui.keeping import (
    Question,
    checked,
    merged,
    questions,
    where_words,
)
from surveyapp.ui.sheets.file_sheet import FileSheet
from surveyapp.ui.speech import tr
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets.buttons import Choices
from surveyapp.ui.widgets.text import Text

NOTEBOOKS = [".notebook", ".survey", ".sqlite", ".db"]


class KeepSection(Section):
    """Each button works in the background and says here how it went."""

    title = StringProperty("Keep")
    where = StringProperty("")
    check = StringProperty("")
    merge = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        soon = Clock.create_trigger(lambda _: self.session.refresh(), 0)
        self._works = {
            name: Background(self.session.notebook, work)
            for name, work in (("check", checked), ("merge", merged))
        }
        self._soon, self._subjects = soon, dict.fromkeys(self._works, "")
        self._asked: list[Question] | None = None
        for work in self._works.values():
            work.done.bind(soon)

    def refresh(self) -> None:
        """Where it lies, and how each work went."""
        self.where = where_words(self.session.notebook)
        for name, work in self._works.items():
            if self._subjects[name]:
                result = work.of(self._subjects[name])
                setattr(self, name, work.problem or result or "At work.")
        self._show_questions()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        for work in self._works.values():
            work.rest()
            work.done.unbind(self._soon)
        self._soon.cancel()

    def check_it(self) -> None:
        """Read the whole notebook."""
        self._begin("check", self._now().isoformat())

    def choose_other(self) -> None:
        """Choose the notebook to merge in."""
        files = FileSheet(
            session=self.session,
            router=self.router,
            take=self._take_other,
            title="Choose the other notebook",
            kinds=NOTEBOOKS,
            file_icon="book",
            nothing="No notebook in this folder.",
        )
        self.router.open(files)

    def _take_other(self, path: Path) -> None:
        self._begin("merge", str(path))

    def _now(self) -> datetime:
        return self.session.clock().astimezone()

    def _begin(self, name: str, subject: str) -> None:
        self._subjects[name] = subject
        self._works[name].rest()
        self._works[name].ask(subject)
        setattr(self, name, "At work.")

    def _show_questions(self) -> None:
        """What a merge left to choose, each with its values."""
        asked = questions(self.session.notebook)
        if asked == self._asked:
            return
        self._asked = asked
        room = self.ids.questions
        room.clear_widgets()
        for question in asked:
            room.add_widget(Text(text=tr(question.text)))
            chips = Choices(options=list(question.choices))
            chips.bind(on_choose=lambda _, value, one=question: self._settle(one, value))
            room.add_widget(chips)

    def _settle(self, question: Question, chosen: str) -> None:
        notebook, conflict = self.session.notebook, question.conflict
        if self.session.attempt(lambda: notebook.settle(conflict, question.value(chosen))):
            self.session.refresh()


load_kv(__file__)
