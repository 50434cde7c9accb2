"""Keys pressed as a keyboard presses them: events in SDL's own queue, which Kivy then reads.

Layout of the events: SDL 2, SDL_events.h and SDL_keyboard.h (SDL_KeyboardEvent); numbers of the
keys: SDL_keycode.h.
"""

from __future__ import annotations

import ctypes
from pathlib import Path

from kivy.core.window import Window

from tests.ui import harness

KEY_DOWN, KEY_UP = 0x300, 0x301
SHIFT, CTRL = 0x0001, 0x0040
KEYS = {
    "Enter": 13, "Escape": 27, "Backspace": 8, "Tab": 9, "Right": 0x4000004F, "Left": 0x40000050,
    "Down": 0x40000051, "Up": 0x40000052,
}  # fmt: skip


class KeyEvent(ctypes.Structure):
    """SDL_KeyboardEvent, filled up to the size of an SDL_Event."""

    _fields_ = (
        ("type", ctypes.c_uint32), ("timestamp", ctypes.c_uint32), ("window", ctypes.c_uint32),
        ("state", ctypes.c_uint8), ("repeat", ctypes.c_uint8), ("padding", ctypes.c_uint16),
        ("scancode", ctypes.c_int32), ("key", ctypes.c_int32), ("modifiers", ctypes.c_uint16),
        ("unused", ctypes.c_uint32), ("rest", ctypes.c_uint8 * 24),
    )  # fmt: skip


def sdl() -> ctypes.CDLL:
    """The SDL that Kivy has loaded into this process."""
    lines = Path("/proc/self/maps").read_text(encoding="utf-8").splitlines()
    return ctypes.CDLL(next(line.split()[-1] for line in lines if "libSDL2-" in line))


def press(*keys: str, shift: bool = False, ctrl: bool = False) -> None:
    """Press and release keys, by their sign or by a name of KEYS."""
    library = sdl()
    for name in keys:
        for kind in (KEY_DOWN, KEY_UP):
            event = KeyEvent(type=kind, key=KEYS.get(name) or ord(name), state=kind == KEY_DOWN)
            event.modifiers = SHIFT * shift | CTRL * ctrl
            assert library.SDL_PushEvent(ctypes.byref(event)) == 1
        Window.mainloop()
        harness.frames(2)
