"""Leave of the system to use a sensor, asked for at the moment of use."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from importlib import import_module

from surveyapp.sensors.android import on_android

Answered = Callable[[bool], None]


class Permissions(ABC):
    """The port: whether all of some permissions are granted, and asking for them."""

    @abstractmethod
    def granted(self, names: Sequence[str]) -> bool:
        """Whether all are granted now."""

    @abstractmethod
    def ask(self, names: Sequence[str], answered: Answered) -> None:
        """Ask the person; `answered` gets True where all were granted.

        It may come on a thread of the system, and never comes where the person walks away.
        """


class AndroidPermissions(Permissions):
    """python-for-android's own module; a phone that lacks it has granted nothing."""

    def granted(self, names: Sequence[str]) -> bool:
        """Whether Android has granted all."""
        try:
            check = import_module("android.permissions").check_permission
            return all(check(name) for name in names)
        except Exception:
            return not names

    def ask(self, names: Sequence[str], answered: Answered) -> None:
        """Android's own dialogue; nothing to ask is granted at once."""
        if not names:
            answered(True)
            return
        try:
            request = import_module("android.permissions").request_permissions
            request(list(names), lambda _names, grants: answered(bool(grants) and all(grants)))
        except Exception:
            answered(False)


class FixedPermissions(Permissions):
    """A machine that grants all or nothing: a desk, or a fake of a person who refuses."""

    def __init__(self, grants: bool = True) -> None:
        self.grants = grants
        self.asked: list[tuple[str, ...]] = []

    def granted(self, names: Sequence[str]) -> bool:
        """As set; what needs no permission has it."""
        return self.grants or not names

    def ask(self, names: Sequence[str], answered: Answered) -> None:
        """Answer at once."""
        self.asked.append(tuple(names))
        answered(self.granted(names))


def real_permissions() -> Permissions:
    """Those of this machine."""
    return AndroidPermissions() if on_android() else FixedPermissions()
