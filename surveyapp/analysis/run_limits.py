"""What most likely limits a speed run, in order, with the numbers behind it.

What is out of the ordinary comes first: causes outside the radio where a run stays below what
its own carriers should carry, and fewer carriers than others had. What the SINR allows anyone
here comes after. `effect` is the factor a cause leaves: 0.25 is a quarter.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence

from surveyapp.analysis.expected import Cause, Certainty, Line, Reason
from surveyapp.analysis.ping import lowest_ping_ms, server_distance_m
from surveyapp.analysis.run_case import RunCase
from surveyapp.analysis.run_link import RunLink, run_link
from surveyapp.analysis.run_radio_limits import few_carriers, no_5g, radio, together
from surveyapp.model import Rat, SpeedRun, Streams

FAR_MS = 5.0  # a server from 500 km on, by its lowest ping
ACKNOWLEDGED = 60.0  # down over up from which acknowledgements may run short; common practice
PHONE_RATIO = 1.5
ALIKE_SINR_DB = 3.0
WILD_JITTER = 5.0  # times the median of the other runs at the stop
WILD_JITTER_MS = 20.0
LOSSY_PCT = 1.0
_SHARE_OF = "{} reached of its expected rate"


def run_limits(case: RunCase) -> tuple[Reason, ...]:
    """The limits in order; empty only where no rate was measured."""
    if case.run.down_mbps is None:
        return tuple(_unsteady(case))
    held = [*few_carriers(case), *no_5g(case), *together(case)]
    if not case.is_low:
        far = _far_server(case) if case.link.rate is not None else ()
        return (*_unsteady(case), *_strongest_first(held), *radio(case), *far)
    outside = [*_far_server(case), *_one_stream(case), *_uplink(case), *_phone(case)]
    causes = _strongest_first([*(outside or [_unknown(case)]), *held])
    return (*causes, *_unsteady(case), *radio(case))


def _strongest_first(reasons: Sequence[Reason]) -> list[Reason]:
    """By the factor each leaves."""
    return sorted(reasons, key=lambda reason: reason.effect)


def _far_server(case: RunCase) -> Iterator[Reason]:
    """The server's distance, and how runs against nearer ones did."""
    distance = server_distance_m(case.scene.stop, case.run)
    if distance is None or lowest_ping_ms(distance) < FAR_MS:
        return
    lowest = lowest_ping_ms(distance)
    nearer = [
        (other, far)
        for other in case.others
        if (far := server_distance_m(case.scene.stop, other)) is not None
        and far < 0.5 * distance
        and other.down_mbps is not None
    ]
    evidence = [
        Line("server's distance", distance / 1000.0, "km", case.run.server_place),
        Line("lowest possible ping", lowest, "ms", "2 x distance / (2/3 c), light in fibre"),
        Line("ping read", case.run.ping_ms, "ms"),
    ]
    words = (
        f"The server, {case.run.server_place or 'far away'}, is {distance / 1000.0:.0f} km away: "
        f"no ping below {lowest:.0f} ms is possible, and a test seldom fills the link over such "
        "a distance."
    )
    proven = False
    if nearer:
        best, far = max(nearer, key=lambda pair: pair[0].down_mbps or 0.0)
        evidence.append(
            Line(f"against {best.server_place}", best.down_mbps, "Mbit/s", f"{far / 1000:.0f} km")
        )
        words += f" {best.down_mbps:.0f} Mbit/s came here from {far / 1000.0:.0f} km."
        proven = (best.down_mbps or 0.0) > PHONE_RATIO * (case.run.down_mbps or 0.0)
    yield Reason(
        cause=Cause.FAR_SERVER,
        title="far server",
        words=words,
        certainty=Certainty.SURE if proven else Certainty.MAY_BE,
        next_step="Test against a nearer one.",
        probability=0.8 if nearer else 0.6,
        effect=case.share,
        evidence=tuple(evidence),
    )


def _one_stream(case: RunCase) -> Iterator[Reason]:
    """One stream alone seldom fills a fast link."""
    if case.run.streams is Streams.ONE:
        yield Reason(
            cause=Cause.ONE_STREAM,
            title="one stream alone",
            words="One stream alone seldom fills a fast link (common practice).",
            next_step="Repeat it with many.",
            probability=0.5,
            effect=case.share,
            evidence=(Line("streams", 1.0, "", "as noted"),),
        )


def _uplink(case: RunCase) -> Iterator[Reason]:
    """Acknowledgements of the download need some uplink."""
    down, up = case.run.down_mbps, case.run.up_mbps
    if down and up is not None and down > ACKNOWLEDGED * up:
        yield Reason(
            cause=Cause.UPLINK,
            title="little uplink",
            words=f"Only {up:.1f} Mbit/s go up: the acknowledgements of {down:.0f} Mbit/s down "
            "may not get through (common practice: a fiftieth of the download).",
            probability=0.5,
            effect=case.share,
            evidence=(Line("down", down, "Mbit/s"), Line("up", up, "Mbit/s")),
        )


def _phone(case: RunCase) -> Iterator[Reason]:
    """Another phone with alike carriers and SINR, against the same server, got far more.

    Medians of all runs of both at this stop, each as a share of what it should have carried.
    """
    own = _usual_share(case, case.run.device_id)
    if own is None or len(case.scene.devices) < 2:
        return
    for device in case.scene.devices:
        usual = _usual_share(case, device.id)
        if device.id == case.run.device_id or usual is None or usual < PHONE_RATIO * own:
            continue
        yield Reason(
            cause=Cause.PHONE,
            title=f"{case.label} itself",
            words=f"{device.label} reached {usual:.0%} of its expected rate here, {case.label} "
            f"{own:.0%}, with the same carriers and about the same SINR: {case.label} itself may "
            "be slower, or was hot.",
            next_step="Let it cool and repeat, or swap the phones.",
            probability=0.5,
            effect=case.share,
            evidence=(
                Line(_SHARE_OF.format(device.label), 100.0 * usual, "%", "median of its runs here"),
                Line(_SHARE_OF.format(case.label), 100.0 * own, "%", "median of its runs here"),
            ),
        )
        return


def _usual_share(case: RunCase, device_id: str) -> float | None:
    """Median share of the expected rate over a phone's comparable runs here."""
    shares = []
    for run in case.scene.speed_runs:
        if run.device_id != device_id or run.server_place != case.run.server_place:
            continue
        link = run_link(case.scene, run)
        if link.rate is not None and run.down_mbps is not None and _alike(link, case.link):
            shares.append(link.rate.share(run.down_mbps))
    return statistics.median(shares) if shares else None


def _alike(one: RunLink, other: RunLink) -> bool:
    """Whether two readings hold as much bandwidth at about the same SINR."""
    if not one.sinr_db or not other.sinr_db:
        return False
    return (
        all(one.bandwidth_mhz(rat) == other.bandwidth_mhz(rat) for rat in Rat)
        and abs(max(one.sinr_db) - max(other.sinr_db)) <= ALIKE_SINR_DB
    )


def _unknown(case: RunCase) -> Reason:
    """Less than expected, and nothing noted explains it."""
    return Reason(
        cause=Cause.UNKNOWN,
        title="cannot tell why",
        words=f"Only {case.share:.0%} of the expected rate came, and nothing noted explains it, "
        "maybe other users of the cell, the network behind it or the phone.",
        certainty=Certainty.NONE,
        next_step="Repeat the run.",
        probability=1.0,
        effect=case.share,
    )


def _unsteady(case: RunCase) -> Iterator[Reason]:
    """Jitter out of proportion, or lost packets."""
    jitter = case.run.jitter_ms
    typical = typical_jitter_ms(case.others)
    if jitter is not None and typical is not None and is_wild(jitter, typical):
        yield Reason(
            cause=Cause.WILD_JITTER,
            title="wild jitter",
            words=f"Jitter of {jitter:g} ms; the other runs here show {typical:.1f} ms. "
            "Something disturbed this run.",
            certainty=Certainty.SURE,
            next_step="Leave it out, or repeat it.",
            probability=0.9,
            effect=1.0,
            evidence=(
                Line("jitter", jitter, "ms"),
                Line("median of the others", typical, "ms", f"{len(case.others)} runs here"),
            ),
        )
    loss = case.run.loss_pct
    if loss is not None and loss >= LOSSY_PCT:
        yield Reason(
            cause=Cause.LOSS,
            title="lost packets",
            certainty=Certainty.SURE,
            next_step="Repeat the run.",
            words=f"{loss:g} % of the packets were lost: senders slow down from some tenths of a "
            "per cent on (common practice).",
            probability=0.7,
            effect=1.0,
            evidence=(Line("loss", loss, "%"),),
        )


def typical_jitter_ms(others: Sequence[SpeedRun]) -> float | None:
    """Median jitter of some runs, None without any."""
    shown = [run.jitter_ms for run in others if run.jitter_ms is not None]
    return statistics.median(shown) if shown else None


def is_wild(jitter_ms: float, typical_ms: float) -> bool:
    """Whether a jitter is out of all proportion to those of other runs at the stop."""
    return jitter_ms >= WILD_JITTER_MS and jitter_ms > WILD_JITTER * typical_ms
