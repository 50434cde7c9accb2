"""Where the app is: one of four places, the pages opened over it, the sheets over those.

Back (Escape, Android's own) is one rule: a question to the plan is dropped first, then the
topmost sheet decides, then the page goes, then the place gives way to Stop; at Stop it is let
through to the system. The whole route is kept in the notebook at each step, so that a new
process opens where the last one was killed.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from surveyapp.errors import NotFound
from surveyapp.ui.events import Event
from surveyapp.ui.screens import HOME, PLACES, PLAN, SCREENS
from surveyapp.ui.session import Session

if TYPE_CHECKING:
    from surveyapp.ui.notebooks import Notebooks

KEPT_AS = "route"


class Router:
    """The route: `pages` is [(name, parameters), ...] with the place first, `sheets` the open
    sheets, topmost last. `changed` fires after each step; the shell shows what it says."""

    def __init__(self, session: Session, notebooks: Notebooks | None = None) -> None:
        self.session = session
        self.notebooks = notebooks  # the own one and the demo day's, where an app is at work
        self.pages: list[tuple[str, dict[str, str]]] = [(HOME, {})]
        self.sheets: list[Any] = []
        self.changed = Event()
        session.pick_changed.bind(self._pick_changed)

    @property
    def place(self) -> str:
        """The current place."""
        return self.pages[0][0]

    def go(self, place: str) -> None:
        """Go to one of the four places; open sheets are left, their drafts kept."""
        while self.sheets:
            self.sheets.pop().left()
        self.session.pick = None
        self.pages = [(place, {})]
        self._moved()

    def push(self, name: str, **parameters: str) -> None:
        """Open a page over the place. Parameters are texts (ids), so that they can be kept."""
        self.pages.append((name, parameters))
        self._moved()

    def open(self, sheet: Any) -> None:
        """Open a sheet on top."""
        self.sheets.append(sheet)
        self._moved()

    def open_entry(self, name: str, row_id: str | None = None, **start: str) -> Any:
        """Open the entry sheet of this name, new or for a row; its draft is taken up again.

        `start` gives fields their first text where there is no draft. Returns the sheet.
        """
        from surveyapp.ui.sheets.entry_sheet import EntrySheet

        sheet = EntrySheet.of(name, self.session, self, row_id, start)
        self.open(sheet)
        sheet.state.form.opened(sheet)
        return sheet

    def close(self, sheet: Any) -> None:
        """Close a sheet, wherever it is in the pile."""
        if sheet in self.sheets:
            self.sheets.remove(sheet)
            sheet.left()
            self._moved()

    def back(self) -> bool:
        """One step back; False where nothing is left to leave."""
        if self.session.pick is not None:
            self.session.drop_pick()
            return True
        if self.sheets:
            sheet = self.sheets[-1]
            if not sheet.on_back():
                self.close(sheet)
            return True
        if len(self.pages) > 1:
            self.pages.pop()
        elif self.place != HOME:
            self.pages = [(HOME, {})]
        else:
            return False
        self._moved()
        return True

    # Kept and taken up again

    def route(self) -> dict[str, Any]:
        """The route as plain values."""
        kept = [name for sheet in self.sheets if (name := sheet.kept_name()) is not None]
        return {"pages": [list(page) for page in self.pages], "sheets": kept}

    def restore(self) -> None:
        """Open what was open when the last process ended; what has gone is left out."""
        route = self.session.notebook.setting(KEPT_AS, {})
        pages = [(name, dict(given)) for name, given in route.get("pages", ()) if name in SCREENS]
        if pages and pages[0][0] in PLACES:
            self.pages = pages
        for name, row_id in route.get("sheets", ()):
            try:
                self.open_entry(name, row_id)
            except NotFound:
                continue
        self._moved()

    def _pick_changed(self) -> None:
        """The plan comes to the front for a tap wished for, and goes when it was given."""
        if self.session.pick is not None:
            self.pages.append((PLAN, {}))
        elif len(self.pages) > 1 and self.pages[-1][0] == PLAN:
            self.pages.pop()
        self._moved()

    def _moved(self) -> None:
        notebook = self.session.notebook
        self.session.attempt(lambda: notebook.keep_setting(KEPT_AS, self.route()))
        self.changed.fire()


def screen_class(name: str) -> Any:
    """The class of a screen by its name, imported when first asked for."""
    module, _, wanted = SCREENS[name].partition(":")
    return getattr(import_module(module), wanted)
