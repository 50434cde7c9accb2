"""The small things one can do at a stop with one touch, shown as chips. No Kivy here."""

from __future__ import annotations

from typing import Any

from surveyapp.model import RemarkKind, Site, Stop
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.session import Session
from surveyapp.ui.speech import tr

LISTEN, TAKE, HEADING, PREPARE, CHECK = "listen", "take", "heading", "prepare", "check"
PLACE = "place"


def stop_choices(session: Session) -> tuple[Choice, ...]:
    """What can be done now."""
    if session.stop is None:
        return ()
    return (
        *_of_sensors(session),
        *(() if session.stop.lat_deg is None else _compass_check()),
        Choice(value=PREPARE, label=tr("Before the runs"), icon="done"),
        Choice(value=RemarkKind.LOST_5G, label=tr("Lost 5G"), icon="warn"),
        Choice(value=RemarkKind.RADIO_RESET, label=tr("Radio reset"), icon="redo"),
        *(() if session.stop.lat_deg is None or session.stop.place_text else _place_name()),
    )


def do_at_stop(session: Session, router: Any, action: str) -> None:
    """Do one of them."""
    standing = session.senses.standing
    if action == LISTEN:
        standing.start()
    elif action == TAKE:
        session.attempt(standing.take)
    elif action == HEADING:
        from surveyapp.ui.entries.sensed import keep_heading

        session.senses.take_heading(lambda heading: keep_heading(session, heading))
    elif action == CHECK:
        session.attempt(lambda: router.open_entry("compass_check"))
    elif action == PLACE:
        ask_for_place(session, router, session.stop)
    elif action == PREPARE:
        from surveyapp.ui.sheets.before_runs import BeforeRuns

        session.attempt(lambda: router.open(BeforeRuns(session=session, router=router)))
    else:
        from surveyapp.ui.preparing import note_at_once

        session.attempt(lambda: note_at_once(session, RemarkKind(action)))


def ask_for_place(session: Session, router: Any, row: Stop | Site | None) -> None:
    """Open the sheet that asks for the name of a place."""
    from surveyapp.ui.sheets.place_sheet import PlaceSheet

    if row is not None:
        router.open(PlaceSheet(row, session=session, router=router))


def _place_name() -> tuple[Choice, ...]:
    return (Choice(value=PLACE, label=tr("Name of the place"), icon="search"),)


def _compass_check() -> tuple[Choice, ...]:
    return (Choice(value=CHECK, label=tr("Compass check"), icon="heading"),)


def _of_sensors(session: Session) -> tuple[Choice, ...]:
    if not session.senses.there:
        return ()
    standing = session.senses.standing
    if standing.mean is not None and standing.listening:
        position = Choice(value=TAKE, label=tr("Take this position"), icon="position")
    else:
        position = Choice(value=LISTEN, label=tr("Take position"), icon="position")
    return (position, Choice(value=HEADING, label=tr("Take heading"), icon="heading"))
