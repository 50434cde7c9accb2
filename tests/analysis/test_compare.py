"""Phones, visits, servers and hours compared: what pairs, what is left out, what is said."""

from __future__ import annotations

import math
from datetime import UTC, time, timedelta

import numpy as np
import pytest
from scipy import stats

from surveyapp.analysis.compare import (
    Comparison,
    compare_devices,
    compare_hours,
    compare_servers,
    compare_visits,
)
from surveyapp.analysis.compare_words import figure
from surveyapp.analysis.expectation import survey_view
from surveyapp.analysis.runs import Quantity, sectors_served, settled_sectors
from surveyapp.analysis.standing import serving_at
from surveyapp.model import Mode, RemarkKind, StopScene, Streams, Survey
from tests.analysis.compared_scenes import lost, paired, reading, run, scene
from tests.analysis.demo_day import Day
from tests.benchmarks.compare_calibration import FADINGS, tally

ROUNDING = 1e-9
RATIOS = (1.31, 1.18, 1.42, 1.05, 1.27, 1.22, 1.36, 0.98)


def phones(scenes: list[StopScene], **settings: object) -> Comparison:
    """Phone A against phone B."""
    return compare_devices(scenes, "a", "b", **settings)  # type: ignore[arg-type]


def reasons(found: Comparison) -> dict[str, int]:
    """What was left out."""
    return {left.reason: left.runs for left in found.left_out}


def test_the_ratio_and_its_interval_are_scipys() -> None:
    """Geometric means, Student's interval and the Wilcoxon interval are those of scipy."""
    found = phones(paired(RATIOS)).ratio
    wanted = stats.ttest_1samp(np.log(RATIOS), 0.0)
    low, high = wanted.confidence_interval(0.95)

    assert found is not None
    assert found.ratio == pytest.approx(stats.gmean(RATIOS), abs=ROUNDING)
    assert found.interval.low == pytest.approx(math.exp(low), abs=ROUNDING)
    assert found.interval.high == pytest.approx(math.exp(high), abs=ROUNDING)
    assert found.spread_pct == pytest.approx(100 * (stats.gstd(RATIOS) - 1), abs=ROUNDING)


def test_a_plain_difference_names_the_better_phone() -> None:
    """Where test and interval agree and the phones took turns, the sentence names the faster."""
    found = phones(paired(RATIOS))

    assert found.winner == "first"
    assert (found.first_came_first, found.second_came_first) == (4, 4)
    assert found.sentence.startswith("The download was better on Phone A than on Phone B: over 8")
    assert found.ratio is not None
    assert figure(found.ratio.ratio) in found.sentence


def test_the_order_of_the_runs_can_be_the_cause() -> None:
    """The same difference names nobody where one phone ran first every time."""
    found = phones(paired(RATIOS, turns=False))

    assert found.winner is None
    assert "Phone A always ran first" in found.sentence
    assert any("begin at every second stop" in doubt for doubt in found.doubts)


def test_five_pairs_name_nobody() -> None:
    """However large the difference, five pairs are too few, and the sentence says so."""
    found = phones(paired([2.0, 2.1, 1.9, 2.2, 2.05]))

    assert found.winner is None
    assert "too few pairs" in found.sentence


def test_for_ping_less_is_better() -> None:
    """The phone with the shorter ping is the better one."""
    scenes = [
        scene(
            number,
            [
                run("a", 2.0 * (number % 2), 100.0, ping_ms=12.0 + number % 3),
                run("b", 1.0, 100.0, ping_ms=20.0 + number % 4),
            ],
        )
        for number in range(1, 9)
    ]
    found = phones(scenes, quantity=Quantity.PING)

    assert found.winner == "first"
    assert found.ratio is not None
    assert found.ratio.ratio < 1.0


def test_no_pair_and_one_pair_say_nothing() -> None:
    """Without two pairs there is no ratio, no winner and no number of further pairs."""
    for count, words in ((0, "no pair"), (1, "one pair")):
        found = phones(paired(RATIOS[:count]))

        assert found.ratio is None
        assert found.winner is None
        assert found.more_pairs == ()
        assert words in found.sentence


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"server_place": "Far town"}, "against different servers"),
        ({"streams": Streams.ONE}, "with many streams on one side and one on the other"),
        ({"minute": 25.0}, "more than 10 minutes apart"),
        ({"down": 0.0}, "with a download of zero or an impossible one: no ratio"),
        ({"down": None}, "without a value for download"),
    ],
)
def test_unlike_runs_are_left_out_with_the_reason(fields: dict[str, object], reason: str) -> None:
    """A run under other conditions makes no pair; both of them are accounted for."""
    given = {"minute": 2.0, "down": 100.0, "server_place": "Near town", **fields}
    other = run("b", given.pop("minute"), given.pop("down"), **given)  # type: ignore[arg-type]
    found = phones([scene(1, [run("a", 0.0, 100.0, server_place="Near town"), other])])

    assert found.pairs == ()
    assert reason in reasons(found)
    assert sum(reasons(found).values()) == 2


def test_runs_on_different_sectors_are_left_out_and_unsettled_ones_doubted() -> None:
    """The serving sector parts two runs where both are settled, and is a doubt where not."""
    readings = [reading("a", 0.0, id="ra"), reading("b", 2.0, id="rb")]
    stop = scene(1, [run("a", 0.0, 90.0), run("b", 2.0, 80.0)], readings)
    apart = phones([stop], served={"ra": "s1", "rb": "s2"})
    settled = phones([stop], served={"ra": "s1", "rb": "s1"})
    unsettled = phones([stop], served={"ra": "s1", "rb": None})

    assert reasons(apart) == {"served by different sectors": 2}
    assert len(settled.pairs) == len(unsettled.pairs) == 1
    assert settled.doubts == ()
    assert "likelier than not" in unsettled.doubts[0]


def test_several_runs_at_one_stop_count_as_one_pair() -> None:
    """Repeating at one stop does not make the sample look larger than its places are."""
    runs = [run("a", 0.0, 100.0), run("b", 1.0, 50.0), run("b", 3.0, 80.0), run("a", 4.0, 40.0)]
    found = phones([scene(1, runs)])

    assert len(found.pairs) == 1
    assert found.pairs[0].matches == 2
    assert math.exp(found.pairs[0].log_ratio) == pytest.approx(1.0, abs=ROUNDING)
    assert (found.first_came_first, found.second_came_first) == (1, 1)


def test_runs_made_together_are_shares_and_never_pairs() -> None:
    """Runs at the same time are told as a share and a sum, whichever of them names the other."""
    scenes = [
        scene(
            number,
            [
                run("a", 0.0, 300.0, id=f"a{number}"),
                run("b", 0.0, 100.0, together_with=f"a{number}"),
            ],
        )
        for number in (1, 2)
    ]
    found = phones(scenes)

    assert found.pairs == ()
    assert sum(reasons(found).values()) == 4
    assert found.shared is not None
    assert found.shared.share == pytest.approx(0.75, abs=ROUNDING)
    assert found.shared.sums_mbps == (400.0, 400.0)
    assert found.shared.share_low == pytest.approx(0.75, abs=ROUNDING)


def test_lost_5g_is_counted_and_not_mixed_into_the_ratio() -> None:
    """A phone without 5G beside one with it loses the stop as a dropout, not as a slow run."""
    readings = [reading("a", 0.0), reading("b", 60.0, Mode.LTE, id="late")]
    runs = [run("a", 0.0, 900.0), run("b", 60.0, 40.0, reading_id="late")]
    found = phones(
        [scene(1, runs, readings, [lost("b", 0.0), lost("b", 30.0, RemarkKind.RADIO_RESET)])],
        within=None,
    )

    assert found.pairs == ()
    assert reasons(found) == {"with 5G on one side only (counted as lost 5G)": 2}
    assert found.dropouts is not None
    first, second = found.dropouts
    assert (first.lost_5g, first.without_5g, first.per_hour) == (0, 0, None)
    assert (second.lost_5g, second.radio_resets, second.without_5g) == (1, 1, 1)
    assert second.per_hour == pytest.approx(2.0, abs=ROUNDING)


def test_further_pairs_shrink_with_the_difference_to_be_seen() -> None:
    """A smaller difference needs more pairs; what is already there counts."""
    found = phones(paired(RATIOS))
    counts = [count for _, count in found.more_pairs]

    assert [pct for pct, _ in found.more_pairs] == [5.0, 10.0, 20.0]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 0


def test_visits_pair_by_place_phone_and_server() -> None:
    """The same corner on two visits makes a pair; a stop 200 m off makes none."""
    again = Survey(id="again", title="Walk again")
    place = {"lat_deg": 60.17, "lon_deg": 24.94}
    near, far = {"lat_deg": 60.17005, "lon_deg": 24.94}, {"lat_deg": 60.172, "lon_deg": 24.94}
    first = [scene(1, [run("a", 0.0, 100.0), run("b", 1.0, 70.0)], **place)]
    second = [
        scene(1, [run("a", 9000.0, 200.0)], survey=again, **near),
        scene(2, [run("a", 9010.0, 999.0)], survey=again, **far),
    ]
    found = compare_visits(first, second)

    assert [math.exp(pair.log_ratio) for pair in found.pairs] == pytest.approx([0.5], abs=ROUNDING)
    assert (found.first, found.second) == ("Walk", "Walk again")
    assert reasons(found) == {
        "on another phone": 1,
        "without a run of the other side at that place": 1,
    }


def test_servers_pair_on_the_same_phone() -> None:
    """Two servers are compared by runs of one phone at one stop."""
    runs = [
        run("a", 0.0, 200.0, server_place="Near"),
        run("a", 2.0, 100.0, server_place="Far"),
        run("b", 3.0, 10.0, server_place="Far"),
    ]
    found = compare_servers([scene(1, runs)], "Near", "Far")

    assert [pair.first_value / pair.second_value for pair in found.pairs] == pytest.approx([2.0])
    assert reasons(found) == {"on another phone": 1}


def test_hours_pair_by_place_over_midnight_too() -> None:
    """A span that ends before it begins goes over midnight, in local time."""
    place = {"lat_deg": 60.17, "lon_deg": 24.94}
    runs = [run("a", 0.0, 100.0), run("a", 11.5 * 60.0, 300.0)]
    found = compare_hours([scene(1, runs, **place)], (time(11), time(13)), (time(23), time(2)), UTC)

    assert [math.exp(-pair.log_ratio) for pair in found.pairs] == pytest.approx([3.0], abs=ROUNDING)
    assert (found.first, found.second) == ("11:00 to 13:00", "23:00 to 02:00")


def test_figures_never_round_onto_one() -> None:
    """A ratio beside 1 is not shown as 1.00."""
    assert figure(0.998) == "0.998"
    assert figure(1.0) == "1.00"


def test_the_demo_compares_its_phones_and_leaves_its_far_server_out(day: Day) -> None:
    """On the demo's day the planted far server and the shared runs make no pair."""
    served = sectors_served(day.scenes[:12])
    devices = day.scenes[0].devices
    found = compare_devices(day.scenes, devices[0].id, devices[1].id, served=served)

    assert len(found.pairs) >= 20
    assert "against different servers" in reasons(found)
    assert found.shared is not None
    assert sum(loss.lost_5g for loss in found.dropouts or ()) == 1
    assert found.ratio is not None
    assert found.ratio.interval.low < found.ratio.ratio < found.ratio.interval.high


def test_a_comparison_knows_the_same_servers_as_the_report(day: Day) -> None:
    """The sectors that served are those of the survey's answers, its PCIs taken together."""
    scenes = [one for one in day.scenes if one.survey.id == day.scenes[0].survey.id]
    told: dict[str, str | None] = {}
    for one, found in zip(scenes, survey_view(scenes).expectations, strict=True):
        told |= settled_sectors(one, found.answers)
    alone: dict[str, str | None] = {}
    for one in scenes:
        alone |= settled_sectors(one, serving_at(one))

    assert sectors_served(scenes) == told
    assert told != alone


@pytest.mark.parametrize("fading", list(FADINGS))
def test_simulated_surveys_hold_the_truth_and_name_no_false_winner(fading: str) -> None:
    """A small run of tests/benchmarks/compare_calibration.py: 95 % hold, under 5 % name one."""
    found = tally(250, 1.0, FADINGS[fading], seed=11)
    four_errors = 4.0 * math.sqrt(0.95 * 0.05 / 250)

    assert abs(found.held - 0.95) < four_errors
    assert found.named < 0.05 + four_errors


def test_pairs_within_a_chosen_time() -> None:
    """A longer time lets runs pair that a shorter one keeps apart."""
    stop = scene(1, [run("a", 0.0, 100.0), run("b", 25.0, 100.0)])

    assert phones([stop]).pairs == ()
    assert len(phones([stop], within=timedelta(minutes=30)).pairs) == 1
