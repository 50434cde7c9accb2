"""Which stop a photo belongs to, by its time and its place, with the reason in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Stop

NEAR_M = 40.0  # a photo is taken some steps from where one stands
SIGMAS = 3.0
BEFORE = timedelta(minutes=2)  # the first photo of a place may come before its first entry
LONGEST = timedelta(minutes=45)  # at one stop, where no next one ends it
CLEARLY = 2.0  # how many times further the second nearest stop must be


@dataclass(frozen=True, slots=True)
class PhotoPlace:
    """The stop, or None where none fits; `reason` and `doubt` are sentences, `doubt` may be ''."""

    stop: Stop | None
    reason: str
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class _Near:
    """A stop within reach of the photo."""

    stop: Stop
    distance_m: float


def sort_photo(
    stops: Sequence[Stop],
    *,
    time_utc: datetime | None = None,
    lat_deg: float | None = None,
    lon_deg: float | None = None,
    position_sigma_m: float | None = None,
) -> PhotoPlace:
    """The stop of a photo. Its place outweighs its clock, since clocks of cameras are wrong more
    often; a photo with a place away from all stops belongs to none.
    """
    by_time = _stop_then(stops, time_utc)
    if lat_deg is None or lon_deg is None:
        return _by_time(by_time, time_utc)
    measured = _distances(stops, lat_deg, lon_deg)
    reach_m = max(NEAR_M, SIGMAS * (position_sigma_m or 0.0))
    near = [one for one in measured if one.distance_m <= reach_m]
    if not near:
        return _nowhere(measured)
    here = next((one for one in near if one.stop is by_time), None)
    if here is not None:
        return PhotoPlace(here.stop, f"Taken {_away(here)} and in its time.")
    first = near[0]
    lone = len(near) == 1 or near[1].distance_m > CLEARLY * max(first.distance_m, 5.0)
    if not lone and time_utc is None:
        second = near[1].stop.number
        return PhotoPlace(
            first.stop, f"Taken {_away(first)}.", f"Stop {second} is about as near: choose."
        )
    doubt = ""
    if by_time is not None:
        doubt = f"By its clock it belongs to stop {by_time.number}: is the camera's clock right?"
    elif time_utc is not None:
        doubt = "By its clock it was taken at no stop: is the camera's clock right?"
    return PhotoPlace(first.stop, f"Taken {_away(first)}.", doubt)


def _by_time(stop: Stop | None, time_utc: datetime | None) -> PhotoPlace:
    if time_utc is None:
        return PhotoPlace(None, "It tells neither its time nor its place.")
    if stop is None:
        return PhotoPlace(None, "It was taken in the time of no stop, and tells no place.")
    minutes = round((time_utc - stop.time_utc) / timedelta(minutes=1))
    when = f"{minutes} min after" if minutes > 0 else "as"
    return PhotoPlace(stop, f"Taken {when} stop {stop.number} began; it tells no place.")


def _stop_then(stops: Sequence[Stop], time_utc: datetime | None) -> Stop | None:
    """The stop in whose time the photo was taken: until the next began, or for 45 minutes."""
    if time_utc is None:
        return None
    begun = [stop for stop in stops if stop.time_utc - BEFORE <= time_utc]
    started = [stop for stop in begun if stop.time_utc <= time_utc]
    # A photo just before a stop's first entry is that stop's only where no other had begun
    chosen = max(started or begun, key=lambda stop: stop.time_utc, default=None)
    return chosen if chosen and time_utc - chosen.time_utc <= LONGEST else None


def _distances(stops: Sequence[Stop], lat_deg: float, lon_deg: float) -> list[_Near]:
    """Placed stops, the nearest first."""
    placed = [
        _Near(stop, inverse(lat_deg, lon_deg, stop.lat_deg, stop.lon_deg).distance_m)
        for stop in stops
        if stop.lat_deg is not None and stop.lon_deg is not None
    ]
    return sorted(placed, key=lambda one: one.distance_m)


def _nowhere(measured: Sequence[_Near]) -> PhotoPlace:
    if not measured:
        return PhotoPlace(None, "No stop has a position to hold the photo's against.")
    return PhotoPlace(None, f"Taken {_away(measured[0])}, the nearest.")


def _away(one: _Near) -> str:
    far = one.distance_m >= 1_000.0
    text = f"{one.distance_m / 1_000.0:.1f} km" if far else f"{one.distance_m:.0f} m"
    return f"{text} from stop {one.stop.number}"
