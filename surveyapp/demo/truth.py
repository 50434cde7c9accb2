"""What is really so on the demo's invented streets, kept apart from what the notebook says."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from surveyapp.errors import FormatError
from surveyapp.model import Rat, SectorCarrier

NR_LEG = "5G leg"
LTE_LEG = "LTE leg"


@dataclass(frozen=True, kw_only=True, slots=True)
class TrueSector:
    """One panel as it really hangs; `eirp_dbm` of one whole carrier at the peak of the beam."""

    id: str
    site_id: str
    label: str
    azimuth_deg: float
    beamwidth_deg: float
    downtilt_deg: float
    eirp_dbm: float
    pci: int
    mhz: float
    carrier: SectorCarrier


@dataclass(frozen=True, kw_only=True, slots=True)
class TrueSite:
    """An installation as it really stands; unlisted ones are missing from the notebook."""

    id: str
    name: str
    kind: str
    lat_deg: float
    lon_deg: float
    height_m: float
    listed: bool
    sectors: tuple[TrueSector, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class TruePath:
    """How one sector truly arrives at one stop, before a phone's own offset."""

    sector_id: str
    clear: bool
    rsrp_dbm: float
    sinr_db: float
    rsrq_db: float


@dataclass(frozen=True, kw_only=True, slots=True)
class TrueServing:
    """The sector that truly carries one leg of one phone at one stop."""

    device_id: str
    leg: str
    sector_id: str
    site_id: str
    listed: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class TrueStop:
    """Where the surveyor really stood, and what served there."""

    id: str
    visit: int
    number: int
    lat_deg: float
    lon_deg: float
    paths: tuple[TruePath, ...]
    serving: tuple[TrueServing, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """Something planted so that the notebook can be tried on it; `row_id` is where it shows."""

    kind: str
    visit: int
    stop_number: int | None
    row_id: str
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Truth:
    """All of it; `phone_offsets_db` is what each device adds to every RSRP it reports."""

    seed: int
    sites: tuple[TrueSite, ...]
    stops: tuple[TrueStop, ...]
    phone_offsets_db: dict[str, float]
    troubles: tuple[Trouble, ...] = ()
    caution: str = field(
        default="Invented: no such operator, node or phone exists, and none of it was measured."
    )

    def serving(self, stop_id: str, device_id: str, leg: str) -> TrueServing | None:
        """Which sector carries this leg of this phone at this stop; None where none does."""
        for stop in self.stops:
            for served in stop.serving if stop.id == stop_id else ():
                if served.device_id == device_id and served.leg == leg:
                    return served
        return None


def keep_truth(truth: Truth, path: Path) -> None:
    """Write the truth as JSON beside the notebook."""
    path.write_text(json.dumps(asdict(truth), indent=1) + "\n", encoding="utf-8")


def read_truth(path: Path) -> Truth:
    """The truth kept at `path`; FormatError where the file is not one of ours."""
    try:
        return _truth(json.loads(path.read_text(encoding="utf-8")))
    except (KeyError, TypeError, ValueError) as error:
        raise FormatError(
            f"{path} does not hold the truth of a demo: write the demo again into a new folder.",
            path=str(path),
        ) from error


def _truth(raw: dict[str, Any]) -> Truth:
    return Truth(
        seed=raw["seed"],
        sites=tuple(_site(site) for site in raw["sites"]),
        stops=tuple(_stop(stop) for stop in raw["stops"]),
        phone_offsets_db=raw["phone_offsets_db"],
        troubles=tuple(Trouble(**trouble) for trouble in raw["troubles"]),
        caution=raw["caution"],
    )


def _site(raw: dict[str, Any]) -> TrueSite:
    sectors = (
        TrueSector(**{**sector, "carrier": _carrier(sector["carrier"])})
        for sector in raw["sectors"]
    )
    return TrueSite(**{**raw, "sectors": tuple(sectors)})


def _carrier(raw: dict[str, Any]) -> SectorCarrier:
    return SectorCarrier(**{**raw, "rat": Rat(raw["rat"])})


def _stop(raw: dict[str, Any]) -> TrueStop:
    return TrueStop(
        **{
            **raw,
            "paths": tuple(TruePath(**path) for path in raw["paths"]),
            "serving": tuple(TrueServing(**served) for served in raw["serving"]),
        }
    )
