"""The simplest possible events: a list of callbacks, told in the order they came."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


class Event:
    """Call `bind(callback)` to be told, `unbind(callback)` to be told no more."""

    def __init__(self) -> None:
        self._callbacks: list[Callable[..., Any]] = []

    def bind(self, callback: Callable[..., Any]) -> None:
        """Add a callback; adding it twice changes nothing."""
        if callback not in self._callbacks:
            self._callbacks.append(callback)

    def unbind(self, callback: Callable[..., Any]) -> None:
        """Remove a callback; one that is not there is no error."""
        if callback in self._callbacks:
            self._callbacks.remove(callback)

    def fire(self, *values: Any) -> None:
        """Tell every callback."""
        for callback in tuple(self._callbacks):
            callback(*values)
