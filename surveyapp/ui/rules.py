"""Kivy's .kv rules, made to let a widget be whose rule's root is gone.

A finger or a coming frame may hold a part of a row that was made anew; a change that its rule
follows would end the app with a ReferenceError. Import this before any .kv is read.
"""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from kivy.lang import builder

_follow = builder.call_fn


def _follow_what_is_there(args: Any, instance: Any, value: Any) -> None:
    with suppress(ReferenceError):
        _follow(args, instance, value)


builder.call_fn = _follow_what_is_there
