"""The day's backup, written by itself while the app is open. No Kivy here."""

from __future__ import annotations

from pathlib import Path

from surveyapp.ui.background import Background, Leave
from surveyapp.ui.senses.gathering import Ticks
from surveyapp.ui.session import Session

LOOK_S = 60.0  # the first look comes so long after the first page, which it must not delay


class DailyBackup:
    """Asks once an hour whether a backup is due; the work is done in the background."""

    def __init__(self, session: Session, ticks: Ticks) -> None:
        self._session = session
        self._work = Background(session.notebook, backed_up)
        self._hour = ""
        self._end = ticks.every(LOOK_S, self.look)

    def look(self) -> None:
        """Begin the work where an hour has passed."""
        now = self._session.clock().astimezone()
        if f"{now:%Y-%m-%d %H}" != self._hour:
            self._hour = f"{now:%Y-%m-%d %H}"
            self._work.ask(now.isoformat())

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._end()
        self._work.rest()


def backed_up(path: Path, moment: str, leave: Leave) -> str | None:
    """The day's backup, as keeping.backed_up_daily makes it; imported when its time comes."""
    from surveyapp.ui.keeping import backed_up_daily

    return backed_up_daily(path, moment, leave)
