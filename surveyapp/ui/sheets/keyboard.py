"""A physical keyboard on an entry sheet: digits, Enter and Tab, arrows, Backspace, Ctrl+Z."""

from __future__ import annotations

from typing import Any

from kivy.core.window import Window

from surveyapp.ui.entries.field import Kind

ENTER, NUMPAD_ENTER, TAB, BACKSPACE = 13, 271, 9, 8
UP, DOWN, RIGHT, LEFT = 273, 274, 275, 276  # as Kivy numbers them
ARROWS = {UP: -1, LEFT: -1, DOWN: 1, RIGHT: 1}
UNDO = ord("z")
SIGNS = "-−+"
DIGITS_AND_MARKS = "0123456789.,"


class PhysicalKeys:
    """Turns key presses into the pad's keys while its sheet is on screen.

    Enter goes on and saves at the last field; Tab and the arrows only move. In a line of text
    the arrows and Ctrl+Z are the line's own.
    """

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
        if "ctrl" in modifiers or "meta" in modifiers:
            return self._command(code, kind)
        if code in (ENTER, NUMPAD_ENTER):
            self._sheet.key("next")
        elif code == TAB:
            self._sheet.step(-1 if "shift" in modifiers else 1)
        elif code in ARROWS and kind is not Kind.TEXT:
            self._sheet.step(ARROWS[code])
        else:
            return self._fill(code, text or "", kind)
        return True

    def _command(self, code: int, kind: Kind) -> bool:
        if code in (ENTER, NUMPAD_ENTER):
            self._sheet.save()
        elif code == UNDO and kind is not Kind.TEXT:
            self._sheet.take_back()
        else:
            return False
        return True

    def _fill(self, code: int, text: str, kind: Kind) -> bool:
        if kind is Kind.CHOICE and text.isdigit():
            return self._choose(int(text))
        if kind is not Kind.NUMBER:
            return False
        if code == BACKSPACE:
            self._sheet.key("erase")
        elif text and text in DIGITS_AND_MARKS:
            self._sheet.key("." if text == "," else text)
        elif text and text in SIGNS:
            self._sheet.key("sign")
        else:
            return False
        return True

    def _choose(self, nth: int) -> bool:
        choices = self._sheet.state.current.choices
        if 1 <= nth <= len(choices):
            self._sheet.choose(choices[nth - 1].value)
        return 1 <= nth <= len(choices)
