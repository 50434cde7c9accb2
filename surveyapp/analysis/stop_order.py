"""The order in which stops were walked, also where a clock was set in mid-survey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise

from surveyapp.model import Stop

AT_ONCE = timedelta(seconds=5)  # a stop dated as it was started bears the time of its saving
LONGEST_BACK = timedelta(days=1)  # farther ahead than this, the last stop was what was dated wrong


def walked(stops: Iterable[Stop]) -> list[Stop]:
    """Stops in the order they were walked.

    Those dated by the clock as they were started go by their numbers, which count on whatever
    the clock does. All others (split off, brought in, their time set by hand) go by their time.
    """
    latest = None
    keyed = []
    for stop in sorted(stops, key=lambda one: one.number):
        time_utc = stop.time_utc
        if _dated_at_once(stop):
            latest = time_utc = max(time_utc, latest or time_utc)
        keyed.append((time_utc, stop.number, stop))
    return [stop for *_, stop in sorted(keyed, key=lambda key: key[:2])]


def set_back(stops: Iterable[Stop]) -> Iterator[tuple[Stop, Stop]]:
    """Each two stops, one after the other by number, between which a clock was set back.

    Only stops dated by the clock as they were started tell so; others may bear any time.
    """
    dated = sorted(filter(_dated_at_once, stops), key=lambda one: one.number)
    return (
        (before, after) for before, after in pairwise(dated) if after.time_utc < before.time_utc
    )


def goes_on(last: Stop, now: datetime, zone: tzinfo) -> bool:
    """Whether a survey whose last stop this is goes on now, or a new one begins.

    It lasts for a day of its time zone; a clock that was set back past midnight ends none.
    """
    set_back = now < last.time_utc < now + LONGEST_BACK
    return set_back or last.time_utc.astimezone(zone).date() == now.astimezone(zone).date()


def _dated_at_once(stop: Stop) -> bool:
    return stop.created_utc is not None and abs(stop.created_utc - stop.time_utc) <= AT_ONCE
