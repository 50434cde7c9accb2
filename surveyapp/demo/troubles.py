"""The troubles planted in the demo, so that the notebook can be tried on finding them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from surveyapp.demo.truth import NR_LEG, Trouble, TrueSite, TrueStop
from surveyapp.model import Reading, Row, Sighting, SpeedRun, Stop, View


@dataclass(frozen=True, kw_only=True, slots=True)
class Planting:
    """What goes wrong at one stop: to which device, or which site a house hides."""

    lost_5g: str | None = None
    far_server: str | None = None
    few_carriers: str | None = None
    wild_jitter: str | None = None
    jitter_ms: float = 0.0
    blocked: str | None = None
    afar: bool = False
    together: bool = False

    def told(
        self, stop: Stop, rows: Sequence[Row], sites: Sequence[TrueSite], truth: TrueStop
    ) -> list[Trouble]:
        """The same in words, each with the row where it shows."""
        readings = {row.device_id: row for row in rows if isinstance(row, Reading)}
        runs = [row for row in rows if isinstance(row, SpeedRun)]
        found: list[tuple[str, str, str]] = []
        if self.lost_5g is not None:
            row_id = readings[self.lost_5g].id
            found.append(("lost 5G", row_id, "One phone dropped its 5G leg."))
        if self.few_carriers is not None:
            row_id = readings[self.few_carriers].id
            found.append(("few carriers", row_id, "One phone holds one 5G carrier of four."))
        if self.far_server is not None:
            row_id = next(run.id for run in runs if run.device_id == self.far_server)
            found.append(("far server", row_id, "One phone was tested against a far server."))
        if self.wild_jitter is not None:
            row_id = next(run.id for run in runs if run.jitter_ms == self.jitter_ms)
            found.append(("wild jitter", row_id, "One run shows a jitter out of all proportion."))
        if self.blocked is not None:
            row_id = next(
                row.id for row in rows if isinstance(row, Sighting) and row.view is View.BLOCKED
            )
            name = next(site.name for site in sites if site.id == self.blocked)
            found.append(("blocked stop", row_id, f"A house hides {name}."))
        found += _from_unlisted(readings, sites, truth)
        return [
            Trouble(kind=kind, visit=truth.visit, stop_number=stop.number, row_id=row_id, text=text)
            for kind, row_id, text in found
        ]


def _from_unlisted(
    readings: dict[str, Reading], sites: Sequence[TrueSite], truth: TrueStop
) -> list[tuple[str, str, str]]:
    names = {site.id: site.name for site in sites}
    return [
        (
            "unlisted site",
            readings[served.device_id].id,
            f"{names[served.site_id]} serves and is not in the notebook.",
        )
        for served in truth.serving
        if served.leg == NR_LEG and not served.listed
    ]
