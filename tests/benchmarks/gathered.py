"""The ratios this project promises, each with its reference and goal; run by `tests.benchmarks`.

Each matter is measured by the benchmark of that name, which tells more when run by itself.
"""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np


class Ratio(NamedTuple):
    """What was measured, against what, how many times as much, and how much it may be."""

    what: str
    reference: str
    ratio: float
    goal: float


def save(quick: bool) -> Iterator[Ratio]:
    """A durable save beside a raw commit."""
    from tests.benchmarks import save_speed

    _, *works = save_speed.measure(100 if quick else 1000)
    for work, _, _, ratio in works:
        yield Ratio(work, "raw synchronous commit", ratio, 2.0)


def start(quick: bool) -> Iterator[Ratio]:
    """The app beside an empty window."""
    from tests.benchmarks import start_time

    bare_s, ours_s, frames = start_time.measured(2 if quick else 5)
    yield Ratio("usable Stop page", "bare window with one label", ours_s / bare_s, 1.5)
    yield Ratio("key to picture, 10,000 entries", "one frame", frames, 2.0)


def touches(quick: bool) -> Iterator[Ratio]:
    """How often one touches for what is to be entered."""
    from tests.ui import filled, harness, test_touches

    with tempfile.TemporaryDirectory() as folder:
        pilot = harness.start(Path(folder) / "day.notebook", clock=lambda: filled.NOW)
        pilot.touch("I have read this")
        pilot.touch("Later")
        pilot.touches = 0
        total = sum(test_touches.reference_stop(pilot).values())
        harness.stop(pilot)
    yield Ratio("reference stop", "one touch a digit", total / test_touches.DIGITS, 1.4)


def serving(quick: bool) -> Iterator[Ratio]:
    """An answer with 30 sectors in reach, beside the time it may take."""
    from tests.benchmarks import serving_speed

    for name, taken in serving_speed.measured().items():
        if name != serving_speed.REFERENCE:
            wall_ms = float(np.median(taken[:, 0]))
            yield Ratio(name, f"{serving_speed.GOAL_MS:g} ms", wall_ms / serving_speed.GOAL_MS, 1.0)


def fix(quick: bool) -> Iterator[Ratio]:
    """The error of a fix beside the least that any could have."""
    from tests.benchmarks import fix_calibration

    for sigma_deg, count, position_sigma_m in fix_calibration.ROWS[:: 6 if quick else 1]:
        row = fix_calibration.score(sigma_deg, count, position_sigma_m, 200 if quick else 1000)
        what = f"{count} sightings, {sigma_deg:g}°, GPS {position_sigma_m:g} m"
        yield Ratio(what, "Cramér-Rao bound", row.ratio, 1.15)


def plan(quick: bool) -> Iterator[Ratio]:
    """A pan frame beside a frame of the bare canvas."""
    from tests.benchmarks import plan_speed
    from tests.ui import harness

    for name, path in plan_speed.write_both(5_000 if quick else 50_000).items():
        pilot = harness.start(path, draw=True)
        harness.wait(2.0)  # the Stop page is done
        plan_speed.open_plan(pilot)
        pan_ms, bare_ms = plan_speed.pan_and_bare_ms(pilot, 1.0)
        harness.stop(pilot)
        yield Ratio(f"pan frame, {name} notebook", "same meshes, told where", pan_ms / bare_ms, 1.5)


def grid(quick: bool) -> Iterator[Ratio]:
    """The cover of 30 sectors on 200 x 200 places beside its formula."""
    from tests.benchmarks import cover_speed

    ours_s, plain_s = cover_speed.ratio(1 if quick else 5)
    yield Ratio("cover, 200 x 200, 30 sectors", "plain numpy expression", ours_s / plain_s, 2.0)


def exports(quick: bool) -> Iterator[Ratio]:
    """Readings written out beside the bare writers; the report beside its figures."""
    from tests.benchmarks import export_speed, report_speed

    with tempfile.TemporaryDirectory() as folder:
        readings = 10_000 if quick else export_speed.READINGS
        for name, ratio in export_speed.ratios(readings, Path(folder)).items():
            what, reference = name.split(" / ")
            yield Ratio(what, reference, ratio, 3.0)
    figures_s, whole_s, *_ = report_speed.measured(1 if quick else report_speed.ROUNDS)
    yield Ratio("report of the demo", "its bare figures", whole_s / figures_s, report_speed.TARGET)


def growth(quick: bool) -> Iterator[Ratio]:
    """A large notebook beside one of 10,000 readings."""
    from tests.benchmarks import large_notebook

    few, many = large_notebook.measured(
        100_000 if quick else 1_000_000, runs=1 if quick else 3
    ).items()
    for what, small, large in zip(
        ("Stop page", "Day page", "memory"), few[1], many[1], strict=True
    ):
        yield Ratio(f"{what}, {many[0]:,} readings", f"{few[0]:,} readings", large / small, 1.2)


def channels(quick: bool) -> Iterator[Ratio]:
    """Channel numbers to frequencies and back, beside a loop of the bare formula."""
    from tests.benchmarks import channels_speed

    for name, (bare_s, ours_s) in channels_speed.ratios(20_000 if quick else 1_000_000).items():
        yield Ratio(name, "plain Python loop", ours_s / bare_s, 1.0)


def expectation(quick: bool) -> Iterator[Ratio]:
    """What was expected of ten thousand links, beside a loop of the bare formula."""
    from tests.benchmarks import expectation_speed

    bare_s, ours_s = expectation_speed.ratio(1_000 if quick else expectation_speed.TEN_THOUSAND)
    yield Ratio("expectations with reasons", "plain Python loop", ours_s / bare_s, 5.0)


def ground(quick: bool) -> Iterator[Ratio]:
    """Streets brought in, beside bare passes over the same file."""
    from surveyapp.resources import shipped
    from tests.benchmarks import ground_import

    took = ground_import.ratios(shipped("sample_surveys", "helsinki_centre.osm.pbf"))
    ratio = took["import"] / took["same handlers"]
    yield Ratio("import of the extract", "same handlers, doing nothing", ratio, 2.0)


def merge(quick: bool) -> Iterator[Ratio]:
    """The time for one entry in large notebooks beside that in small ones."""
    from tests.benchmarks import merge_speed

    small, *_, large = (2_500, 10_000) if quick else merge_speed.SIZES
    each = []
    for entries in (small, large):
        with tempfile.TemporaryDirectory() as folder:
            each.append(merge_speed.seconds(entries, Path(folder)) / entries)
    yield Ratio(f"merging, {large:,} entries", f"{small:,}, an entry", each[1] / each[0], 1.2)


MATTERS: dict[str, Callable[[bool], Iterator[Ratio]]] = {
    work.__name__: work
    for work in (save, start, touches, serving, fix, plan, grid, exports, growth,
                 channels, expectation, ground, merge)
}  # fmt: skip


def line_of(ratio: Ratio) -> str:
    """A line of the table; what is over its goal says so."""
    within = math.isfinite(ratio.ratio) and ratio.ratio <= ratio.goal
    return (
        f"{ratio.what:<34} {ratio.reference:<30} {ratio.ratio:7.2f} {ratio.goal:6.2f}"
        f"{'' if within else '  over'}"
    )
