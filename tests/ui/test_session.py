"""The session between screens and notebook, without a screen."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from surveyapp.errors import NotebookError
from surveyapp.model import (
    Carrier,
    Device,
    Ground,
    NorthReference,
    PositionFrom,
    Reading,
    Remark,
    Sector,
    Site,
    Stop,
    Street,
    Survey,
)
from surveyapp.store.notebook import Notebook
from surveyapp.ui.session import Session
from surveyapp.ui.stop_words import heading_lines


class Watch:
    """A clock that a test can turn."""

    def __init__(self) -> None:
        self.now = datetime(2026, 6, 10, 9, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        """The time now."""
        return self.now


@pytest.fixture
def watch() -> Watch:
    """The clock of notebook and session."""
    return Watch()


@pytest.fixture
def session(tmp_path: Path, watch: Watch) -> Iterator[Session]:
    """A session on a new notebook."""
    with Notebook.create(tmp_path / "s.notebook", clock=watch) as notebook:
        yield Session(notebook, watch)


def test_the_first_stop_makes_todays_survey(session: Session) -> None:
    """Survey and stop come in one action, so one undo takes both back."""
    session.start_stop()
    assert session.survey is not None

    session.undo()
    assert session.notebook.count(Survey) == 0
    assert session.stop is None


def test_the_next_day_gets_a_survey_of_its_own(session: Session, watch: Watch) -> None:
    """A stop started the next morning belongs to another survey and is number 1 there."""
    session.start_stop()
    session.start_stop()
    assert session.stop is not None
    assert session.stop.number == 2

    watch.now += timedelta(days=1)
    stop = session.start_stop()
    assert stop.number == 1
    assert session.notebook.count(Survey) == 2


def test_a_session_returns_to_the_stop_it_was_at(session: Session, watch: Watch) -> None:
    """Not to the newest one, where the surveyor had gone back to an earlier one."""
    first = session.start_stop()
    session.start_stop()
    session.go_to_stop(first.id)
    again = Session(session.notebook, watch)

    assert again.stop == session.notebook.get(Stop, first.id)


def test_a_position_gets_its_street(session: Session) -> None:
    """The stop is named by the street of the ground it stands on."""
    street = Street(name="Mill Street", points_deg=((60.0, 24.0), (60.0, 24.01)))
    session.notebook.ground.replace(Ground(streets=(street,)), "invented")
    session.set_position(60.0, 24.005, 5.0, PositionFrom.TYPED)

    assert session.stop is not None
    assert session.stop.place_text == "Mill Street"


def test_an_impossible_position_is_refused_and_nothing_changes(session: Session) -> None:
    """The notebook's sentence is said, and the stop has no position."""
    said: list[str] = []
    session.said.bind(lambda sentence, _undo: said.append(sentence))
    session.start_stop()
    done = session.attempt(lambda: session.set_position(95.0, 24.0, None, PositionFrom.TYPED))

    assert not done
    assert "latitude" in said[-1].lower()
    assert session.stop is not None
    assert session.stop.lat_deg is None


def test_a_heading_lasts_ten_minutes(session: Session, watch: Watch) -> None:
    """A phone in the hand has turned by then."""
    session.set_heading(147.0, NorthReference.MAGNETIC)
    assert session.live_heading is not None

    watch.now += timedelta(minutes=10)
    assert session.live_heading is None


def test_a_heading_is_kept_with_its_stop_and_its_end_is_told(
    session: Session, watch: Watch
) -> None:
    """A new process still has it, another stop does not; after ten minutes the page says so,
    where 'No heading yet' once stood as if none had been taken."""
    stop = session.start_stop()
    session.set_position(60.1662, 24.94, 5.0, PositionFrom.TYPED)
    session.set_heading(95.0, NorthReference.TRUE)
    anew = Session(session.notebook, watch)
    assert anew.live_heading == session.live_heading
    assert heading_lines(anew)[0].startswith("Heading 95° true")

    watch.now += timedelta(minutes=11)
    title, detail = heading_lines(anew)
    assert title == "No heading any more"
    assert detail == "95° true, told at 09:30, lasts ten minutes: take it anew."

    session.start_stop()
    assert heading_lines(session)[0] == "No heading yet"
    watch.now -= timedelta(minutes=11)
    assert session.live_heading is None
    session.go_to_stop(stop.id)
    assert session.live_heading is not None


def test_deleting_offers_undo(session: Session) -> None:
    """The message says what went, and undo brings it back."""
    said: list[tuple[str, bool]] = []
    session.said.bind(lambda *values: said.append(values))
    stop = session.start_stop()
    remark = Remark(stop_id=stop.id, time_utc=session.clock(), text="A bus")
    session.save(remark)
    session.delete(remark, "remark")
    assert said[-1] == ("Deleted remark.", True)
    assert session.scene is not None
    assert session.scene.remarks == ()

    session.undo()
    assert session.scene is not None
    assert [row.text for row in session.scene.remarks] == ["A bus"]


def test_a_failing_notebook_is_told_and_does_not_stop_the_app(session: Session) -> None:
    """An action that cannot be kept says so in one sentence."""
    said: list[str] = []
    session.said.bind(lambda sentence, _undo: said.append(sentence))

    def full() -> None:
        raise NotebookError("The disk is full: make room and try again.")

    assert not session.attempt(full)
    assert said == ["The disk is full: make room and try again."]


def test_the_answer_on_screen_is_that_of_the_command_line(session: Session) -> None:
    """Both take the phones' own offsets, learned from the pairs in the notebook, into account."""
    from surveyapp.analysis.standing import serving_at
    from surveyapp.commands.finding import learned_offsets

    site = Site(name="Mill Street 3", lat_deg=60.0004, lon_deg=24.0)
    panels = [Sector(site_id=site.id, label=str(a), azimuth_deg=a) for a in (90.0, 180.0)]
    phones = [Device(label="Phone A"), Device(label="Phone B")]
    session.save(site, *panels, *phones)
    for level in (-86.0, -90.0):
        stop = session.start_stop()
        session.set_position(60.0, 24.0, 5.0, PositionFrom.TYPED)
        session.save(*(_reading(session, stop, phone, level) for phone in phones))
    offsets = learned_offsets(session.notebook)
    answers, reason = session.answers()

    assert reason == ""
    assert answers == serving_at(session.scene, offsets)


def _reading(session: Session, stop: Stop, phone: Device, level: float) -> Reading:
    shift = 0.0 if phone.label == "Phone A" else 5.0
    carriers = (Carrier(band="n78", bandwidth_mhz=100.0, rsrp_dbm=level + shift),)
    return Reading(stop_id=stop.id, device_id=phone.id, time_utc=session.clock(), carriers=carriers)
