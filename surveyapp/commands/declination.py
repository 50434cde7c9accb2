"""`surveyapp declination`: what to add to a compass bearing at a place on a day."""

from __future__ import annotations

from datetime import UTC, date, datetime

import click

from surveyapp.commands.arguments import Command, position
from surveyapp.commands.output import answer, json_option, pairs
from surveyapp.errors import InvalidValue


@click.command(cls=Command, short_help="What to add to a compass bearing.")
@click.argument("place", metavar="LAT,LON")
@click.option("--date", "day_text", metavar="D", help="The day, as 2026-05-04; otherwise today.")
@json_option
def command(place: str, day_text: str | None, as_json: bool) -> None:
    """Magnetic declination: true bearing = compass bearing + declination (east positive)."""
    lat_deg, lon_deg = position(place, "The place")
    day = datetime.now(UTC).date() if day_text is None else _day(day_text)

    from surveyapp.geometry.headings import declination

    found = declination(lat_deg, lon_deg, day)
    values = {"declination_deg": found.declination_deg, "sigma_deg": found.sigma_deg}
    lines = pairs(
        [
            ("declination", f"{found.declination_deg:+.2f} deg (east positive)"),
            ("sigma", f"{found.sigma_deg:.2f} deg"),
            ("model", f"World Magnetic Model 2025, on {day.isoformat()}"),
        ]
    )
    answer(values, lines, as_json=as_json)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InvalidValue(
            f"The date '{text[:40]}' is not a day: give it as year-month-day, such as 2026-05-04.",
            value=text,
            allowed="YYYY-MM-DD",
        ) from error
