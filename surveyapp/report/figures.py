"""The figures: how two phones compare, how fast the day's runs were."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup

from surveyapp.analysis.compare import Comparison
from surveyapp.analysis.runs import Quantity
from surveyapp.model import Device, SpeedRun, StopScene
from surveyapp.report.figure_look import figure_svg, new_figure, our_look
from surveyapp.report.look import DAY
from surveyapp.report.words import counted, number, shortened

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NOUN = {Quantity.DOWN: "Download", Quantity.UP: "Upload", Quantity.PING: "Ping"}
LONGEST_LABEL = 18
MARKS = ("o", "D", "s", "^", "v")
RATIO_TICKS = (1.0, 0.5, 2.0, 0.1, 10.0, 0.2, 5.0, 0.33, 3.0, 0.67, 1.5, 0.8, 1.25)  # by weight
RATE_STEPS = ((1, 2, 5), (1, 1.5, 2, 3, 4, 5, 7), tuple(step / 4 for step in range(4, 40)))
FEWEST_TICKS = 3
TICKS_APART = 1 / 9  # of the rule, at least


def comparison_figure(comparison: Comparison, name: str, survey: str) -> Markup:
    """Each pair's ratio on a logarithmic rule, the mean with its interval below."""
    with our_look():
        figure = new_figure(1.15 + 0.14 * len(comparison.pairs))
        draw_comparison(figure.subplots(), comparison, survey)
        return figure_svg(figure, name, comparison_title(comparison), comparison.sentence)


def comparison_title(comparison: Comparison) -> str:
    """What the figure holds."""
    return (
        f"{NOUN[comparison.quantity]} of {comparison.first} over {comparison.second}, pair by pair"
    )


def draw_comparison(axes: Axes, comparison: Comparison, survey: str, size: float = 1.0) -> None:
    """The pairs from top to bottom in walking order, then the mean ratio; needs `our_look`.

    `survey` is the title that the pairs' places begin with.
    """
    pairs, ratio = comparison.pairs, comparison.ratio
    ratios = [math.exp(pair.log_ratio) for pair in pairs]
    rows = np.arange(len(pairs))[::-1] + 2.0
    axes.axvline(1.0, color=DAY.line, linewidth=0.9 * size)
    axes.hlines(rows, 1.0, ratios, color=DAY.band_near, linewidth=1.1 * size)
    axes.plot(ratios, rows, "o", color=DAY.accent, markersize=4.2 * size)
    if ratio is not None:
        axes.axvspan(ratio.interval.low, ratio.interval.high, color=DAY.wash, zorder=0)
        axes.hlines(0.4, ratio.interval.low, ratio.interval.high, color=DAY.ink,
                    linewidth=2.0 * size)  # fmt: skip
        axes.plot([ratio.ratio], [0.4], "D", color=DAY.ink, markersize=6.0 * size)
    widest = max([abs(math.log(one)) for one in ratios] + [math.log(1.6)]) * 1.15
    axes.set_xscale("log")
    axes.set_xlim(math.exp(-widest), math.exp(widest))
    shown = _ratio_ticks(widest)
    axes.set_xticks(shown, [f"{tick:g}" for tick in shown])
    axes.set_xticks([], minor=True)
    labels = [_stop_of(pair.place, survey) for pair in pairs]
    axes.set_yticks([*rows, 0.4], [*labels, "all"])
    axes.set_ylim(-0.5, len(pairs) + 1.8)
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
    noun = NOUN[comparison.quantity]
    first, second = (shortened(one, LONGEST_LABEL) for one in (comparison.first, comparison.second))
    axes.set_xlabel(f"{noun} of {first} over {second}")


def _ratio_ticks(widest: float) -> list[float]:
    """The weightiest ratios that lie on the rule and far enough apart."""
    shown: list[float] = []
    for tick in RATIO_TICKS:
        apart = [abs(math.log(tick / other)) for other in shown]
        if abs(math.log(tick)) <= widest and min(apart, default=9.0) > TICKS_APART * 2.0 * widest:
            shown.append(tick)
    return shown


def _stop_of(place: str, survey: str) -> str:
    """'stop 3' out of a pair's place."""
    return shortened(place.removeprefix(f"{survey}, ").partition(",")[0], LONGEST_LABEL)


def runs_figure(
    scenes: Sequence[StopScene], devices: Sequence[Device], expected: Sequence[tuple[float, float]]
) -> Markup:
    """Every download of the day by stop, one mark a phone; a grey span for what was expected.

    `expected` are (stop's place in the row, Mbit/s) of each run that has an expectation.
    """
    with our_look():
        figure = new_figure(2.7)
        draw_runs(figure.subplots(), scenes, devices, expected)
        runs = [run for scene in scenes for run in scene.speed_runs if run.down_mbps is not None]
        return figure_svg(figure, "runs", "Downloads by stop", _runs_told(runs))


def draw_runs(
    axes: Axes,
    scenes: Sequence[StopScene],
    devices: Sequence[Device],
    expected: Sequence[tuple[float, float]],
) -> None:
    """The runs on a logarithmic rule of Mbit/s; needs `our_look`."""
    if expected:
        places, rates = zip(*expected, strict=True)
        axes.plot(places, rates, "_", color=DAY.band_near, markersize=11.0, markeredgewidth=3.0,
                  label="expected")  # fmt: skip
    for count, device in enumerate(devices):
        shift = 0.16 * (count - (len(devices) - 1) / 2.0)
        points = [
            (at + shift, run.down_mbps)
            for at, scene in enumerate(scenes)
            for run in scene.speed_runs
            if run.device_id == device.id and run.down_mbps
        ]
        if points:
            axes.plot(*zip(*points, strict=True), MARKS[count % len(MARKS)], markersize=4.4,
                      color=DAY.accent if count % 2 == 0 else DAY.ink,
                      markerfacecolor=DAY.accent if count % 2 == 0 else DAY.raised,
                      label=shortened(device.label.lstrip("_"), LONGEST_LABEL))  # fmt: skip
    axes.set_yscale("log")
    low, high = axes.get_ylim()
    ticks = rate_ticks(low, high)
    axes.set_yticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.set_yticks([], minor=True)
    axes.grid(axis="y", color=DAY.pressed, linewidth=0.7)
    axes.set_axisbelow(True)
    numbers = [str(scene.stop.number) for scene in scenes]
    axes.set_xticks(range(len(scenes)), numbers)
    axes.set_xlabel("stop")
    axes.set_ylabel("Mbit/s down")
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=4, frameon=False)


def rate_ticks(low: float, high: float) -> list[float]:
    """Round rates on a logarithmic rule from `low` to `high`: as few as tell it, three or more
    where the rule is long enough for any."""
    ticks: list[float] = []
    for steps in RATE_STEPS:
        ticks = [step * 10.0**power for power in range(-2, 6) for step in steps]
        ticks = [tick for tick in ticks if low < tick < high]
        if len(ticks) >= FEWEST_TICKS:
            break
    return ticks


def _runs_told(runs: Sequence[SpeedRun]) -> str:
    rates = sorted(run.down_mbps or 0.0 for run in runs)
    if not rates:
        return "No run holds a download."
    return (
        f"{counted(len(rates), 'download')} from {number(rates[0], 0)} to "
        f"{number(rates[-1], 0)} Mbit/s, by stop and phone."
    )
