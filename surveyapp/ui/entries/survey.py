"""The survey sheet: one outing, its title, time zone, place and weather."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

from surveyapp.errors import InvalidValue
from surveyapp.model import Row, Survey, Weather
from surveyapp.ui.entries.field import Field, Kind
from surveyapp.ui.entries.form import Form, Texts, amount, chips, choices_of, plain
from surveyapp.ui.session import Session
from surveyapp.ui.words import day_text


class SurveyForm(Form):
    """A title and a time zone; the rest as it matters."""

    name = "survey"
    title = "Survey"
    row_kind = Survey
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """How hard it rains is asked only where it rains."""
        surveys = session.notebook.newest(Survey, 20)
        zones = chips([*(survey.time_zone for survey in surveys), "UTC"])
        wet = texts.get("weather") in (Weather.LIGHT_RAIN.value, Weather.HEAVY_RAIN.value)
        rain = Field(name="rain", label="Rain", unit="mm/h", decimals=1, low=0, high=500)
        return (
            Field(name="title", label="Title", kind=Kind.TEXT, needed=True),
            Field(name="place", label="Place", kind=Kind.TEXT,
                  suggestions=chips(survey.place_text for survey in surveys)),
            Field(name="weather", label="Weather", kind=Kind.CHOICE,
                  choices=choices_of(Weather)),
            *((rain,) if wet else ()),
            Field(name="purpose", label="Purpose", kind=Kind.TEXT),
            Field(name="zone", label="Time zone", kind=Kind.TEXT, needed=True, breaks=True,
                  suggestions=zones, on_path=False),
            Field(name="text", label="Notes", kind=Kind.TEXT, on_path=False),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """Named for today, in the time zone of the survey before."""
        zone = (
            session.survey.time_zone
            if session.survey
            else session.notebook.setting("time_zone", "UTC")
        )
        today = session.clock().astimezone(ZoneInfo(zone)).date()
        return {"title": f"Survey of {day_text(today)}", "zone": zone}

    def texts_of(self, session: Session, row: Survey) -> Texts:
        """The survey as it stands."""
        return {
            "title": row.title,
            "place": row.place_text,
            "weather": row.weather.value if row.weather else "",
            "rain": plain(row.rain_mm_h),
            "purpose": row.purpose,
            "zone": row.time_zone,
            "text": row.text,
        }

    def save(self, session: Session, texts: Texts, row: Survey | None, draft: object) -> None:
        """Keep the survey; a new one becomes the current one."""
        (survey,) = self.rows(session, texts, row)
        session.save(survey, what=self.what(row), finished=draft)
        if row is None:
            session.go_to_survey(survey.id)

    def rows(self, session: Session, texts: Texts, row: Survey | None) -> tuple[Row, ...]:
        """The survey."""
        zone = texts.get("zone", "").strip()
        try:
            ZoneInfo(zone)
        except (ValueError, OSError, KeyError) as error:
            raise InvalidValue(
                f"{zone or 'An empty text'} is no time zone: write one such as Europe/Helsinki.",
                value=zone,
                allowed="IANA time zone",
            ) from error
        survey = replace(
            row or Survey(title=""),
            title=texts.get("title", "").strip(),
            place_text=texts.get("place", "").strip(),
            weather=Weather(texts["weather"]) if texts.get("weather") else None,
            rain_mm_h=amount(texts, "rain"),
            purpose=texts.get("purpose", "").strip(),
            time_zone=zone,
            text=texts.get("text", "").strip(),
        )
        return (survey,)

    def row_text(self, row: Survey) -> str:
        """What a deletion is called."""
        return f"survey {row.title}"
