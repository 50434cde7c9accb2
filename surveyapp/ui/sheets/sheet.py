"""What every sheet is made from."""

from __future__ import annotations

from typing import Any

from kivy.lang import Builder
from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.router import Router
from surveyapp.ui.session import Session
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import bars, buttons, rows  # noqa: F401


class Sheet(BoxLayout):
    """A column with a title bar; open with `router.open(sheet)`, close with `self.close()`."""

    session: Session = ObjectProperty()
    router: Router = ObjectProperty()
    title = StringProperty("")
    subtitle = StringProperty("")

    def on_back(self) -> bool:
        """Back was asked for; True where the sheet dealt with it and stays open."""
        return False

    def left(self) -> None:
        """The sheet is closed for good: its widgets follow theme and text size no longer."""
        for widget in self.walk(restrict=True):
            Builder.unbind_widget(widget.uid)

    def rest(self) -> None:
        """The app ends with the sheet open: let go of what was listened to, keep the draft."""

    def kept_name(self) -> tuple[str, str | None] | None:
        """Name and row to open it again in a new process; None where it is not kept."""
        return None

    def close(self, *_: Any) -> None:
        """Close this sheet."""
        self.router.close(self)


load_kv(__file__)
