"""What an entry sheet is made from: fields as data, and rows from what was typed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from surveyapp.model import Row, Stop
from surveyapp.ui.entries.field import Choice, Field
from surveyapp.ui.session import Session
from surveyapp.ui.speech import tr
from surveyapp.ui.words import number

Texts = dict[str, str]


@dataclass(frozen=True)
class Told:
    """Something that follows from what was typed: a value under its label, a doubt, and a
    picture (an exchange Thumbnail)."""

    label: str
    value: str
    doubt: str = ""
    small: Any = None


class Form:
    """Base of all forms. A sheet's texts are a dict from field name to what was typed.

    Override `fields`, `rows`, and `texts_of` for editing; the others where they are wanted.
    A form keeps no state: everything it needs comes in with each call.
    """

    name = ""
    title = ""
    row_kind: type[Row] | None = None
    at_stop = True  # whether the row hangs on the current stop
    save_word = "Save"
    main = ""  # the field with which an entry is worth keeping, where the next phone's may follow

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The fields in order; they may depend on what was typed so far."""
        raise NotImplementedError

    def start(self, session: Session) -> Texts:
        """What a new sheet has in it before the first touch."""
        return {}

    def texts_of(self, session: Session, row: Any) -> Texts:
        """What stands in the sheet when an existing row is edited."""
        raise NotImplementedError

    def subtitle(self, session: Session, row: Any = None) -> str:
        """The second line of the sheet's title: which stop this is for, where `row` is under
        edit the one it hangs on."""
        stop = session.stop if self.at_stop else None
        if self.at_stop and row is not None:
            stop = session.notebook.get(Stop, row.stop_id) if row.stop_id else None
        return f"{tr('Stop')} {stop.number}" if stop else ""

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """Texts that follow from the field `name` having just been set."""
        return {}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """A sentence that helps with the field `name`: what follows from what was typed."""
        return ""

    def told(self, session: Session, texts: Texts) -> tuple[Told, ...]:
        """What follows from what was typed, shown below the fields."""
        return ()

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """Other ways to fill the sheet, shown as chips above the fields; see `act`."""
        return ()

    def further(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """What can be added at the end, shown as chips below the fields; see `act`."""
        return ()

    def next_device(self, session: Session, texts: Texts) -> str:
        """The id of the phone whose entry most likely follows this one; '' for a new one."""
        return ""

    def after(self, session: Session, texts: Texts) -> Texts:
        """What the next entry begins with beside its `start`, once this one is saved."""
        return {}

    def suggested(self, sheet: Any, value: str) -> None:
        """A suggestion was tapped: it fills the field, and the cursor moves on."""
        sheet.choose(value)

    def act(self, sheet: Any, action: str) -> None:
        """Do one of the actions; `sheet` has `session`, `router`, `put(name, text)`."""

    def opened(self, sheet: Any) -> None:
        """The sheet has just been opened."""

    def finish(self, sheet: Any) -> None:
        """Save what the sheet holds and close it. Raises SurveyError, and the sheet stays."""
        state = sheet.state
        self.save(sheet.session, state.texts, state.row, state.draft())
        sheet.close()

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Keep what was typed: one action, which also ends the draft. Raises SurveyError."""
        kept = self.rows(session, texts, row)
        session.save(*kept, what=self.what(row), finished=draft)

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """The rows that what was typed makes; `row` is the one under edit, or None."""
        raise NotImplementedError

    def what(self, row: Any) -> str:
        """What undo calls this action."""
        return f"change of {self.title.lower()}" if row else self.title.lower()

    def row_text(self, row: Any) -> str:
        """What a deletion of this row is called: 'reading'."""
        return self.title.lower()


def amount(texts: Texts, name: str) -> float | None:
    """The number in a field; None where it is empty or no number yet."""
    return Field(name=name, label=name).value(texts.get(name, ""))


def whole(texts: Texts, name: str) -> int | None:
    """The same as a whole number."""
    value = amount(texts, name)
    return None if value is None else round(value)


def plain(value: float | None) -> str:
    """A stored number as it would have been typed: '-86.5', '258'."""
    return "" if value is None else number(value, 7).replace("−", "-")


def choices_of(kind: type[StrEnum], labels: dict[str, str] | None = None) -> tuple[Choice, ...]:
    """Each member of an enumeration as a choice, with its own or a given label."""
    given = labels or {}
    return tuple(
        Choice(value=m.value, label=given.get(m.value, m.value[:1].upper() + m.value[1:]))
        for m in kind
    )


def chips(
    values: Iterable[float | str | None], limit: int = 4, before: str = ""
) -> tuple[Choice, ...]:
    """Suggestions from earlier values, each once, newest first; shown with `before` ahead."""
    texts = (v if isinstance(v, str) else plain(v) for v in values)
    once = dict.fromkeys(text for text in texts if text)
    return tuple(
        Choice(value=text, label=before + text.replace("-", "−")) for text in list(once)[:limit]
    )
