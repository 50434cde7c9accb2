"""What a speed run should reach, against what it reached, and what most likely limits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from surveyapp.analysis.expected import Expected, Line, Reason
from surveyapp.analysis.headlines import rate_headline
from surveyapp.analysis.ping import lowest_ping_ms, ping_expected, ping_lines, server_distance_m
from surveyapp.analysis.run_case import RunCase
from surveyapp.analysis.run_limits import run_limits
from surveyapp.analysis.run_link import RunLink, run_link, with_5g
from surveyapp.analysis.standing import LegAnswer
from surveyapp.model import Sector, SpeedRun, StopScene
from surveyapp.radio.expected_rate import RatePart
from surveyapp.radio.quality import RULES_OF_THUMB
from surveyapp.radio.rates import LinkCarrier

SURE = 0.5  # from here up the most likely sector counts as the run's


@dataclass(frozen=True, kw_only=True, slots=True)
class RunExpectation:
    """One speed run: strips, a sentence, the limits in order, and the make-up as lines.

    Rates in Mbit/s; `low_mbps`, `likely_mbps`, `high_mbps` are what the carriers held should
    carry at the SINR read, None where that cannot be told (`words` say why). `headline` is the
    verdict on the download with its chief cause.
    """

    run_id: str
    device_id: str
    down: Expected
    up: Expected
    ping: Expected
    low_mbps: float | None
    likely_mbps: float | None
    high_mbps: float | None
    peak_mbps: float | None
    lowest_ping_ms: float | None
    headline: str
    words: str
    limits: tuple[Reason, ...]
    rate_lines: tuple[Line, ...]
    ping_lines: tuple[Line, ...]
    rules: tuple[str, ...] = ()

    @property
    def share(self) -> float | None:
        """Measured as a share of the likely rate."""
        if self.down.measured is None or not self.likely_mbps:
            return None
        return self.down.measured / self.likely_mbps


def expect_runs(scene: StopScene, answers: Sequence[LegAnswer]) -> tuple[RunExpectation, ...]:
    """One expectation for each speed run at the stop, in their order."""
    sectors = {sector.id: sector for sector in scene.sectors}
    likely: dict[str, list[Sector]] = {}
    for answer in answers:
        top = answer.answer.ranking[0]
        if answer.reading_id and top.sector_id in sectors and top.probability >= SURE:
            likely.setdefault(answer.reading_id, []).append(sectors[top.sector_id])
    return tuple(_expectation(scene, run, likely) for run in scene.speed_runs)


def _expectation(
    scene: StopScene, run: SpeedRun, likely: Mapping[str, Sequence[Sector]]
) -> RunExpectation:
    """The expectation of one run."""
    link = run_link(scene, run)
    reading_id = link.reading.id if link.reading else ""
    case = RunCase(scene=scene, run=run, link=link, sectors=tuple(likely.get(reading_id, ())))
    distance = server_distance_m(scene.stop, run)
    nr = with_5g(link.reading)
    rate, down, limits = link.rate, _down(run, link), run_limits(case)
    return RunExpectation(
        run_id=run.id,
        device_id=run.device_id,
        down=down,
        up=_up(run, link),
        ping=ping_expected(run, distance, with_5g=nr),
        low_mbps=rate.low_mbps if rate else None,
        likely_mbps=rate.likely_mbps if rate else None,
        high_mbps=rate.high_mbps if rate else None,
        peak_mbps=link.peak_mbps,
        lowest_ping_ms=None if distance is None else lowest_ping_ms(distance),
        headline=rate_headline(down, link.peak_mbps, limits),
        words=_words(run, link),
        limits=limits,
        rate_lines=_rate_lines(run, link),
        ping_lines=ping_lines(run, distance, with_5g=nr),
        rules=(RULES_OF_THUMB["SINR"],) if rate else (),
    )


def _down(run: SpeedRun, link: RunLink) -> Expected:
    """The download's strip, from nothing to the peak."""
    rate = link.rate
    return Expected(
        quantity="Down",
        unit="Mbit/s",
        low=0.0,
        high=max(link.peak_mbps or 0.0, run.down_mbps or 0.0, 1.0),
        mean=rate.likely_mbps if rate else None,
        measured=run.down_mbps,
        least=rate.low_mbps if rate else None,
        most=rate.high_mbps if rate else None,
    )


def _up(run: SpeedRun, link: RunLink) -> Expected:
    """The upload's strip; the SINR at the site is not known, so nothing is expected."""
    highest = max(link.up_peak_mbps or 0.0, run.up_mbps or 0.0, 1.0)
    return Expected(quantity="Up", unit="Mbit/s", low=0.0, high=highest, measured=run.up_mbps)


def _words(run: SpeedRun, link: RunLink) -> str:
    """One sentence on the download."""
    if link.rate is None:
        return f"Cannot tell what to expect: {link.lacking}."
    rate = link.rate
    foreseen = f"{_down(run, link).told} expected from {link.name}"
    if run.down_mbps is None:
        return f"{foreseen}; no download rate is noted."
    return f"{run.down_mbps:.0f} Mbit/s is {rate.share(run.down_mbps):.0%} of the {foreseen}."


def _term(carrier: LinkCarrier) -> str:
    """'4 x 100 MHz NR'."""
    times = f"{carrier.count} x " if carrier.count > 1 else ""
    return f"{times}{carrier.bandwidth_mhz:g} MHz {carrier.rat}"


def _layers(part: RatePart) -> str:
    """'SINR 14 dB allows 2 layers of 64QAM at code rate 0.46, 74% of the time'."""
    if part.choice.row is None:
        return part.used
    return f"SINR {part.sinr_db:g} dB allows {part.used}"


def _rate_lines(run: SpeedRun, link: RunLink) -> tuple[Line, ...]:
    """The make-up of the expected rate, then of the uplink, then all that was assumed."""
    if link.rate is None:
        known = [Line("peak", link.peak_mbps, "Mbit/s")] if link.peak_mbps else []
        return (*known, Line("cannot tell", None, "", link.lacking))
    rate = link.rate
    lines = [
        Line(_term(part.carrier), part.likely_mbps, "Mbit/s", _layers(part)) for part in rate.parts
    ]
    lines += [
        Line("expected", rate.likely_mbps, "Mbit/s", "likely"),
        Line("at least", rate.low_mbps, "Mbit/s", "moving, many reflections"),
        Line("at best", rate.high_mbps, "Mbit/s", "still, free sight"),
        Line("peak", link.peak_mbps, "Mbit/s", "TS 38.306, knows no time division"),
        Line("down, measured", run.down_mbps, "Mbit/s"),
        Line("up, measured", run.up_mbps, "Mbit/s"),
        Line("up, peak", link.up_peak_mbps, "Mbit/s", "one layer, one carrier (common practice)"),
    ]
    assumed = dict.fromkeys(text for one in link.links for text in one.assumed)
    if link.uncounted:
        note = (
            f"{link.uncounted} is not counted, as no SINR is noted for it: somewhat more may come"
        )
        lines.append(Line("assumed", None, "", note))
    lines += [Line("assumed", None, "", text) for text in assumed]
    return (*lines, *(Line("note", None, "", text) for text in rate.notes))
