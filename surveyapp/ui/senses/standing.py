"""The place of a stop from the receiver, averaged while the surveyor stands there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

from surveyapp.errors import NoAnswer, SensorUnavailable, SurveyError
from surveyapp.model import PositionFrom, PositionSample, Stop
from surveyapp.ui.senses.gathering import Cancel
from surveyapp.ui.speech import length
from surveyapp.ui.words import counted, joined, number

if TYPE_CHECKING:
    from surveyapp.geometry.standing_mean import StandingMean
    from surveyapp.ui.senses.senses import Senses

EVERY_S = 1.0
JUST_STARTED = timedelta(minutes=2)  # an older stop is not where the phone is now
SETTLED_M = 6.0  # taken by itself once it is this good, or
SETTLED_AFTER_S = 20.0  # after so long; our choices
LONGEST_S = 180.0  # then the receiver may rest,
SILENT_S = 60.0  # or so soon where nothing usable has come


class Standing:
    """Listens at a new stop; `mean` is the place so far, `sentence` why there is none."""

    def __init__(self, senses: Senses, changed: Callable[[], None]) -> None:
        self._senses, self._changed = senses, changed
        self._samples: list[PositionSample] = []
        self._cancel: Cancel | None = None
        self._stop_id = ""
        self._by_itself = False
        self._ticked = 0
        self.mean: StandingMean | None = None
        self.sentence = ""

    @property
    def listening(self) -> bool:
        """Whether the receiver is on."""
        return self._cancel is not None

    def text(self) -> str:
        """How it settles: '± 6 m · 12 positions · 1 s old', or the sentence."""
        mean = self.mean
        if mean is None and not self.sentence and self.listening:
            return f"Listening for the position: {number(self._left_s, 0)} s left"
        if mean is None or self.sentence:
            return self.sentence
        told = [f"± {length(mean.sigma_m)}", counted(mean.used, "position"),
                f"{number(mean.age_s, 0)} s old", *mean.doubts]  # fmt: skip
        return joined(told)

    @property
    def _left_s(self) -> float:
        """How much longer nothing is waited for."""
        return max(SILENT_S - self._ticked * EVERY_S, 0.0)

    def at(self, stop: Stop | None) -> None:
        """The current stop is this one: a new one is listened for, where that is allowed."""
        stop_id = stop.id if stop else ""
        if stop_id == self._stop_id:
            return
        self.rest()
        self._stop_id, self.mean, self.sentence = stop_id, None, ""
        if stop is None or stop.lat_deg is not None or not self._senses.may("position"):
            return
        if self._senses.now() - stop.time_utc < JUST_STARTED:
            self._start(by_itself=True)

    def start(self) -> None:
        """Listen now, asking leave where that is needed."""
        self._senses.ask("position", lambda: self._start(by_itself=False), self._refused)

    def take(self) -> None:
        """Place the stop at the mean so far."""
        mean = self.mean
        if mean is None:
            self._senses.session.say(self.sentence or "No position has come yet: wait a little.")
            return
        self.rest()
        how = PositionFrom.SENSOR
        self._senses.session.set_position(mean.lat_deg, mean.lon_deg, mean.sigma_m, how)
        if mean.doubts:
            self._senses.session.say(joined(mean.doubts))

    def rest(self) -> None:
        """Let the receiver rest."""
        if self._cancel is not None:
            self._cancel()
            self._cancel = None
            self._senses.sensors.position.stop()
            self._changed()

    def _start(self, by_itself: bool) -> None:
        self.rest()
        self._samples, self.mean, self.sentence = [], None, ""
        self._by_itself, self._ticked = by_itself, 0
        try:
            self._senses.sensors.position.start()
        except SensorUnavailable as error:
            self._refused(str(error))
            return
        self._cancel = self._senses.ticks.every(EVERY_S, self._listen)
        self._changed()

    def _refused(self, sentence: str) -> None:
        self.sentence = sentence
        self._changed()

    def _listen(self) -> None:
        from surveyapp.geometry.standing_mean import standing_mean  # numpy: not at the start

        self._ticked += 1
        try:
            self._samples += self._senses.sensors.position.take()
            if self._samples:
                self.mean, self.sentence = standing_mean(self._samples, self._senses.now()), ""
        except NoAnswer as error:
            self.mean, self.sentence = None, str(error)
        except SensorUnavailable as error:
            self.sentence = str(error)
            self.rest()
            return
        if self._by_itself and self.mean is not None and self._settled(self.mean):
            self._place()
        elif self.mean is None and not self._left_s:
            self._give_up()
        elif self._ticked * EVERY_S >= LONGEST_S:
            self.rest()
        self._changed()

    def _give_up(self) -> None:
        """Nothing usable came: say so, and what can be done instead."""
        self.rest()
        self.sentence = self.sentence or (
            f"No position came within {SILENT_S:.0f} s: take it again under open sky, "
            "tap it on the plan, or type it."
        )

    def _settled(self, mean: StandingMean) -> bool:
        """Good enough to be taken by itself: never from a receiver that only repeats itself."""
        if len({(one.lat_deg, one.lon_deg) for one in self._samples}) < 2:
            return False
        good = mean.used >= 3 and mean.sigma_m <= SETTLED_M and not mean.doubts
        return good or self._ticked * EVERY_S >= SETTLED_AFTER_S

    def _place(self) -> None:
        """By itself, but never over what was placed by hand meanwhile."""
        stop = self._senses.session.stop
        if stop is None or stop.id != self._stop_id or stop.lat_deg is not None:
            self.rest()
            return
        try:
            self.take()
        except SurveyError as error:
            self.sentence = str(error)
