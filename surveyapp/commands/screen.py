"""Whether the app can be shown on this machine."""

from __future__ import annotations

import os
import sys

SAY_SO = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER", "ANDROID_ARGUMENT")


def has_screen() -> bool:
    """Whether a window can be opened here; on Linux a display server's variables tell.

    Without one the drawing library would open a window that nobody sees.
    """
    return sys.platform in ("win32", "darwin", "ios", "android") or any(
        os.environ.get(name) for name in SAY_SO
    )
