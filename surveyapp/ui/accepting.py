"""Doubts kept as noted, or doubted again, each step to be taken back by Undo. No Kivy here.

They are a setting and no rows, so the journal does not hold them: what stood before each step is
remembered for as long as the app runs, and Undo takes up whichever step is the newer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from surveyapp.ui.expected_now import ACCEPTED

if TYPE_CHECKING:
    from surveyapp.store.notebook import Notebook


class Acceptances:
    """The steps of one notebook, each with the journal's newest action at its time."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._steps: list[tuple[str, str, Any]] = []

    def keep(self, accepted: list[str], what: str) -> None:
        """Keep these as accepted; `what` is what undo calls the step."""
        before = self._notebook.setting(ACCEPTED, [])
        self._notebook.keep_setting(ACCEPTED, accepted)
        self._steps.append((self._newest(), what, before))

    @property
    def can_undo(self) -> bool:
        """Whether the newest thing done was such a step."""
        return bool(self._steps) and self._steps[-1][0] == self._newest()

    def undo(self) -> str:
        """Take the newest step back; what it was."""
        _, what, before = self._steps.pop()
        self._notebook.keep_setting(ACCEPTED, before)
        return what

    def _newest(self) -> str:
        last = self._notebook.history(1)
        return last[0].action_id if last else ""
