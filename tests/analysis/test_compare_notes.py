"""What stands beside a comparison's sentence, as one would say it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest

from surveyapp.analysis.compare import (
    Comparison,
    compare_devices,
    compare_hours,
    compare_servers,
    compare_visits,
)
from surveyapp.analysis.compare_notes import losses_text, notes_of
from surveyapp.analysis.compare_words import share
from surveyapp.analysis.dropouts import Dropouts
from surveyapp.model import Carrier, Device, Reading, SpeedRun, Stop, StopScene, Survey
from tests.analysis.compared_scenes import paired

BEGIN = datetime(2026, 5, 4, 7, 0, tzinfo=UTC)
PHONE = Device(id="a", label="Phone A")
SEVEN_TO_TEN, TEN_TO_TWELVE = (time(7), time(10)), (time(10), time(12))


def walk(day: int, rate: float, *, hour: int = 0) -> list[StopScene]:
    """Eight stops on one day, one run each, alternately a few per cent faster and slower."""
    survey = Survey(id=f"walk {day}", title=f"Walk {day}")
    scenes = []
    for number in range(1, 9):
        begin = BEGIN + timedelta(days=day, hours=hour, minutes=6 * number)
        stop = Stop(id=f"{day} {hour} {number}", survey_id=survey.id, number=number,
                    time_utc=begin, lat_deg=60.0 + 0.001 * number, lon_deg=25.0)  # fmt: skip
        run = SpeedRun(stop_id=stop.id, device_id="a", time_utc=begin, server_place="Town",
                       down_mbps=rate * (1.0 + 0.02 * (-1) ** number))  # fmt: skip
        scenes.append(StopScene(survey=survey, stop=stop, devices=(PHONE,), speed_runs=(run,)))
    return scenes


def without_order(found: Comparison) -> bool:
    """Whether nothing is said of who ran first."""
    return not any("ran first" in note for note in notes_of(found))


def test_of_two_visits_none_is_said_to_have_run_first() -> None:
    """The newcomer once read that the first visit 'ran first 30 times': a visit always does."""
    found = compare_visits(walk(1, 100.0), walk(2, 150.0))

    assert len(found.pairs) == 8
    assert without_order(found)
    assert (found.first_came_first, found.second_came_first) == (0, 0)
    assert found.sentence.startswith("The download was better on Walk 2 than on Walk 1: over 8")
    assert "the download on Walk 1 was 0.67 times that on Walk 2" in found.sentence


def test_hours_are_compared_from_then_till_then() -> None:
    """Two spans of time read as spans of time, and say nothing of who ran first."""
    scenes = walk(1, 100.0) + walk(1, 200.0, hour=3)
    found = compare_hours(scenes, SEVEN_TO_TEN, TEN_TO_TWELVE, UTC)

    assert without_order(found)
    assert "better from 10:00 to 12:00 than from 07:00 to 10:00" in found.sentence


def test_servers_are_measured_against() -> None:
    """One runs against a server, never on it."""
    scenes = [replace(scene, speed_runs=_twice(scene.speed_runs[0])) for scene in walk(1, 90.0)]

    found = compare_servers(scenes, "Town", "Port")

    assert "the download against Town was 0.50 times that against Port" in found.sentence
    assert "better against Port than against Town" in found.sentence


def _twice(run: SpeedRun) -> tuple[SpeedRun, SpeedRun]:
    """The run, and one against the other server with twice its rate, before or after it."""
    turn = timedelta(minutes=1 if run.time_utc.minute % 4 else -1)
    other = replace(run, id=f"{run.id} other", server_place="Port", time_utc=run.time_utc + turn,
                    down_mbps=2.0 * (run.down_mbps or 0.0))  # fmt: skip
    return run, other


def test_who_ran_first_is_told_of_both() -> None:
    """'Never ran first', as one says it, not 'ran first never'."""
    scenes = [replace(scene, speed_runs=_twice(scene.speed_runs[0])[:2]) for scene in walk(1, 90.0)]
    turned = [
        replace(scene, speed_runs=tuple(
            replace(run, time_utc=BEGIN + timedelta(days=1, minutes=9 * at + place))
            for place, run in enumerate(scene.speed_runs)
        ))
        for at, scene in enumerate(scenes)
    ]  # fmt: skip

    notes = list(notes_of(compare_servers(turned, "Town", "Port")))

    assert notes[:2] == ["Town ran first in 8 of 8 matched runs.", "Port never ran first."]


def test_a_run_left_out_is_told_in_the_singular() -> None:
    """'1 run left out: ...', never '1 runs'."""
    found = compare_visits(walk(1, 100.0)[:1], walk(2, 100.0)[1:2])

    notes = list(notes_of(found))

    assert "2 runs left out: without a run of the other side at that place." in notes
    assert not any(" 1 runs" in note for note in notes)


@pytest.mark.parametrize(
    ("held", "said"),
    [
        (
            Dropouts(lost_5g=0, radio_resets=0, without_5g=0, zero_runs=0, hours=2.0),
            "Phone B never lost 5G. Its radio was never reset. It was watched for 2 hours.",
        ),
        (
            Dropouts(lost_5g=1, radio_resets=3, without_5g=1, zero_runs=2, hours=2.0),
            "Phone B lost 5G once. Its radio was reset 3 times. It was watched for 2 hours. "
            "That is 2 losses an hour. At 1 stop it had no 5G where the other did. 2 runs of it "
            "carried nothing.",
        ),
    ],
)
def test_what_a_phone_lost_is_told_as_one_would_say_it(held: Dropouts, said: str) -> None:
    """Never, once or several times, with the rate of all losses where there were some."""
    assert losses_text("Phone B", held) == said


def test_chance_is_told_as_a_share_of_surveys() -> None:
    """Never 'fewer than 1 in 1000 of such surveys'."""
    assert [share(p) for p in (0.0004, 0.12, 1.0)] == [
        "fewer than 1 in 1000 such surveys", "12 % of such surveys", "nearly all such surveys",
    ]  # fmt: skip


def test_a_pair_with_unlike_carriers_is_marked_and_the_rest_is_told() -> None:
    """302 against 1143 Mbit/s stood there as any other pair, though the one phone had one
    carrier of 100 MHz and the other four: marked, noted, and the ratio without it is told."""
    ratios = (1.3, 1.2, 0.25, 1.1, 1.25)
    scenes = paired(ratios)
    scenes[2] = replace(scenes[2], readings=tuple(
        Reading(
            stop_id="", device_id=run.device_id, time_utc=run.time_utc,
            carriers=(Carrier(band="n258", bandwidth_mhz=100.0, count=count),),
        )
        for run, count in zip(scenes[2].speed_runs, (1, 4), strict=True)
    ))  # fmt: skip

    found = compare_devices(scenes, "a", "b")
    notes = " ".join(notes_of(found))

    assert [pair.unlike for pair in found.pairs] == [
        "", "", "n258 100 MHz against n258 4 × 100 MHz", "", "",
    ]  # fmt: skip
    assert "In 1 of 5 pairs the carriers are unlike" in notes
    assert "Unlike: Walk, stop 3 (n258 100 MHz against n258 4 × 100 MHz)." in notes
    assert found.alike is not None
    assert found.alike.ratio == pytest.approx((1.3 * 1.2 * 1.1 * 1.25) ** 0.25)
    assert "Without them the mean ratio is 1.21 (95 % interval" in notes
