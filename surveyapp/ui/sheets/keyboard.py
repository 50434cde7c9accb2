"""A physical keyboard on an entry sheet: digits, Enter and Tab, arrows, Backspace."""

from __future__ import annotations

from typing import Any

from kivy.core.window import Window

from surveyapp.ui.entries.field import Kind

ENTER, NUMPAD_ENTER, TAB, BACKSPACE, ARROW_UP, ARROW_DOWN = 13, 271, 9, 8, 273, 274
STEPS = {ENTER: "next", NUMPAD_ENTER: "next", TAB: "next", ARROW_DOWN: "next", ARROW_UP: "up"}
SIGNS = "-−+"
DIGITS_AND_MARKS = "0123456789.,"


class PhysicalKeys:
    """Turns key presses into the pad's keys while its sheet is on screen."""

    def __init__(self, sheet: Any) -> None:
        self._sheet = sheet

    def listen(self, yes: bool) -> None:
        """Start or stop listening."""
        Window.unbind(on_key_down=self.pressed)
        if yes:
            Window.bind(on_key_down=self.pressed)

    def pressed(
        self, _window: Any, code: int, _scan: int, text: str | None, modifiers: list[str]
    ) -> bool:
        """One key; True where the sheet took it."""
        kind = self._sheet.state.current.kind
        if "ctrl" in modifiers and code == ENTER:
            self._sheet.save()
        elif code in STEPS and not (kind is Kind.TEXT and code in (ARROW_UP, ARROW_DOWN)):
            back = "shift" in modifiers
            self._sheet.key("up" if back else STEPS[code])
        elif kind is Kind.NUMBER and code == BACKSPACE:
            self._sheet.key("erase")
        elif kind is Kind.NUMBER and text and text in DIGITS_AND_MARKS:
            self._sheet.key("." if text == "," else text)
        elif kind is Kind.NUMBER and text and text in SIGNS:
            self._sheet.key("sign")
        elif kind is Kind.CHOICE and text and text.isdigit():
            return self._choose(int(text))
        else:
            return False
        return True

    def _choose(self, nth: int) -> bool:
        choices = self._sheet.state.current.choices
        if 1 <= nth <= len(choices):
            self._sheet.choose(choices[nth - 1].value)
        return 1 <= nth <= len(choices)
