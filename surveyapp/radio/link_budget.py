"""The way from a sector's EIRP to the RSRP a phone reads, term by term."""

from __future__ import annotations

import math
from dataclasses import dataclass

from surveyapp.radio.arrays import number
from surveyapp.radio.gas import gas_loss_db
from surveyapp.radio.penetration import Shell, penetration_db, penetration_sigma_db
from surveyapp.radio.propagation import Scenario, free_space_db, path_loss_db, shadow_sigma_db
from surveyapp.radio.rain import rain_loss_db
from surveyapp.radio.resource_grid import eirp_per_resource_element_dbm
from surveyapp.radio.vegetation import foliage_db

EIRP, PATTERN = "EIRP of the carrier", "panel's pattern"


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

    `eirp_dbm` is the whole carrier's at the peak of the beam, `subcarriers` those that share
    it (12 for each resource block), `pattern_db` the panel's gain towards the phone against
    its peak (0 or less), `blocked` the chance, 0 to 1, that something stands in the line of
    sight: that share of what a blocking takes is counted. `body_db` is the loss by hand and
    body, None for the usual one; `air` whether the gases are counted.
    """

    eirp_dbm: float
    subcarriers: float
    mhz: float
    distance_2d_m: float
    blocked: float = 0.0
    pattern_db: float = 0.0
    scenario: Scenario = Scenario.UMI
    base_height_m: float = 10.0
    user_height_m: float = 1.5
    rain_mm_h: float = 0.0
    foliage_m: float = 0.0
    shell: Shell = Shell.OUTDOORS
    indoor_depth_m: float = 0.0
    body_db: float | None = None
    air: bool = True


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
    share = eirp_per_resource_element_dbm(link.eirp_dbm, link.subcarriers) - link.eirp_dbm
    seen_db, hidden_db = _street_loss_db(link)
    terms = [
        Term(EIRP, float(link.eirp_dbm), "at the peak of the beam"),
        Term("one of its subcarriers", share, f"{link.subcarriers:.0f} share the power evenly"),
        Term(PATTERN, pattern, "TR 38.901 table 7.3-1, off boresight"),
        *_street_terms(link, seen_db, hidden_db),
        *_obstacle_terms(link),
    ]
    if body:
        why = "common practice" if link.body_db is None else "as given"
        terms.append(Term("hand and body", -body, why))
    return LinkBudget(
        terms=tuple(terms),
        rsrp_dbm=math.fsum(term.db for term in terms),
        sigma_db=_sigma_db(link, hidden_db - seen_db),
    )


def _sigma_db(link: Link, blocking_db: float) -> float:
    """Shadow fading, whether it is blocked at all, and the walls."""
    free, hidden = (float(shadow_sigma_db(link.scenario, los)) for los in (True, False))
    either = (1.0 - link.blocked) * free**2 + link.blocked * hidden**2
    unsure = link.blocked * (1.0 - link.blocked) * blocking_db**2
    return math.sqrt(either + unsure + penetration_sigma_db(link.shell) ** 2)


def _slant_m(link: Link) -> float:
    """Distance between the antennas, at least 1 m as in `propagation`."""
    return max(math.hypot(link.distance_2d_m, link.base_height_m - link.user_height_m), 1.0)


def _street_loss_db(link: Link) -> tuple[float, float]:
    """Loss of the street with and without line of sight."""
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
    return seen, hidden


def _street_terms(link: Link, seen_db: float, hidden_db: float) -> list[Term]:
    """Free space, then what the street and a blocking add to it."""
    slant = _slant_m(link)
    free = float(free_space_db(slant, link.mhz))
    terms = [
        Term("free space", -free, f"ITU-R P.525, {slant:.0f} m"),
        Term("street", free - seen_db, f"TR 38.901, {link.scenario}, in sight"),
    ]
    blocked = number(link.blocked, 0.0, 1.0, "chance of a blocked line", "")
    taken = hidden_db - seen_db
    if blocked == 1.0:
        terms.append(Term("blocked line of sight", -taken, "TR 38.901, without sight"))
    elif blocked:
        why = f"TR 38.901, {taken:.0f} dB if so, counted at {blocked:.0%}"
        terms.append(Term("blocked line of sight", -blocked * taken, why))
    return terms


def _obstacle_terms(link: Link) -> list[Term]:
    """Air, rain, leaves and walls, where they are there."""
    slant = _slant_m(link)
    terms = []
    air = float(gas_loss_db(slant, link.mhz)) if link.air else 0.0
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
