"""Nothing of this program reaches a network unasked: every test runs with the network shut."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

import pytest

HERE = {"127.0.0.1", "::1", "localhost", ""}
reached_for: list[tuple[str, Any]] = []


def _shut(event: str, arguments: tuple[Any, ...]) -> None:
    """Refuse to look up or to call any other machine, in whatever thread, and note it."""
    if event == "socket.getaddrinfo":
        host: Any = arguments[0]
    elif event in ("socket.connect", "socket.sendto"):
        address = arguments[1]
        host = address[0] if isinstance(address, tuple) else ""  # a path is this machine's own
    else:
        return
    if host is not None and host not in HERE:
        reached_for.append((event, host))
        raise OSError(f"The tests shut the network: {event} {host}")


sys.addaudithook(_shut)


@pytest.fixture(autouse=True)
def _nothing_was_reached_for() -> Iterator[None]:
    """A test fails that reached for the network, also where the code took the refusal well."""
    del reached_for[:]
    yield

    assert reached_for == []
