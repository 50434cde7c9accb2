"""A sheet under way: what was typed, which field has the cursor, and what a key does to it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from surveyapp.model import Draft
from surveyapp.ui.entries.field import Field, Kind, Sign
from surveyapp.ui.entries.form import Form, Texts
from surveyapp.ui.session import Session

STEPS_KEPT = 200  # changes that can be taken back
LONGEST = 10  # digits; more than any value of ours has
DECIMAL_MARKS = (".", ",")


@dataclass
class EntryState:
    """Plain state behind an entry sheet; `fresh` means the next digit replaces what is there."""

    form: Form
    session: Session
    stop_id: str | None = None
    row: Any = None
    texts: Texts = field(default_factory=dict)
    focus: str = ""
    fresh: bool = True
    touched: bool = False
    earlier: list[tuple[Texts, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.refresh()
        if self.focus not in self.names:
            self.focus = self._first_empty()

    # Reading

    @property
    def names(self) -> list[str]:
        """The fields' names in order."""
        return [one.name for one in self.fields]

    @property
    def path(self) -> list[str]:
        """The names Next goes along; a field tapped off the path belongs to it for the moment."""
        return [one.name for one in self.fields if one.on_path or one.name == self.focus]

    @property
    def current(self) -> Field:
        """The field that has the cursor."""
        return next(one for one in self.fields if one.name == self.focus)

    @property
    def at_end(self) -> bool:
        """Whether Next would save."""
        return self.path[-1] == self.focus

    def text(self, name: str) -> str:
        """What was typed into a field."""
        return self.texts.get(name, "")

    def problems(self) -> dict[str, str]:
        """What cannot be, by field; a field left empty is told only when saving."""
        told = {one.name: one.problem(self.text(one.name)) for one in self.fields}
        return {name: said for name, said in told.items() if said and self.text(name)}

    def missing(self) -> tuple[str, str] | None:
        """The first field that must be filled and is not, with the sentence."""
        for one in self.fields:
            if one.needed and not self.text(one.name).strip():
                return one.name, one.problem("")
        return None

    def draft(self) -> Draft:
        """The sheet as the notebook keeps it."""
        return Draft(
            sheet=self.form.name,
            stop_id=self.stop_id,
            row_id=self.row.id if self.row is not None else None,
            fields=dict(self.texts),
            focus=self.focus,
        )

    # Changing

    def refresh(self) -> None:
        """Ask the form for its fields again."""
        self.fields = self.form.fields(self.session, self.texts)

    def put(self, name: str, text: str) -> None:
        """Set a field, and what follows from it."""
        self.texts[name] = text
        self.texts.update(self.form.chosen(self.session, self.texts, name))
        self.touched = True
        self.refresh()

    def remember(self) -> None:
        """Keep what stands here now, for `take_back`."""
        self.earlier = [*self.earlier[-STEPS_KEPT:], (dict(self.texts), self.focus)]

    def take_back(self) -> bool:
        """Be as before the last change of a text; False where there was none."""
        while self.earlier:
            texts, focus = self.earlier.pop()
            if texts != self.texts:
                self.texts, self.focus, self.fresh = texts, focus, False
                self.refresh()
                return True
        return False

    def press(self, key: str) -> None:
        """A key of the pad: a digit, a decimal mark, 'sign' or 'erase'."""
        if self.current.kind is not Kind.NUMBER:
            return
        before = "" if self.fresh and key not in ("sign", "erase") else self.text(self.focus)
        after = pressed(before, key, self.current)
        self.fresh = False
        if after != self.text(self.focus):
            self.put(self.focus, after)

    def move_to(self, name: str) -> None:
        """Give a field the cursor."""
        self.focus, self.fresh = name, True

    def step(self, by: int) -> bool:
        """Move along the path; False where it ends."""
        path = self.path
        at = path.index(self.focus) + by
        if not 0 <= at < len(path):
            return False
        self.move_to(path[at])
        return True

    def _first_empty(self) -> str:
        on_path = [one for one in self.fields if one.on_path]
        empty = [one.name for one in on_path if not self.text(one.name)]
        return empty[0] if empty else on_path[0].name


def state_of(form: Form, session: Session, row_id: str | None, start: dict[str, str]) -> EntryState:
    """The state a sheet opens with: its draft, else the row's values, else a fresh start."""
    row = session.notebook.get(form.row_kind, row_id) if row_id else None
    stop_id = None
    if form.at_stop:
        stop_id = row.stop_id if row is not None else session.need_stop().id
    draft = _draft_of(session, form.name, stop_id, row_id)
    if draft is not None:
        texts, focus = dict(draft.fields), draft.focus
    elif row is not None:
        texts, focus = {**form.texts_of(session, row)}, ""
    else:
        texts, focus = {**form.start(session), **start}, ""
    state = EntryState(form, session, stop_id, row, texts, focus)
    state.touched = draft is not None
    state.fresh = draft is None
    return state


def _draft_of(
    session: Session, sheet: str, stop_id: str | None, row_id: str | None
) -> Draft | None:
    key = (sheet, stop_id, row_id)
    drafts = session.notebook.drafts()
    return next((d for d in drafts if (d.sheet, d.stop_id, d.row_id) == key), None)


def pressed(text: str, key: str, into: Field) -> str:
    """What a field holds after a key; a key that makes no sense there changes nothing."""
    minus, digits = text[:1] == "-", text.lstrip("-")
    if key == "erase":
        digits = digits[:-1]
        minus = minus and (bool(digits) or (into.sign is Sign.EITHER and len(text) > 1))
    elif key == "sign":
        minus = into.sign is Sign.EITHER and not minus
    elif key in DECIMAL_MARKS:
        digits = f"{digits or '0'}." if into.decimals and "." not in digits else digits
    elif key.isdigit() and _has_room(digits, into):
        digits = key if digits == "0" else digits + key
    if into.sign is Sign.MINUS:
        minus = bool(digits)
    return ("-" if minus else "") + digits


def _has_room(digits: str, into: Field) -> bool:
    whole, mark, fraction = digits.partition(".")
    return len(fraction) < into.decimals if mark else len(whole) < LONGEST
