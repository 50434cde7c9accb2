"""What screens and sheets ask of the machine's sensors."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from surveyapp.errors import NoAnswer, SensorUnavailable, SurveyError
from surveyapp.model import HeadingSample, Picture, TiltSample, Vector
from surveyapp.ui.events import Event
from surveyapp.ui.senses.gathering import Gathering, Ticks
from surveyapp.ui.senses.standing import Standing

if TYPE_CHECKING:
    from surveyapp.geometry.pointing import Axis, SteadyHeading, SteadyTilt
    from surveyapp.sensors.machine import Sensors
    from surveyapp.sensors.phone_radio import RadioReport
    from surveyapp.ui.session import Session

PENDING = "camera_pending"
REFUSED = {
    "position": "The phone's position is not allowed: type it, or tap it on the plan.",
    "phone_radio": "Reading the phone's radio is not allowed: type the reading.",
}
PICTURE_WAIT_S = 600.0  # the surveyor is in the camera's own program, or the list of files
KEY_MS = 12


class Senses:
    """The sensors, or none (`there` is False): then no button of theirs is to show."""

    def __init__(
        self, session: Session, sensors: Sensors | None = None, ticks: Ticks | None = None
    ) -> None:
        self.there = sensors is not None
        self._sensors = sensors
        self.session, self.ticks = session, ticks
        self.changed = Event()
        self.standing = Standing(self, self.changed.fire)
        self._gathering: Gathering | None = None
        if self.there:
            session.changed.bind(self._moved)
            self._recover()

    @property
    def sensors(self) -> Sensors:
        """The sensors; on a machine without any there is nothing to ask for them."""
        if self._sensors is None:
            raise SensorUnavailable("This machine has no sensors: enter the value by hand.")
        return self._sensors

    def now(self) -> datetime:
        """The session's time."""
        return self.session.clock()

    def may(self, name: str) -> bool:
        """Whether the sensor may be used now, without asking."""
        if not self.there:
            return False
        needed = getattr(self.sensors, name).permissions
        return self.sensors.permissions.granted(needed)

    def ask(self, name: str, then: Callable[[], None], refused: Callable[[str], None]) -> None:
        """Go on with `then` where the sensor may be used, asking the person where needed."""
        needed = getattr(self.sensors, name).permissions

        def answered(yes: bool) -> None:
            self.ticks.soon(then if yes else lambda: refused(REFUSED[name]))

        if self.may(name):
            then()
        else:
            self.sensors.permissions.ask(needed, answered)

    def take_heading(self, take: Callable[[SteadyHeading], None]) -> None:
        """Listen for two seconds to the compass, and hand over a steady heading."""
        stop = self.session.stop
        if stop is None or stop.lat_deg is None or stop.lon_deg is None:
            self._tell("Place the stop first: the compass is judged by the field of the place.")
            return
        from surveyapp.geometry.headings import declination
        from surveyapp.geometry.pointing import steady_heading

        place = (stop.lat_deg, stop.lon_deg)

        def done(samples: list[HeadingSample]) -> None:
            model = declination(*place, self.now().date())
            take(steady_heading(samples, axis_held([s.gravity_m_s2 for s in samples]), model))

        self._gather(self.sensors.heading, done)

    def take_tilt(self, take: Callable[[SteadyTilt], None]) -> None:
        """Listen for two seconds to gravity, and hand over how steeply the phone points."""
        from surveyapp.geometry.pointing import steady_tilt

        def done(samples: list[TiltSample]) -> None:
            take(steady_tilt(samples, axis_held([s.gravity_m_s2 for s in samples])))

        self._gather(self.sensors.tilt, done)

    def take_picture(self, take: Callable[[Picture], None]) -> None:
        """Open the camera; its picture comes once the surveyor is back."""

        def done(pictures: list[Picture]) -> None:
            self._keep_pending("")
            for picture in pictures[:1]:
                take(picture)

        self._gather(self.sensors.camera, done, enough=1, longest_s=PICTURE_WAIT_S)
        self._keep_pending(self.sensors.camera.pending)

    def take_file(self, take: Callable[[Path], None]) -> None:
        """Open the phone's own list of files; the one picked comes once the surveyor is back."""

        def done(files: list[Path]) -> None:
            for file in files[:1]:
                take(file)

        self._gather(self.sensors.files, done, enough=1, longest_s=PICTURE_WAIT_S)

    def read_radio(self, take: Callable[[RadioReport], None]) -> None:
        """What this phone itself reports of its cells."""

        def read() -> None:
            try:
                take(self.sensors.phone_radio.read())
            except SensorUnavailable as error:
                self._tell(str(error))

        self.ask("phone_radio", read, self._tell)

    def buzz(self) -> None:
        """A key was felt."""
        if self.there:
            self.sensors.vibration.buzz(KEY_MS)

    def rest(self) -> None:
        """The app goes: let every sensor rest."""
        self.session.changed.unbind(self._moved)
        self.standing.rest()
        if self._gathering is not None:
            self._gathering.end()

    def _gather(
        self, sensor: Any, done: Callable[[list[Any]], None], enough: int = 20, longest_s: float = 4
    ) -> None:
        def judged(samples: list[Any]) -> None:
            try:
                done(samples)
            except SurveyError as error:
                self._tell(str(error))

        if self._gathering is not None:
            self._gathering.end()
        self._gathering = Gathering(sensor, self.ticks, judged, self._tell, enough, longest_s)

    def _moved(self) -> None:
        self.standing.at(self.session.stop)

    def _tell(self, sentence: str) -> None:
        self.session.say(sentence)

    def _keep_pending(self, address: str) -> None:
        notebook = self.session.notebook
        self.session.attempt(lambda: notebook.keep_setting(PENDING, address))

    def _recover(self) -> None:
        """A picture whose taking outlived the program comes to the current stop."""
        pending = self.session.notebook.setting(PENDING, "")
        if not pending:
            return
        self._keep_pending("")
        try:
            self.sensors.camera.recover(pending)
            pictures = self.sensors.camera.take()
        except SensorUnavailable as error:
            self._tell(str(error))
            return
        from surveyapp.ui.senses.taken import keep_taken

        for picture in pictures:
            self.session.attempt(lambda picture=picture: keep_taken(self.session, picture))


def axis_held(gravity_m_s2: list[Vector]) -> Axis:
    """What is pointed: the top edge of a phone that lies flat, the camera of one held up."""
    from surveyapp.geometry.pointing import Axis

    if not gravity_m_s2:
        raise NoAnswer("The sensor has said nothing yet: wait a second, or enter it by hand.")
    flat = sum(abs(z) > max(abs(x), abs(y)) for x, y, z in gravity_m_s2)
    return Axis.TOP_EDGE if flat * 2 >= len(gravity_m_s2) else Axis.CAMERA
