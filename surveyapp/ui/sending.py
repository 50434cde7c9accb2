"""What is hidden in the next file or report that goes out. No Kivy here."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from surveyapp.model import LatLon, Stop
from surveyapp.store.notebook import Notebook

if TYPE_CHECKING:
    from surveyapp.exchange.privacy import Privacy

HOMES = "home_places"  # the setting: [latitude, longitude] each
HIDEABLE = ("devices", "times", "places", "pictures")


@dataclass
class Sending:
    """What was chosen, for as long as the app runs: the safe choice each time it starts."""

    format: str = "bundle"
    hide: set[str] = field(default_factory=lambda: set(HIDEABLE))


def privacy_of(hide: Collection[str], homes: Sequence[LatLon]) -> Privacy:
    """What the ticks and the home places ask for."""
    from surveyapp.exchange.privacy import HomePlace, Privacy

    safe = Privacy()
    return Privacy(
        home_places=tuple(HomePlace(lat_deg=lat, lon_deg=lon) for lat, lon in homes),
        picture_facts="pictures" in hide,
        devices="devices" in hide,
        exact_times="times" in hide,
        grid_m=safe.grid_m if "places" in hide else None,
    )


def left_out(notebook: Notebook, survey_id: str, homes: Sequence[LatLon]) -> str:
    """'9 of 18 stops are left out near home.'; '' where no home place is named."""
    from surveyapp.exchange.privacy import hide_home

    if not homes:
        return ""
    stops = notebook.all(Stop, survey_id=survey_id)
    gone = len(stops) - len(hide_home(stops, privacy_of((), homes)))
    return f"{gone} of {len(stops)} stops of it are left out near home."
