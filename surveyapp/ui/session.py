"""What stands between the screens and the notebook: where one is, and what one can do.

Plain Python, no widgets: a screen asks the session, calls its actions, and listens to
`changed` (rows or the current stop), `said` (a sentence for the surveyor; True where undo
would help) and `pick_changed` (a place or a bearing is to be tapped on the plan).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar
from zoneinfo import ZoneInfo

from surveyapp.analysis.stop_order import goes_on
from surveyapp.errors import NotFound, SurveyError
from surveyapp.model import (
    Device,
    Draft,
    NorthReference,
    PositionFrom,
    Reading,
    Row,
    Sighting,
    Site,
    Stop,
    StopScene,
    Survey,
)
from surveyapp.store.notebook import Notebook
from surveyapp.ui import told_heading
from surveyapp.ui.accepting import Acceptances
from surveyapp.ui.events import Event
from surveyapp.ui.expected_now import ExpectedNow
from surveyapp.ui.north import turned_to_true
from surveyapp.ui.pick import Pick
from surveyapp.ui.review import Reviewer
from surveyapp.ui.sending import Sending
from surveyapp.ui.senses.senses import Senses
from surveyapp.ui.serving_now import ServingNow
from surveyapp.ui.told_heading import Heading
from surveyapp.ui.undone import take_step
from surveyapp.ui.words import day_text

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.ui.expectation_words import Verdict

R = TypeVar("R", bound=Row)
Clock = Callable[[], datetime]
STREETS_WITHIN_M = 450.0  # crossings farther off do not help anyone to find a place


class Session:
    """The notebook at work. Every action is on disk when it returns."""

    def __init__(self, notebook: Notebook, clock: Clock) -> None:
        self.notebook = notebook
        self.clock = clock
        self.reviewer = Reviewer(notebook)
        self.acceptances = Acceptances(notebook)
        self.changed = Event()
        self.said = Event()
        self.pick_changed = Event()
        self.pick: Pick | None = None
        self.sending = Sending()
        self.heading: Heading | None = told_heading.kept_in(notebook)
        self.survey: Survey | None = None
        self.stop: Stop | None = None
        self._scene: StopScene | None = None
        self._serving = ServingNow(notebook, self.reviewer)
        self.expected = ExpectedNow(notebook, self._serving)
        self.senses = Senses(self)  # none; an app on a phone gives it the phone's own
        self._return_to(notebook.setting("stop_id", ""))

    # Where one is

    @property
    def devices(self) -> list[Device]:
        """The phones of this notebook, by label."""
        return self.notebook.all(Device)

    @property
    def sites(self) -> list[Site]:
        """The sites of this notebook, by name."""
        return self.notebook.all(Site)

    @property
    def scene(self) -> StopScene | None:
        """All that bears on the current stop, or None where there is none."""
        if self._scene is None and self.stop is not None:
            self._scene = self.notebook.stop_scene(self.stop.id)
        return self._scene

    @property
    def live_heading(self) -> Heading | None:
        """The heading, where it was told at this stop within the last ten minutes."""
        told = self.heading
        holds = told is not None and told.holds(self._stop_id, self.clock())
        return told if holds else None

    def answers(self) -> tuple[tuple[LegAnswer, ...], str]:
        """The serving answers of the current stop, or none and the reason; worked out once."""
        if self.scene is None:
            return (), ""
        return self._serving.answers(self.scene)

    def verdicts(self) -> dict[str, Verdict]:
        """How each reading and run of the current stop lies to what was expected, by its id."""
        return {} if self.scene is None else self.expected.at(self.scene)

    def go_to_stop(self, stop_id: str) -> None:
        """Make a stop the current one. Raises NotFound where it is not in the notebook."""
        self._stand_at(stop_id)
        self.notebook.keep_setting("stop_id", stop_id)
        self.refresh()

    def go_to_survey(self, survey_id: str) -> None:
        """Make a survey the current one, and its last stop the current stop."""
        self.survey = self.notebook.get(Survey, survey_id)
        last = self.notebook.newest(Stop, 1, survey_id=survey_id)
        self.stop = last[0] if last else None
        self.notebook.keep_setting("stop_id", self.stop.id if self.stop else "")
        self.refresh()

    # Actions

    def start_stop(self) -> Stop:
        """A new stop, numbered within today's survey; the survey is made where there is none."""
        survey = self._todays_survey()
        stop = Stop(
            survey_id=survey.id,
            number=self.notebook.next_stop_number(survey.id),
            time_utc=self.clock(),
        )
        self.notebook.save(survey, stop, what=f"start of stop {stop.number}")
        self.go_to_stop(stop.id)
        return stop

    def need_stop(self) -> Stop:
        """The current stop; one is started where there is none."""
        return self.stop or self.start_stop()

    def set_position(
        self,
        lat_deg: float,
        lon_deg: float,
        sigma_m: float | None,
        how: PositionFrom,
        finished: Draft | None = None,
    ) -> None:
        """Place the current stop; one is started where there is none."""
        stop = self.need_stop()
        placed = replace(
            stop,
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            position_sigma_m=sigma_m,
            position_from=how,
            place_text=self._streets_at(lat_deg, lon_deg) or stop.place_text,
        )
        sightings = self.notebook.all(Sighting, stop_id=stop.id)
        turned = [turned_to_true(sighting, placed) for sighting in sightings]
        self.save(placed, *turned, what=f"position of stop {stop.number}", finished=finished)

    def set_heading(self, raw_deg: float, reference: NorthReference) -> None:
        """Keep which way the surveyor looks now."""
        self.heading = Heading(raw_deg, reference, self.clock(), self._stop_id)
        told_heading.keep(self.notebook, self.heading)
        self.changed.fire()

    def save(self, *rows: R, what: str = "", finished: Draft | None = None) -> tuple[R, ...]:
        """Save rows as one action. Raises what the notebook raises; nothing is then kept."""
        kept = self.notebook.save(*rows, what=what, finished=finished)
        self.refresh(any(isinstance(row, Reading) for row in rows))
        return kept

    def add_photo(self, source: Path | bytes, finished: Draft, **fields: Any) -> None:
        """Keep a picture and its row, and end its sheet, as one action."""
        self.notebook.add_photo(source, what="photo", finished=finished, **fields)
        self.refresh()

    def delete(self, row: Row, what: str) -> None:
        """Delete a row and offer to take it back; `what` is 'reading', 'site Mill Street 3'."""
        self.notebook.delete(row, what=f"deletion of {what}")
        self.refresh()
        self.said.fire(f"Deleted {what}.", True)

    @property
    def can_undo(self) -> bool:
        """Whether there is anything to take back."""
        return self.acceptances.can_undo or self.notebook.can_undo

    def undo(self) -> None:
        """Take back the last action, say which and where, and go to its survey."""
        if self.acceptances.can_undo:
            done = self.acceptances.undo()
            self.refresh()
            self.say(f"Undone: {done}.")
            return
        take_step(self, self.notebook.undo, "Undone", "There is nothing to undo.")

    def redo(self) -> None:
        """Do the last undone action again; told as undoing is."""
        take_step(self, self.notebook.redo, "Done again", "There is nothing to redo.")

    def say(self, sentence: str) -> None:
        """Tell the surveyor something."""
        self.said.fire(sentence, False)

    def attempt(self, action: Callable[[], object]) -> bool:
        """Run an action; where it fails, say the plain sentence. Whether it went well."""
        try:
            action()
        except SurveyError as error:
            self.said.fire(str(error), False)
            return False
        return True

    # A tap on the plan

    def ask_on_plan(self, pick: Pick) -> None:
        """Ask for a tap on the plan."""
        self.pick = pick
        self.pick_changed.fire()

    def give_pick(self, lat_deg: float, lon_deg: float) -> None:
        """The plan was tapped: hand the place to who asked."""
        pick, self.pick = self.pick, None
        if pick is not None:
            pick.take(lat_deg, lon_deg)
        self.pick_changed.fire()

    def drop_pick(self) -> None:
        """No tap will come."""
        self.pick = None
        self.pick_changed.fire()

    # Inside

    @property
    def _stop_id(self) -> str:
        return self.stop.id if self.stop else ""

    def _streets_at(self, lat_deg: float, lon_deg: float) -> str:
        """The place told by its streets; '' for no position on Earth, which saving will refuse."""
        from surveyapp.geometry.places import place_text

        if not (abs(lat_deg) <= 90 and abs(lon_deg) <= 180):
            return ""
        streets = self.notebook.ground.around(lat_deg, lon_deg, STREETS_WITHIN_M).streets
        return place_text(lat_deg, lon_deg, streets)

    def _stand_at(self, stop_id: str) -> None:
        self.stop = self.notebook.get(Stop, stop_id)
        self.survey = self.notebook.get(Survey, self.stop.survey_id)

    def _return_to(self, stop_id: str) -> None:
        newest = self.notebook.newest(Stop, 1)
        for candidate in [stop_id, *(stop.id for stop in newest)]:
            try:
                self._stand_at(candidate)
                return
            except NotFound:
                continue
        surveys = self.notebook.newest(Survey, 1)
        self.survey = surveys[0] if surveys else None

    def _todays_survey(self) -> Survey:
        own = self.survey.time_zone if self.survey else self.notebook.setting("time_zone", "UTC")
        zone = ZoneInfo(str(own))
        now = self.clock()
        last = self.notebook.newest(Stop, 1, survey_id=self.survey.id) if self.survey else []
        if self.survey and (not last or goes_on(last[0], now, zone)):
            return self.survey
        return Survey(
            title=f"Survey of {day_text(now.astimezone(zone).date())}", time_zone=zone.key
        )

    def reread(self) -> None:
        """Another state was put in this notebook's place: stand where that was left."""
        self.stop = self.survey = None
        self._return_to(self.notebook.setting("stop_id", ""))
        self.refresh()

    def refresh(self, readings: bool = True) -> None:
        """Read the current stop anew and tell everyone: something changed in the notebook."""
        if readings:
            self._serving.readings_changed()
        self._scene = None
        if self.stop is not None:
            try:
                self.stop = self.notebook.get(Stop, self.stop.id)
                self.survey = self.notebook.get(Survey, self.stop.survey_id)
            except NotFound:
                self.stop = None
        self.changed.fire()
