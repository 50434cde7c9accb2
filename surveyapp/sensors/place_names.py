"""The name of a place out of OpenStreetMap, asked for over the network and never unasked.

Through geopy's Nominatim under that service's usage policy (operations.osmfoundation.org,
"Nominatim Usage Policy"; from memory): a user agent of our own, at most one request a second,
answers kept so that nothing is asked twice, and the attribution wherever the name shows. For
that the attribution is part of the text.
"""

from __future__ import annotations

import ssl
import time
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from threading import Lock
from typing import Any, Protocol

from surveyapp.errors import NoAnswer, NoNetwork
from surveyapp.sensors.android import on_android

HOST = "nominatim.openstreetmap.org"
USER_AGENT = "surveyapp-notebook/1 (site survey notebook; asks for single places on request)"
ATTRIBUTION = "© OpenStreetMap contributors"  # openstreetmap.org/copyright
ANDROIDS_AUTHORITIES = Path("/system/etc/security/cacerts")
A_REQUEST_S = 1.0
TIMEOUT_S = 10.0
STREET_LEVEL = 18  # Nominatim's zoom for a building
_ROADS = ("road", "pedestrian", "footway", "path", "cycleway", "square", "place")
_QUARTERS = ("neighbourhood", "quarter", "suburb", "village", "town", "city", "municipality")


class KeptNames(Protocol):
    """Where answers are kept; a notebook is one."""

    def kept_place_name(self, lat_deg: float, lon_deg: float) -> str | None:
        """The name kept for this place, or None."""

    def keep_place_name(self, lat_deg: float, lon_deg: float, name: str) -> None:
        """Keep an answer."""


class PlaceNames(ABC):
    """The port."""

    @abstractmethod
    def ask(self, lat_deg: float, lon_deg: float, language: str = "en") -> str:
        """The name of a place, with its attribution.

        Raises NoNetwork where no answer came, NoAnswer where there is no name.
        """


def place_name(
    names: PlaceNames, kept: KeptNames, lat_deg: float, lon_deg: float, language: str = "en"
) -> str:
    """The name of a place as it is kept, else as it is asked for now and kept. Raises as `ask`."""
    name = kept.kept_place_name(lat_deg, lon_deg)
    if name is None:
        name = names.ask(lat_deg, lon_deg, language)
        kept.keep_place_name(lat_deg, lon_deg, name)
    return name


class NominatimNames(PlaceNames):
    """The real adapter. `adapter_factory` is geopy's own, for tests; `clock` and `sleep` too."""

    _last_s: float | None = None  # of all of them: the policy is about this program
    _turn = Lock()

    def __init__(
        self,
        adapter_factory: Any = None,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._adapter_factory = adapter_factory
        self._clock = clock
        self._sleep = sleep

    def ask(self, lat_deg: float, lon_deg: float, language: str = "en") -> str:
        """One request; it waits until a second has passed since the last one."""
        from geopy.adapters import URLLibAdapter
        from geopy.exc import GeopyError
        from geopy.geocoders import Nominatim

        service = Nominatim(
            user_agent=USER_AGENT,
            timeout=TIMEOUT_S,
            ssl_context=_trusted(),
            adapter_factory=self._adapter_factory or URLLibAdapter,
        )
        self._wait()
        try:
            found = service.reverse((lat_deg, lon_deg), language=language, zoom=STREET_LEVEL)
        except (GeopyError, OSError) as error:
            raise NoNetwork(
                f"No answer came from {HOST} ({type(error).__name__}): try again where there is a "
                "network, or type the place."
            ) from error
        name = "" if found is None else _name_of(found.raw)
        if not name:
            raise NoAnswer("OpenStreetMap has no name for this place: type one.")
        return f"{name} ({ATTRIBUTION})"

    def _wait(self) -> None:
        with NominatimNames._turn:
            now_s, last_s = self._clock(), NominatimNames._last_s
            if last_s is not None and 0.0 <= now_s - last_s < A_REQUEST_S:
                self._sleep(A_REQUEST_S - (now_s - last_s))
            NominatimNames._last_s = self._clock()


class FakePlaceNames(PlaceNames):
    """Answers what it was given, or raises it; remembers what it was asked."""

    def __init__(self, answer: str | NoNetwork) -> None:
        self.answer = answer
        self.asked: list[tuple[float, float]] = []

    def ask(self, lat_deg: float, lon_deg: float, language: str = "en") -> str:
        """The answer it was given."""
        self.asked.append((lat_deg, lon_deg))
        if isinstance(self.answer, NoNetwork):
            raise NoNetwork(str(self.answer)) from self.answer
        return self.answer


def _trusted() -> ssl.SSLContext:
    """The authorities this machine trusts; Android's are a folder that OpenSSL does not know."""
    context = ssl.create_default_context()
    if on_android():
        for path in sorted(ANDROIDS_AUTHORITIES.glob("*")):
            with suppress(ssl.SSLError, OSError):
                context.load_verify_locations(path)
    return context


def _name_of(raw: Mapping[str, Any]) -> str:
    """'Mill Street 3, Harbour' out of an answer's address."""
    address = raw.get("address")
    if not isinstance(address, Mapping):
        return ""
    told = {key: value for key, value in address.items() if isinstance(value, str)}
    road = next((told[key] for key in _ROADS if key in told), "")
    numbered = f"{road} {told.get('house_number', '')}".strip() if road else ""
    quarter = next((told[key] for key in _QUARTERS if key in told), "")
    return ", ".join(part for part in (numbered, quarter) if part)
