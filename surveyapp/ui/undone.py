"""Which survey, stop and phone an action touched, so that undoing says it. No Kivy here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from surveyapp.errors import NotFound
from surveyapp.model import Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.store.rows import BY_TABLE
from surveyapp.ui.words import joined

if TYPE_CHECKING:
    from surveyapp.ui.session import Session


MOST = 100  # rows of one action that are looked at; of more it is not told which


@dataclass(frozen=True)
class Touched:
    """The stops and phones of an action's rows, and the survey where it is one."""

    stops: tuple[Stop, ...] = ()
    phones: tuple[str, ...] = ()
    survey: Survey | None = None

    def words(self, done: str, current: Survey | None) -> str:
        """'Phone A · Stop 13 · Demo, second visit'; the survey where it is not the current one,
        the stop where `done` does not name it."""
        here = self.survey is None or (current is not None and self.survey.id == current.id)
        number = str(self.stops[0].number) if len(self.stops) == 1 else ""
        told = f"stop {number}" in done
        return joined([
            self.phones[0] if len(self.phones) == 1 and self.phones[0] not in done else "",
            f"Stop {number}" if number and not told else "",
            "" if here or self.survey is None else self.survey.title,
        ])  # fmt: skip


def last_touched(notebook: Notebook) -> Touched:
    """What the newest action of the journal touched, deleted rows too."""
    last = notebook.history(1)
    rows = [_row(notebook, table, row_id) for table, row_id in last[0].rows[:MOST]] if last else []
    stop_ids = dict.fromkeys(
        row.id if isinstance(row, Stop) else getattr(row, "stop_id", None) for row in rows
    )
    stops = tuple(_row(notebook, "stop", one) for one in stop_ids if one)
    phones = dict.fromkeys(getattr(row, "device_id", None) for row in rows)
    labels = tuple(_row(notebook, "device", one).label for one in phones if one)
    surveys = {stop.survey_id for stop in stops}
    surveys |= {row.id for row in rows if isinstance(row, Survey)}
    surveys |= {row.survey_id for row in rows if getattr(row, "survey_id", None)}
    survey = _row(notebook, "survey", surveys.pop()) if len(surveys) == 1 else None
    return Touched(stops, labels, survey)


def _row(notebook: Notebook, table: str, row_id: str) -> Any:
    """The row as it is or last was."""
    return notebook.versions(BY_TABLE[table].made, row_id)[-1]


def take_step(session: Session, step: Callable[[], str | None], word: str, nothing: str) -> None:
    """Undo or redo one action; say which, where, and go to its survey where that is another."""
    done = step()
    if not done:
        session.refresh()
        session.say(nothing)
        return
    touched = last_touched(session.notebook)
    where = touched.words(done, session.survey)
    go_where_it_was(session, touched)
    session.say(f"{word}: {done}. {where}".strip())


def go_where_it_was(session: Session, touched: Touched) -> None:
    """To the other survey, and there to the stop; what is gone cannot be gone to."""
    survey, current = touched.survey, session.survey
    if survey is None or (current is not None and survey.id == current.id):
        session.refresh()
        return
    for go, row in ((session.go_to_stop, touched.stops[:1]), (session.go_to_survey, (survey,))):
        try:
            if row:
                go(row[0].id)
                return
        except NotFound:
            continue
    session.refresh()
