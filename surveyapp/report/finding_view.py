"""Comparisons, cover and doubts as the page shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from surveyapp.analysis.accepted_doubts import is_accepted
from surveyapp.analysis.compare import Comparison
from surveyapp.analysis.compare_notes import notes_of
from surveyapp.analysis.compare_words import figure
from surveyapp.analysis.sector_fit import SectorFit
from surveyapp.analysis.value_doubts import DoubtKind
from surveyapp.model import Row
from surveyapp.report.account import Account
from surveyapp.report.cover import PanelCover
from surveyapp.report.figures import NOUN
from surveyapp.report.words import capital, listed, number, tidy

Whereabouts = tuple[int, str]  # a stop's number and a phone's label
ACCEPTED = "Accepted by the surveyor."
NOWHERE = -1  # of a doubt about no stop
HEADINGS = ("", "Pairs", "Ratio", "95 % interval", "Typical ratio", "By chance alone")


@dataclass(frozen=True, kw_only=True)
class ComparisonView:
    """Two phones in every quantity: a sentence and a line of numbers each, and what to mind."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    sentences: tuple[str, ...]
    notes: tuple[str, ...]
    figure: Markup
    caption: str


def comparison_view(held: Sequence[Comparison], drawn: Markup) -> ComparisonView:
    """The view of one pair of phones; the figure shows its first quantity."""
    main = held[0]
    return ComparisonView(
        title=f"{main.first} and {main.second}",
        headings=HEADINGS,
        rows=tuple(_numbers(one) for one in held),
        sentences=tuple(tidy(one.sentence) for one in held),
        notes=tuple(dict.fromkeys(_notes(main))),
        figure=drawn,
        caption=(
            f"{NOUN[main.quantity]} of {main.first} over that of {main.second}: a dot for "
            "each stop where both ran under like conditions, the mean ratio as a diamond with "
            "its 95 % interval below and as the shaded span. At 1 they are alike."
        ),
    )


def _numbers(one: Comparison) -> tuple[str, ...]:
    if one.ratio is None:
        return (NOUN[one.quantity], str(len(one.pairs)), "–", "–", "–", "–")
    ratio = one.ratio
    return (
        NOUN[one.quantity],
        str(len(one.pairs)),
        figure(ratio.ratio),
        f"{figure(ratio.interval.low)} to {figure(ratio.interval.high)}",
        f"{figure(ratio.typical)}",
        f"{number(100.0 * ratio.p, 1)} %" if ratio.p >= 0.001 else "under 0.1 %",
    )


def _notes(main: Comparison) -> Iterable[str]:
    yield from (tidy(doubt) for doubt in main.doubts)
    yield from (tidy(note) for note in notes_of(main))


@dataclass(frozen=True, kw_only=True)
class PanelRange:
    """A fitted panel's line in the table of cover."""

    name: str
    places: str
    fit: str
    range: str
    note: str


def unfitted(panels: Sequence[PanelCover]) -> str:
    """Which panels the standard's model stands in for, with the places each was read at."""
    held = [one for one in panels if one.fit is None]
    if not held:
        return ""
    told = listed(f"{one.name} ({len(one.levels.measured)})" for one in held)
    return f"Modelled by the standard, as too few places read them for a fit: {told}."


def panel_range(one: PanelCover, fit: SectorFit) -> PanelRange:
    """How far a fitted panel covers."""
    low, high = fit.exponent_interval()
    said = (
        f"n {number(fit.exponent)} ({number(low)} to {number(high)}), "
        f"spread {number(fit.sigma_db)} dB"
    )
    notes = list(fit.remarks)
    if one.range is None:
        reach = "–"
        notes.append(one.why_not)
    else:
        far = one.range.high_m
        upper = f"{number(_tens(far), 0)} m" if far is not None else "not bounded"
        reach = f"{_tens(one.range.range_m):.0f} m ({_tens(one.range.low_m):.0f} m to {upper})"
        if one.range.beyond_readings:
            notes.append(
                f"Beyond the farthest reading at {_tens(one.range.measured_to_m):.0f} m: a guess."
            )
    return PanelRange(name=one.name, places=str(len(fit.measured)), fit=said, range=reach,
                      note=" ".join(note for note in notes if note))  # fmt: skip


def _tens(metres: float) -> float:
    """To ten metres: no fit knows more, and it does not give a stop away."""
    return 10.0 * round(metres / 10.0)


@dataclass(frozen=True, kw_only=True)
class DoubtView:
    """Doubts of one kind: each sentence with where it arose and what would settle it."""

    kind: str
    doubts: tuple[tuple[str, str, str], ...]


def doubt_views(account: Account) -> list[DoubtView]:
    """All doubts by kind, in the order they arose."""
    where = _whereabouts(account)
    kinds: dict[str, list[tuple[Whereabouts, str, str]]] = {}
    for doubt in account.doubts:
        words = doubt.words
        if doubt.kind is DoubtKind.STEEL and not account.record.exact_places:
            words = f"{words.partition(':')[0]}."  # the rest may tell beneath which post
        settle = ACCEPTED if is_accepted(doubt, account.accepted) else doubt.settle
        told = (where.get(doubt.row_id, (NOWHERE, "")), tidy(words), tidy(settle))
        kinds.setdefault(doubt.kind, []).append(told)
    return [DoubtView(kind=capital(kind), doubts=_merged(held)) for kind, held in kinds.items()]


def _merged(held: Sequence[tuple[Whereabouts, str, str]]) -> tuple[tuple[str, str, str], ...]:
    """The same doubt at several places told once, with all of them."""
    places: dict[tuple[str, str], list[Whereabouts]] = {}
    for place, words, settle in held:
        places.setdefault((words, settle), []).append(place)
    return tuple((_places_text(own), *said) for said, own in places.items())


def _places_text(places: Sequence[Whereabouts]) -> str:
    """'Stop 2, Phone A and Phone B; stop 7, Phone B'."""
    phones: dict[int, set[str]] = {}
    for stop, phone in places:
        phones.setdefault(stop, set()).add(phone)
    phones.pop(NOWHERE, None)
    return capital(
        "; ".join(
            ", ".join(part for part in (f"stop {stop}", listed(sorted(own))) if part)
            for stop, own in sorted(phones.items())
        )
    )


def _whereabouts(account: Account) -> dict[str, Whereabouts]:
    """By the id of a row: its stop's number, and its phone or '' where it has none."""
    found: dict[str, Whereabouts] = {}
    for scene in account.scenes:
        labels = {device.id: device.label for device in scene.devices}
        rows: tuple[Row, ...] = (
            scene.stop, *scene.sightings, *scene.readings, *scene.speed_runs, *scene.remarks,
        )  # fmt: skip
        for row in rows:
            phone = labels.get(getattr(row, "device_id", None) or "", "")
            found[row.id] = (scene.stop.number, phone)
    return found
