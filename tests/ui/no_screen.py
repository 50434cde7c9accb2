"""Lets Kivy run without a screen: import this before anything of Kivy.

It sets the offscreen driver (SDL's own, with Mesa) and keeps Kivy from reading the command
line and the user's configuration, and from writing logs.
"""

from __future__ import annotations

import os
import tempfile

os.environ.pop("DISPLAY", None)
os.environ.update(
    SDL_VIDEODRIVER="offscreen",
    KIVY_NO_ARGS="1",
    KIVY_NO_FILELOG="1",
    KIVY_NO_CONSOLELOG="1",
    KIVY_LOG_MODE="PYTHON",
    KIVY_CLIPBOARD="dummy",
    KIVY_NO_CONFIG="1",
    KIVY_HOME=tempfile.mkdtemp(prefix="kivy-home-"),
)
