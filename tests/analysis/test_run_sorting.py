"""Speed runs sorted to stops by their time, with the reason told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from surveyapp.analysis.run_sorting import sort_run
from surveyapp.model import Stop

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
HELSINKI = {"s": ZoneInfo("Europe/Helsinki")}
STOPS = [
    Stop(survey_id="s", number=n, time_utc=NOON + timedelta(minutes=20 * (n - 1))) for n in (1, 2)
]


@pytest.mark.parametrize(
    ("minutes", "number", "reason", "doubt"),
    [
        (3, 1, "made 3 min after stop 1 began", ""),
        (0.2, 1, "made as stop 1 began", ""),
        (19, 1, "made 19 min after stop 1 began", ""),
        (21, 2, "made 1 min after stop 2 began", ""),
        (-1.5, 1, "made 2 min before stop 1 began", ""),
        (-30, 1, "made 30 min before stop 1 began", "before that day's first stop"),
        (160, 2, "made 2 h 20 min after stop 2 began", "is it the right one"),
        (-24 * 60, None, "no stop was made on 2026-05-03", ""),
    ],
)
def test_a_run_goes_to_the_stop_of_its_day(
    minutes: float, number: int | None, reason: str, doubt: str
) -> None:
    """The stop in whose time it was made, else the nearest; far ones are doubted."""
    place = sort_run(STOPS, HELSINKI, NOON + timedelta(minutes=minutes))

    assert (place.stop.number if place.stop else None) == number
    assert place.reason == reason
    assert doubt in place.doubt
    assert bool(doubt) == bool(place.doubt)


def test_a_day_ends_at_the_surveys_own_midnight() -> None:
    """21:30 UTC in May is half past midnight of the next day in Helsinki."""
    late = datetime(2026, 5, 4, 21, 30, tzinfo=UTC)

    assert sort_run(STOPS, HELSINKI, late).stop is None
    assert sort_run(STOPS, {"s": ZoneInfo("UTC")}, late).stop is STOPS[1]
    assert sort_run([], {}, late).stop is None
