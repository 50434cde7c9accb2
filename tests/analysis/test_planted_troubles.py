"""What was planted wrong in the demo is what the expectations name."""

from __future__ import annotations

from surveyapp.analysis.doubts import DoubtKind, doubts_at, survey_doubts
from surveyapp.geometry.geodesy import angle_between_deg
from surveyapp.model import Rat, Reading
from surveyapp.ui.verdicts import verdicts
from tests.analysis.demo_day import Day
from tests.analysis.planted import DEMANDED, named, table_of

FACING_DEG = 22.5  # half a step of what a surveyor notes of a panel's turn


def test_every_planted_trouble_is_the_first_or_second_reason(day: Day) -> None:
    """Blocked stop, wrong azimuth, far server, few carriers, wild jitter, lost 5G.

    Prints the table of planted against named (`pytest -s` shows it).
    """
    every = named(day)
    print(table_of(every))
    found = [one for one in every if one.trouble in DEMANDED]

    assert {one.trouble for one in found} == DEMANDED
    assert [one for one in found if one.rank not in (1, 2)] == []


def test_every_reading_and_run_shows_what_was_to_be_expected(day: Day) -> None:
    """A band on every strip: each leg of each reading, each run's download and ping."""
    shown = 0
    for scene, expected in zip(day.scenes, day.expectations, strict=True):
        told = verdicts(expected, doubts_at(scene, expected.answers))
        legs = {rat for reading in scene.readings for rat in _rats(reading)}
        for row in (*scene.readings, *scene.speed_runs):
            matters = told[row.id].matters
            wanted = _rats(row) if isinstance(row, Reading) else {"Download", "Ping"}

            assert {matter.label.removesuffix(" leg") for matter in matters} == wanted
            assert [one.label for one in matters if one.strip.expected is None] == []
            assert all(one.verdict != "Cannot tell what to expect" for one in matters)
            shown += len(matters)
        assert legs
    print(f"{shown} strips over both visits")
    assert shown > 200


def _rats(reading: Reading) -> set[str]:
    """The legs a reading shows, as the sheets name them."""
    return {{Rat.NR: "5G", Rat.LTE: "LTE"}[carrier.rat] for carrier in reading.carriers}


def test_a_cause_is_not_cried_where_it_is_not(day: Day) -> None:
    """Far server, few carriers and wild jitter are named for the planted runs and no other."""
    planted = {trouble.row_id for trouble in day.truth.troubles}
    for scene, expected in zip(day.scenes, day.expectations, strict=True):
        far = {run.id for run in scene.speed_runs if run.server_place.startswith("Lisbon")}
        for run in scene.speed_runs:
            own = expected.of_run(run.id)
            assert own is not None
            causes = {reason.cause.value for reason in own.limits}

            assert ("far server" in causes) == (run.id in far)
            assert ("wild jitter" in causes) == (run.id in planted and run.id not in far)
            assert ("few carriers" in causes) <= (run.reading_id in planted)


def test_only_the_panel_noted_wrong_is_called_turned(day: Day) -> None:
    """All panels are judged; the wrong azimuth is found near the truth, no other is doubted.

    On the second visit it served at one place only, which cannot tell.
    """
    wrong = next(one for one in day.truth.troubles if one.kind == "wrong azimuth")
    true = next(
        sector.azimuth_deg
        for site in day.truth.sites
        for sector in site.sectors
        if sector.id == wrong.row_id
    )
    called = [
        [one.row_id for one in survey_doubts(view) if one.kind is DoubtKind.TURNED]
        for view in day.visits
    ]

    assert [len(view.turned) >= 8 for view in day.visits] == [True, True]
    assert called == [[wrong.row_id], []]
    likely_deg = day.visits[0].turned[wrong.row_id].likely_deg
    assert abs(angle_between_deg(likely_deg, true)) < FACING_DEG


HEADLINES = {
    "far server": {"Less than expected: far server"},
    "few carriers": {"As expected, but held back: only 100 of 400 MHz"},
    "wild jitter": {"As expected, but the jitter was wild: leave it out or repeat"},
    "blocked stop": {"As expected, but weak here: view blocked"},
    "wrong azimuth": {"Rather strong for Node Linden S2: likely azimuth noted wrong"},
}


def test_the_headline_alone_says_why(day: Day) -> None:
    """The verdict holds the chief cause; it came late, after three tellings of the result."""
    found = [
        *(leg.headline for expected in day.expectations for leg in expected.legs),
        *(run.headline for expected in day.expectations for run in expected.runs),
    ]

    assert [name for name, said in HEADLINES.items() if not said & set(found)] == []
    assert any(one.startswith("Held back: no 5G leg") for one in found)


def test_each_cause_says_how_sure_it_is_once(day: Day) -> None:
    """'77% likely' stood in the words, and as chance in the figures, for one number."""
    for expected in day.expectations:
        for leg in expected.legs:
            for reason in leg.reasons:
                assert reason.how_sure
                assert "likely)" not in reason.words
                assert "chance" not in {line.term for line in reason.evidence}
        for run in expected.runs:
            assert all(one.how_sure or one.title == "cannot tell why" for one in run.limits)
