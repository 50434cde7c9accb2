"""What keeps a run's own carriers below what its sector could give: few of them, weak, shared."""

from __future__ import annotations

from collections.abc import Iterator

from surveyapp.analysis.expected import Cause, Certainty, Line, Reason
from surveyapp.analysis.run_case import RunCase, label_of
from surveyapp.analysis.run_link import TOGETHER_SHARE, run_link
from surveyapp.errors import InvalidValue
from surveyapp.model import Carrier, Rat, RemarkKind, SectorCarrier
from surveyapp.radio.carrier_sets import carrier_set_name, total_bandwidth_mhz
from surveyapp.radio.expected_rate import RatePart

FEW_SHARE = 0.75  # of the bandwidth that others held here, or that the sector has
LEAST_HELD_MHZ = 1.0


def few_carriers(case: RunCase) -> Iterator[Reason]:
    """Fewer NR carriers than another phone held here, or than the sector has."""
    held = case.link.bandwidth_mhz(Rat.NR)
    if held < LEAST_HELD_MHZ:
        return
    most = _most_held(case)
    if most is None or held >= FEW_SHARE * most[0]:
        return
    full, who, name = most
    rest = case.link.likely_mbps(Rat.LTE)
    own = case.link.likely_mbps(Rat.NR)
    factor = (rest + own) / (rest + own * full / held) if own else held / full
    words = f"{case.label} held {held:.0f} MHz of 5G carriers, {who} {full:.0f} MHz ({name})."
    if own:
        words += f" With all of them {rest + own * full / held:.0f} Mbit/s would be expected."
    evidence = [Line("held", held, "MHz", case.link.name), Line(who, full, "MHz", name)]
    if own:
        evidence.append(Line("expected with all of them", rest + own * full / held, "Mbit/s"))
    yield Reason(
        cause=Cause.FEW_CARRIERS,
        title=f"only {held:.0f} of {full:.0f} MHz",
        certainty=Certainty.SURE,
        counted=True,
        next_step="Look at the carriers again: more may be added under load.",
        words=words,
        probability=0.9,
        effect=factor,
        evidence=tuple(evidence),
    )


def no_5g(case: RunCase) -> Iterator[Reason]:
    """LTE alone, where the phone could have had a 5G leg or said that it lost it."""
    if not case.link.links or case.link.bandwidth_mhz(Rat.NR) > 0.0:
        return
    told = [
        remark
        for remark in case.scene.remarks
        if remark.kind is RemarkKind.LOST_5G and remark.device_id in {None, case.run.device_id}
    ]
    most = _most_held(case) or _around(case)
    if not told and most is None:
        return
    held = case.link.bandwidth_mhz(Rat.LTE)
    evidence = [Line("held", held, "MHz", case.link.name)]
    factor = 0.5
    words = f"{case.label} held no 5G leg"
    words += ", as you remarked" if told else ""
    if most is not None:
        full, who, name = most
        factor = held / (held + full)
        evidence.append(Line(who, full, "MHz", name))
        words += f"; {who} {full:.0f} MHz of it ({name})"
    words += ". What is expected is that of LTE alone."
    with_it = _with_5g(case)
    if with_it is not None:
        rate, label = with_it
        words += f" With 5G, as {label} had it here, {rate:.0f} Mbit/s would be expected."
        evidence.append(Line(f"expected with 5G, as {label}", rate, "Mbit/s"))
    yield Reason(
        cause=Cause.NO_5G,
        title="no 5G leg",
        words=words,
        certainty=Certainty.SURE,
        counted=True,
        next_step="Wait for 5G to come back, and repeat.",
        probability=0.9 if told else 0.7,
        effect=factor,
        evidence=tuple(evidence),
    )


def _with_5g(case: RunCase) -> tuple[float, str] | None:
    """The most that another phone with a 5G leg should get at this stop, and its label."""
    links = [
        (run_link(case.scene, other), other.device_id)
        for other in case.others
        if other.device_id != case.run.device_id
    ]
    rates = [
        (link.rate.likely_mbps, label_of(case.scene, device_id))
        for link, device_id in links
        if link.rate is not None and link.bandwidth_mhz(Rat.NR) >= LEAST_HELD_MHZ
    ]
    return max(rates, default=None)


def together(case: RunCase) -> Iterator[Reason]:
    """Another run at the same time takes its part of the cell."""
    if not case.run.together_with:
        return
    other = next((r for r in case.others if r.id == case.run.together_with), None)
    who = label_of(case.scene, other.device_id) if other else "Another phone"
    evidence = () if other is None else (Line(f"{who} got", other.down_mbps, "Mbit/s"),)
    yield Reason(
        cause=Cause.SHARED,
        title="cell shared with another test",
        certainty=Certainty.SURE,
        counted=True,
        next_step="Run one after the other.",
        words=f"{who} ran a test at the same time: the cell was shared, half is counted for each.",
        probability=0.9,
        effect=TOGETHER_SHARE,
        evidence=evidence,
    )


def radio(case: RunCase) -> Iterator[Reason]:
    """What the SINR leaves of the peak of the carriers held."""
    link = case.link
    if link.rate is None:
        return
    part = max(link.rate.parts, key=lambda part: part.peak_mbps)
    slots = sum(one.peak_mbps * one.share for one in link.rate.parts)
    shared = TOGETHER_SHARE if case.run.together_with else 1.0
    factor = link.rate.likely_mbps / (slots * shared) if slots else 1.0
    yield Reason(
        cause=Cause.RADIO,
        title="SINR",
        words=f"{_used(part)}: {link.rate.likely_mbps:.0f} of the {slots * shared:.0f} Mbit/s that "
        f"{link.name} could carry at the best SINR.",
        certainty=Certainty.SURE,
        counted=True,
        probability=0.8,
        effect=factor,
        evidence=(
            Line("SINR", part.sinr_db, "dB"),
            Line("expected", link.rate.likely_mbps, "Mbit/s"),
            Line("peak", link.rate.peak_mbps, "Mbit/s", "TS 38.306, knows no time division"),
            Line("time given to the downlink", 100.0 * part.share, "%", "of all time"),
        ),
    )


def _used(part: RatePart) -> str:
    """What the SINR allows, in words."""
    row = part.choice.row
    if row is None:
        return f"At SINR {part.sinr_db:g} dB nothing gets through"
    layers = f"{part.choice.layers} layer{'s' if part.choice.layers > 1 else ''}"
    return (
        f"SINR {part.sinr_db:g} dB allows {row.modulation} at code rate "
        f"{row.rate_x1024 / 1024:.2f} on {layers}"
    )


def _most_held(case: RunCase) -> tuple[float, str, str] | None:
    """The widest set of NR carriers another phone held here, or the sector has."""
    sets: list[tuple[str, tuple[Carrier | SectorCarrier, ...]]] = [
        (f"{label_of(case.scene, reading.device_id)} held", reading.carriers)
        for reading in case.scene.readings
        if reading.device_id != case.run.device_id
    ]
    sets += [("the sector has", sector.carriers) for sector in case.sectors]
    return _widest(sets)


def _around(case: RunCase) -> tuple[float, str, str] | None:
    """The widest set of NR carriers of any sector in reach."""
    return _widest([("a sector in reach has", sector.carriers) for sector in case.scene.sectors])


def _widest(
    sets: list[tuple[str, tuple[Carrier | SectorCarrier, ...]]],
) -> tuple[float, str, str] | None:
    """Of some sets the one with most NR bandwidth: MHz, whose, name; None without any."""
    found = []
    for who, carriers in sets:
        nr = [carrier for carrier in carriers if carrier.rat is Rat.NR]
        try:
            width = total_bandwidth_mhz(nr)
            name = carrier_set_name(nr)
        except InvalidValue:
            continue
        if width >= LEAST_HELD_MHZ:
            found.append((width, who, name))
    return max(found, default=None)
