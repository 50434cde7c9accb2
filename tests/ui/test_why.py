"""What was expected, on the Stop place and on sheets as they are typed, and why, by touch."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from kivy.uix.widget import Widget

from surveyapp.ui.expectation_words import with_minus
from surveyapp.ui.theme import theme
from surveyapp.ui.widgets.figures import FigureRow
from surveyapp.ui.widgets.verdict import VerdictBox
from tests.ui import harness, scenes, why_scenes
from tests.ui.harness import Pilot, shown

ROUNDED = 0.5  # eight terms shown to a tenth


@pytest.fixture
def stop(tmp_path: Path) -> Iterator[Pilot]:
    """The app at a stop with a weak reading and a slow run among others."""
    running = scenes.start(scenes.Scene("why", why_scenes.weak_stop), tmp_path)
    yield running
    harness.stop(running)


def figures(pilot: Pilot) -> list[tuple[str, float]]:
    """Every term on the sheet that has a number, with it, from top to bottom."""
    rows = [w for w in shown(pilot.app.root) if isinstance(w, FigureRow) and w.number]
    return [(row.term, float(row.number.split()[0].replace("−", "-"))) for row in rows]


def boxes(sheet: Widget) -> list[VerdictBox]:
    """The verdicts on a sheet."""
    return [widget for widget in shown(sheet) if isinstance(widget, VerdictBox)]


def test_a_weak_reading_says_why_and_its_budget_adds_up(stop: Pilot) -> None:
    """A tap on its strip lists every term from the EIRP to the level expected and read."""
    assert stop.says("Unusually weak")
    stop.touch(why_scenes.WEAK)
    told = figures(stop)
    names = [term for term, _ in told]
    first, last = names.index("EIRP of the carrier"), names.index("RSRP expected")
    (_, expected), (_, left), (_, read) = told[last : last + 3]

    assert stop.says("Why it is weak")
    assert stop.says("the line to Mill Street 3")
    assert sum(number for _, number in told[first:last]) == pytest.approx(expected, abs=ROUNDED)
    assert read == -112.0
    assert expected + left == pytest.approx(read, abs=ROUNDED)


def test_a_slow_run_names_the_far_server_first(stop: Pilot) -> None:
    """The limits are numbered with their evidence, and the carriers' parts add up."""
    stop.touch(why_scenes.SLOW)
    told = figures(stop)
    said = stop.texts()
    carriers = [number for term, number in told if term.endswith((" NR", " LTE"))]

    assert said.index("1.") + 2 == next(
        at for at, text in enumerate(said) if text.startswith("The server, Madrid")
    )
    assert len(carriers) == 2
    assert sum(carriers) == pytest.approx(dict(told)["Expected"], abs=1.0)

    stop.touch("Ping")
    assert stop.says("no ping below 29.5 ms is possible")


def test_no_key_waits_for_what_was_expected(stop: Pilot, monkeypatch: pytest.MonkeyPatch) -> None:
    """The strip of a typed level is worked out when the fingers rest, never within a key."""
    stop.touch("Reading")
    stop.touch("As last")
    sheet, expected = stop.router.sheets[-1], stop.session.expected
    key, typed = sheet.key, expected.typed
    within: list[bool] = []
    at_work: list[bool] = []

    def watched_key(text: str) -> None:
        at_work.append(True)
        key(text)
        at_work.pop()

    def watched_typed(*given: object) -> object:
        within.append(bool(at_work))
        return typed(*given)

    monkeypatch.setattr(sheet, "key", watched_key)
    monkeypatch.setattr(expected, "typed", watched_typed)
    for sign in "121":
        stop.touch_key(sign)
    harness.wait(why_scenes.RESTED_S)

    assert stop.says("5G RSRP −121 dBm, expected −")
    assert within
    assert not any(within)


def test_the_strip_is_that_of_the_field_with_the_cursor(stop: Pilot) -> None:
    """On the anchor's fields the LTE leg is told, at the ping the ping."""
    stop.touch("Phone A · 5G", nth=1)
    harness.wait(why_scenes.RESTED_S)
    assert stop.says("5G RSRP −112 dBm, expected")
    stop.touch("RSRP", nth=1)
    harness.wait(why_scenes.RESTED_S)
    assert stop.says("LTE RSRP −91 dBm, expected")
    stop.back()

    stop.touch("Phone A · 190 down")
    stop.touch("Ping")
    harness.wait(why_scenes.RESTED_S)
    assert stop.says("Ping 71 ms, expected 56 ± 11 ms")


def test_a_contradiction_is_told_while_typing(stop: Pilot) -> None:
    """An RSRQ no load could give at this SINR is doubted on the sheet, before any saving."""
    why_scenes.typed_reading(stop, "86")
    for value in ("Next", "2", "5", "Next", "2", "0"):
        stop.touch_key(value)
    harness.wait(why_scenes.RESTED_S)

    assert stop.says("RSRQ of −25 dB does not go with SINR 20 dB")


def test_large_text_moves_the_strip_below_the_fields(stop: Pilot) -> None:
    """At 100 % it stands between fields and pad, at 200 % below; the pad keeps its room."""
    why_scenes.typed_reading(stop)
    sheet = stop.router.sheets[-1]
    assert [box.typing for box in boxes(sheet)] == [True]

    theme.text_scale = 2.0
    harness.frames(8)
    below = boxes(sheet)
    assert [box.typing for box in below] == [False]
    assert below[0].parent is sheet.ids.below.__self__
    stop.touch_key("5")
    assert sheet.state.text("primary_rsrp") == "-1185"


def test_back_from_why_leads_to_the_sheet_as_typed(stop: Pilot) -> None:
    """Asking why costs nothing of what was typed, and the draft stays."""
    why_scenes.typed_reading(stop)
    stop.touch("5G RSRP −118 dBm")
    assert stop.says("Where the decibels went")
    stop.back()

    assert stop.router.sheets[-1].state.text("primary_rsrp") == "-118"
    assert stop.session.notebook.drafts()[0].fields["primary_rsrp"] == "-118"


def test_the_whole_survey_is_looked_through_for_the_reasons(stop: Pilot) -> None:
    """What only many stops together show comes into the open sheet, and onto the page below."""
    stop.touch(why_scenes.WEAK)
    survey, reviewer = stop.session.survey, stop.session.reviewer
    harness.until(lambda: reviewer.is_fresh(survey.id))
    harness.frames(2)
    sheet = stop.router.sheets[-1]
    found = {one.stop_id: one for one in reviewer.of(survey.id).expectations}
    here = found[stop.session.stop.id]
    leg = next(leg for leg in here.legs if leg.rsrp.measured == -112.0)
    told = [reason.words for reason in sheet.verdict.of(leg.leg).reasons]

    assert told == [with_minus(reason.words) for reason in leg.reasons]
    assert stop.session.verdicts()[leg.reading_id] == sheet.verdict
