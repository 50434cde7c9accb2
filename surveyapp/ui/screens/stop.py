"""The Stop place: where one stands, what serves there, what was entered, five big buttons."""

from __future__ import annotations

from surveyapp.ui.screens.page import Page, load_kv


class StopPage(Page):
    """The current stop."""


load_kv(__file__)
