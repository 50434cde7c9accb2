"""A serving answer as the contract's object, and as lines for a reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from surveyapp.commands.output import table

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.geometry.serving import Ranked, ServingAnswer

FIGURES = (
    "off_boresight_deg", "distance_m", "bearing_deg", "predicted_rsrp_dbm", "predicted_sigma_db",
)  # fmt: skip
HEADINGS = ("sector", "probability", "off boresight", "distance", "bearing", "predicted RSRP")


def serving_values(found: ServingAnswer) -> dict[str, object]:
    """The object with the keys of the contract; what 'none' has no value for is null."""
    ranking = [
        {"sector": ranked.name, "probability": ranked.probability}
        | {figure: getattr(ranked, figure) for figure in FIGURES}
        for ranked in found.ranking
    ]
    return {"ranking": ranking, "settle": found.settle}


def serving_lines(found: ServingAnswer) -> list[str]:
    """The ranking as a table, then the reasons, then what would settle it."""
    lines = table(HEADINGS, [_cells(ranked) for ranked in found.ranking])
    lines += ["", *(f"- {reason}" for reason in found.reasons)]
    if not found.settle:
        return lines
    whole = found.settle.startswith(("Settled", "No "))
    return [*lines, found.settle if whole else f"To settle it: {found.settle}"]


def leg_lines(legs: Sequence[LegAnswer], labels: Mapping[str, str]) -> list[str]:
    """One ranking after the other, each under its leg and phone; `labels` by device id."""
    lines: list[str] = []
    for leg in legs:
        phone = labels.get(leg.device_id or "", "no phone read yet")
        lines += ["", f"{leg.leg}, {phone}", *serving_lines(leg.answer)]
    return lines[1:]


def _cells(ranked: Ranked) -> tuple[str, ...]:
    return (
        ranked.name,
        f"{100.0 * ranked.probability:.1f} %",
        _figure(ranked.off_boresight_deg, "deg"),
        _figure(ranked.distance_m, "m"),
        _figure(ranked.bearing_deg, "deg"),
        "-"
        if ranked.predicted_rsrp_dbm is None or ranked.predicted_sigma_db is None
        else f"{ranked.predicted_rsrp_dbm:.0f} +- {ranked.predicted_sigma_db:.0f} dBm",
    )


def _figure(value: float | None, unit: str) -> str:
    return "-" if value is None else f"{value:.0f} {unit}"
