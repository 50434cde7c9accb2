"""The way from a sector's EIRP to the RSRP a phone reads, term by term."""

from __future__ import annotations

import math
from dataclasses import dataclass

from surveyapp.radio.arrays import number
from surveyapp.radio.gas import gas_loss_db
from surveyapp.radio.penetration import Shell, penetration_db, penetration_sigma_db
from surveyapp.radio.propagation import Scenario, free_space_db, path_loss_db, shadow_sigma_db
from surveyapp.radio.rain import rain_loss_db
from surveyapp.radio.resource_grid import SUBCARRIERS_PER_BLOCK, eirp_per_resource_element_dbm
from surveyapp.radio.vegetation import foliage_db


@dataclass(frozen=True, slots=True)
class Term:
    """One line of the budget: what it is, its decibels (losses negative), and why."""

    name: str
    db: float
    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LinkBudget:
    """All terms in order; they add up to `rsrp_dbm`, scattered by `sigma_db`."""

    terms: tuple[Term, ...]
    rsrp_dbm: float
    sigma_db: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Link:
    """What a link budget is made from.

    `eirp_dbm` is the whole carrier's at the peak of the beam, `blocks` its resource blocks,
    `pattern_db` the panel's gain towards the phone against its peak (0 or less), `los`
    whether the line of sight is free, `body_db` the loss by hand and body, None for the
    usual one.
    """

    eirp_dbm: float
    blocks: int
    mhz: float
    distance_2d_m: float
    los: bool
    pattern_db: float = 0.0
    scenario: Scenario = Scenario.UMI
    base_height_m: float = 10.0
    user_height_m: float = 1.5
    rain_mm_h: float = 0.0
    foliage_m: float = 0.0
    shell: Shell = Shell.OUTDOORS
    indoor_depth_m: float = 0.0
    body_db: float | None = None


def usual_body_db(mhz: float) -> float:
    """Loss by the hand and body of a surveyor who holds the phone in front.

    3 dB, and 6 dB above 24.25 GHz; common practice, no standard states it for this use.
    """
    return 6.0 if mhz >= 24_250.0 else 3.0


def link_budget(link: Link) -> LinkBudget:
    """The budget of a link, with every term and the standard deviation of the result.

    The loss of the street is split into free space, what the street adds in sight, and what
    the blocking adds. Terms of 0 dB for things that are not there are left out. Raises
    OutOfRange where a part of the link is outside what its model is valid for.
    """
    pattern = number(link.pattern_db, -60.0, 0.0, "gain against the peak", "dB")
    body = usual_body_db(link.mhz) if link.body_db is None else link.body_db
    body = number(body, 0.0, 40.0, "loss by hand and body", "dB")
    share = eirp_per_resource_element_dbm(link.eirp_dbm, link.blocks) - link.eirp_dbm
    subcarriers = SUBCARRIERS_PER_BLOCK * link.blocks
    terms = [
        Term("EIRP of the carrier", float(link.eirp_dbm), "at the peak of the beam"),
        Term("one of its subcarriers", share, f"{subcarriers} share the power evenly"),
        Term("panel's pattern", pattern, "TR 38.901 table 7.3-1, off boresight"),
        *_street_terms(link),
        *_obstacle_terms(link),
        Term("hand and body", -body, "common practice" if link.body_db is None else "as given"),
    ]
    sigma = math.hypot(
        float(shadow_sigma_db(link.scenario, link.los)), penetration_sigma_db(link.shell)
    )
    return LinkBudget(
        terms=tuple(terms), rsrp_dbm=math.fsum(term.db for term in terms), sigma_db=sigma
    )


def _slant_m(link: Link) -> float:
    """Distance between the antennas, at least 1 m as in `propagation`."""
    return max(math.hypot(link.distance_2d_m, link.base_height_m - link.user_height_m), 1.0)


def _street_terms(link: Link) -> list[Term]:
    """Free space, then what the street and a blocking add to it."""
    seen, hidden = (
        float(
            path_loss_db(
                link.scenario,
                link.distance_2d_m,
                link.mhz,
                los=los,
                base_height_m=link.base_height_m,
                user_height_m=link.user_height_m,
            )
        )
        for los in (True, False)
    )
    slant = _slant_m(link)
    free = float(free_space_db(slant, link.mhz))
    terms = [
        Term("free space", -free, f"ITU-R P.525, {slant:.0f} m"),
        Term("street", free - seen, f"TR 38.901, {link.scenario}, in sight"),
    ]
    if not link.los:
        terms.append(Term("blocked line of sight", seen - hidden, "TR 38.901, without sight"))
    return terms


def _obstacle_terms(link: Link) -> list[Term]:
    """Air, rain, leaves and walls, where they are there."""
    slant = _slant_m(link)
    terms = []
    air = float(gas_loss_db(slant, link.mhz))
    if air >= 0.05:
        terms.append(Term("air", -air, "ITU-R P.676"))
    if link.rain_mm_h:
        rain = float(rain_loss_db(slant, link.mhz, link.rain_mm_h))
        terms.append(Term("rain", -rain, f"ITU-R P.838-3, {link.rain_mm_h:g} mm/h"))
    if link.foliage_m:
        leaves = float(foliage_db(link.foliage_m, link.mhz))
        terms.append(Term("foliage", -leaves, f"Weissberger 1982, {link.foliage_m:g} m in leaf"))
    if link.shell is not Shell.OUTDOORS:
        wall = float(penetration_db(link.shell, link.mhz, indoor_depth_m=link.indoor_depth_m))
        terms.append(Term(str(link.shell), -wall, "TR 38.901 clause 7.4.3"))
    return terms
