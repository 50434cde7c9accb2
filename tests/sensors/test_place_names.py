"""Names of places through geopy, with an adapter that answers instead of the network."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from geopy.adapters import BaseSyncAdapter

from surveyapp.errors import NoAnswer, NoNetwork
from surveyapp.sensors.place_names import (
    ATTRIBUTION,
    HOST,
    FakePlaceNames,
    NominatimNames,
    place_name,
)
from surveyapp.store.notebook import Notebook
from tests import conftest

# The form of an answer as Nominatim's manual gives it (nominatim.org, "Reverse", format jsonv2;
# from memory); the place is invented.
ANSWER = {
    "place_id": 1, "licence": "Data © OpenStreetMap contributors, ODbL 1.0.", "lat": "60.1705",
    "lon": "24.9405", "display_name": "3, Mill Street, Harbour, Invented town",
    "address": {"house_number": "3", "road": "Mill Street", "suburb": "Harbour",
                "city": "Invented town", "country_code": "fi"},
}  # fmt: skip


class Answering(BaseSyncAdapter):
    """geopy's adapter without a network: notes each request, gives the answer set."""

    requests: list[tuple[str, dict[str, str]]] = []  # noqa: RUF012
    answer: Any = ANSWER

    def get_json(self, url: str, *, timeout: float, headers: dict[str, str]) -> Any:
        """The answer."""
        self.requests.append((url, headers))
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer

    def get_text(self, url: str, *, timeout: float, headers: dict[str, str]) -> str:
        """The answer as text."""
        return json.dumps(self.get_json(url, timeout=timeout, headers=headers))


class Time:
    """A clock that only goes on by sleeping."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def sleep(self, by_s: float) -> None:
        """Let time pass."""
        self.now_s += by_s


@pytest.fixture
def names(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Any], NominatimNames]]:
    """Makes the real adapter on top of the answering one."""
    monkeypatch.setattr(NominatimNames, "_last_s", None)
    monkeypatch.setattr(Answering, "requests", [])
    time = Time()

    def made(answer: Any = ANSWER) -> NominatimNames:
        monkeypatch.setattr(Answering, "answer", answer)
        return NominatimNames(Answering, lambda: time.now_s, time.sleep)

    made.time = time  # type: ignore[attr-defined]
    return made


def test_one_position_is_asked_for_under_our_own_name(
    names: Callable[..., NominatimNames],
) -> None:
    """The request goes to Nominatim by TLS, holds the position and nothing of the notebook, and
    says which program asks; the text that comes back carries its attribution."""
    assert names().ask(60.1705, 24.9405) == f"Mill Street 3, Harbour ({ATTRIBUTION})"
    ((url, headers),) = Answering.requests
    parts = urlsplit(url)
    asked = parse_qs(parts.query)

    assert (parts.scheme, parts.netloc, parts.path) == ("https", HOST, "/reverse")
    assert (asked["lat"], asked["lon"]) == (["60.1705"], ["24.9405"])
    assert set(asked) == {"lat", "lon", "format", "accept-language", "addressdetails", "zoom"}
    assert headers["User-Agent"].startswith("surveyapp")
    assert "geopy" not in headers["User-Agent"]


def test_at_most_one_request_a_second_whoever_asks(names: Callable[..., NominatimNames]) -> None:
    """Three requests by two askers take two seconds at least."""
    one, other = names(), names()
    for asker in (one, other, one):
        asker.ask(60.0, 24.0)

    assert names.time.now_s >= 2.0  # type: ignore[attr-defined]
    assert len(Answering.requests) == 3


def test_an_answer_is_kept_in_the_notebook_and_not_asked_for_again(tmp_path: Path) -> None:
    """The second time, and after a restart, nobody is asked; thirty metres off somebody is."""
    service = FakePlaceNames("Mill Street 3 (of a fake)")
    with Notebook.create(tmp_path / "n") as notebook:
        assert place_name(service, notebook, 60.17051, 24.94052) == service.answer
    with Notebook.open(tmp_path / "n") as notebook:
        assert place_name(service, notebook, 60.17052, 24.94049) == service.answer
        place_name(service, notebook, 60.1708, 24.9405)

    assert service.asked == [(60.17051, 24.94052), (60.1708, 24.9405)]


@pytest.mark.parametrize(
    ("answer", "error"),
    [
        ({"error": "Unable to geocode"}, NoAnswer),
        (
            {"lat": "1", "lon": "1", "display_name": "x", "address": {"country_code": "fi"}},
            NoAnswer,
        ),
        (OSError("no route"), NoNetwork),
    ],
)
def test_no_name_and_no_network_are_one_sentence_each(
    names: Callable[..., NominatimNames], answer: Any, error: type[Exception]
) -> None:
    """What to do is said; nothing is kept."""
    with pytest.raises(error, match=r"type (one|the place)"):
        names(answer).ask(60.0, 24.0)


def test_the_shut_network_is_met_where_the_real_service_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The guard of all tests sees a real request; so no other test makes one."""
    monkeypatch.setattr(NominatimNames, "_last_s", None)
    with pytest.raises(NoNetwork, match=HOST):
        NominatimNames().ask(60.0, 24.0)
    noted = list(conftest.reached_for)
    del conftest.reached_for[:]

    assert [host for _, host in noted] == [HOST]
