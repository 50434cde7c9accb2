"""What was expected of the reading or run on an entry sheet, told as it is typed.

Worked out only when the fingers rest, so that no key ever waits for it. It stands between the
fields and the pad where there is room for both, else below the fields.
"""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.lang import Builder
from kivy.metrics import Metrics

from surveyapp.errors import SurveyError
from surveyapp.model import Reading, SpeedRun, StopScene
from surveyapp.ui.expectation_words import Verdict
from surveyapp.ui.sheets.why_sheet import WhySheet
from surveyapp.ui.verdicts import DOWN, PING
from surveyapp.ui.widgets.verdict import VerdictBox

RESTED_S = 0.25  # after the last key
BAND_SP = 130  # about the height of the box between fields and pad, at 100 % text
ROWS_SEEN = 2  # fields that must stay in sight above it
LTE_PART, LTE_LEG = "anchor", "LTE leg"
OF_PING = ("ping", "jitter", "server")


class TypedVerdict:
    """Keeps the verdict of an entry sheet whose entries are judged; others have none."""

    def __init__(self, sheet: Any) -> None:
        self._sheet = sheet
        self._box: VerdictBox | None = None
        self._device_id = ""
        self._scene: StopScene | None = None
        self._judge_soon = Clock.create_trigger(lambda _: self.judge(), RESTED_S)
        self._place_soon = Clock.create_trigger(lambda _: self.place(), 0)
        if sheet.state.form.row_kind in (Reading, SpeedRun):
            sheet.bind(size=self._place_soon)
            sheet.ids.pane.bind(height=self._place_soon)
            self._judge_soon()

    def typed(self) -> None:
        """Something was typed, or the cursor moved: judge when the fingers rest."""
        if self._sheet.state.form.row_kind in (Reading, SpeedRun):
            self._judge_soon.cancel()
            self._judge_soon()

    def judge(self) -> None:
        """Judge what stands in the sheet now."""
        state, session = self._sheet.state, self._sheet.session
        try:
            rows = state.form.rows(session, state.texts, state.row)
            verdict = session.expected.typed(self._scene_of(state), rows)
            self._device_id = rows[-1].device_id
        except SurveyError:  # a new phone without its name yet
            verdict = Verdict()
        self._show(verdict)

    def place(self) -> None:
        """Put the box where there is room for it."""
        box = self._box
        if box is None:
            return
        ids = self._sheet.ids
        box.typing = self._has_room()
        slot = ids.band if box.typing else ids.below
        if box.parent is not slot:
            if box.parent is not None:
                box.parent.remove_widget(box)
            slot.add_widget(box)

    def rest(self) -> None:
        """The sheet goes: judge nothing any more."""
        self._judge_soon.cancel()
        self._place_soon.cancel()

    def _show(self, verdict: Verdict) -> None:
        key = self._key()
        matter = verdict.of(key)
        if matter is None or not matter.has_strip:
            self._take_away()
            return
        if self._box is None:
            self._box = VerdictBox()
            self._box.bind(on_release=lambda *_: self.why())
        self._box.key, self._box.verdict = key, verdict
        self.place()

    def _take_away(self) -> None:
        box, self._box = self._box, None
        if box is not None:
            box.parent.remove_widget(box)
            for widget in box.walk(restrict=True):
                Builder.unbind_widget(widget.uid)

    def why(self) -> None:
        """The verdict was tapped: tell what is behind it."""
        sheet, box = self._sheet, self._box
        told = WhySheet(
            box.verdict, self._device_id, box.key, session=sheet.session, router=sheet.router
        )
        sheet.router.open(told)

    def _key(self) -> str:
        """The matter that the field with the cursor belongs to."""
        focus = self._sheet.state.focus
        if self._sheet.state.form.row_kind is SpeedRun:
            return PING if focus in OF_PING else DOWN
        return LTE_LEG if focus.startswith(LTE_PART) else ""

    def _has_room(self) -> bool:
        """Whether the box fits between the fields and the pad."""
        sheet, ids = self._sheet, self._sheet.ids
        taken = ids.bar.height + (0 if sheet.beside else ids.pane.height)
        fields = ROWS_SEEN * ids.fields.current_height
        return sheet.height - taken - BAND_SP * Metrics.sp >= fields

    def _scene_of(self, state: Any) -> StopScene:
        """All that bears on the entry's stop, which need not be the current one."""
        session = self._sheet.session
        if session.stop is not None and session.stop.id == state.stop_id:
            return session.scene
        if self._scene is None:
            self._scene = session.notebook.stop_scene(state.stop_id)
        return self._scene
