"""The legend: each sign of the plan drawn by what draws the plan, and what it stands for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np

from surveyapp.model import (
    FurnitureKind,
    Photo,
    Sector,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    Stop,
    View,
)
from surveyapp.ui.plan.findings import CheckedPlace, Finding, FindingLine, LineKind, StandMark
from surveyapp.ui.plan.ground_shapes import GroundShapes, StreetClass
from surveyapp.ui.plan.laying_out import ellipse
from surveyapp.ui.plan.levels import LOWEST_DBM, STEP_DB
from surveyapp.ui.plan.marks import (
    FixMark,
    PhotoMark,
    Place,
    PlanMarks,
    RayMark,
    SiteMark,
)
from surveyapp.ui.plan.stop_marks import StopMarks

MIDDLE = Place(0.0, 0.0)
NEVER = datetime(2000, 1, 1, tzinfo=UTC)
LEVELS_SHOWN = (-110.0, -90.0, -70.0)


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign: what is drawn, one pixel to the metre at one pixel a dp, and its words."""

    text: str
    marks: PlanMarks = field(default_factory=PlanMarks)
    finding: Finding = field(default_factory=Finding)
    ground: GroundShapes | None = None
    current_stop_id: str = ""
    tall: bool = False


@dataclass(frozen=True, slots=True)
class Layer:
    """A part of the drawing that can be switched on and off; '' cannot."""

    name: str
    title: str
    signs: tuple[Sign, ...]


def legend(hatches: Mapping[str, int], *, pictured: bool = False) -> tuple[Layer, ...]:
    """Every layer with its signs; operators as they are hatched in this notebook."""
    picture = (Layer("picture", "Your picture of the ground", ()),) if pictured else ()
    return (
        *picture,
        Layer("", "Sites", (*_site_signs(), *_operator_signs(hatches))),
        Layer("", "Stops", _stop_signs()),
        Layer("levels", "Readings", _level_signs()),
        Layer("sightings", "Sightings", _sighting_signs()),
        Layer("photos", "Photos", (_photo_sign(),)),
        Layer("", "Worked out", _finding_signs()),
        Layer("buildings", "Buildings", (_building_sign(),)),
        Layer("furniture", "Lamps, signals, poles, trees", _furniture_signs()),
        Layer("names", "Street names", ()),
    )


def _site_signs() -> tuple[Sign, ...]:
    told = {
        SiteStatus.LIVE: "Site on air",
        SiteStatus.SEEN: "Site seen, not yet known to be on air",
        SiteStatus.LEAD: "Lead: a site to look for",
        SiteStatus.DARK: "Site that is silent",
        SiteStatus.GONE: "Site that was taken down",
    }
    landmark = SiteMark(Site(name="", kind=SiteKind.LANDMARK), MIDDLE)
    return (
        *(
            Sign(text, PlanMarks(sites=(SiteMark(Site(name="", status=status), MIDDLE),)))
            for status, text in told.items()
        ),
        Sign("Landmark: no site, to check a compass against", PlanMarks(sites=(landmark,))),
    )


def _operator_signs(hatches: Mapping[str, int]) -> tuple[Sign, ...]:
    below = Place(0.0, -24.0)
    panel = Sector(site_id="", azimuth_deg=0.0, beamwidth_deg=65.0)
    made = []
    for operator in (*hatches, ""):
        site = Site(name="", operator=operator, status=SiteStatus.LIVE)
        marks = PlanMarks(sites=(SiteMark(site, below, (panel,)),), hatches=hatches)
        text = f"Panel of {operator}" if operator else "Panel of an operator not told"
        made.append(Sign(f"{text}: its boresight and the width of its beam", marks, tall=True))
    return tuple(made)


def _stop(number: int) -> Stop:
    return Stop(id=f"stop {number}", survey_id="", number=number, time_utc=NEVER)


def _stop_signs() -> tuple[Sign, ...]:
    here = _stop(7)
    alone, stacked = StopMarks.at([here], MIDDLE), StopMarks.at([_stop(6), here], MIDDLE)
    return (
        Sign("Stop, with its number", PlanMarks(stops=alone)),
        Sign("The stop where you are", PlanMarks(stops=alone), current_stop_id=here.id),
        Sign("Several stops, the latest on top: tap for a list", PlanMarks(stops=stacked)),
    )


def _level_signs() -> tuple[Sign, ...]:
    made = []
    for level in LEVELS_SHOWN:
        marks = PlanMarks(stops=StopMarks.at([_stop(7)], Place(0.0, 14.0), level))
        told = f"RSRP {level:.0f} dBm, the middle of a stop's readings"
        made.append(Sign(told.replace("-", "\N{MINUS SIGN}"), marks, tall=True))
    steps = f"Colour goes by steps of {STEP_DB:.0f} dB from {LOWEST_DBM:.1f} dBm, dark is weak"
    return (*made, Sign(steps.replace("-", "\N{MINUS SIGN}")))


def _sighting_signs() -> tuple[Sign, ...]:
    left, right = Place(-24.0, 0.0), Place(24.0, 0.0)

    def ray(view: View, known: bool = True) -> PlanMarks:
        sighting = Sighting(stop_id="", site_id="", bearing_deg=90.0, view=view)
        return PlanMarks(rays=(RayMark(sighting, "", left, right, known),))

    ring = ellipse(MIDDLE, 22.0, 11.0, 60.0)
    fix = FixMark(Site(name=""), MIDDLE, ring, 22.0, 11.0)
    return (
        Sign("Sighting with a clear view", ray(View.CLEAR)),
        Sign("Sighting past an obstacle", ray(View.PARTLY)),
        Sign("Bearing to a place not known yet", ray(View.CLEAR, known=False)),
        Sign(
            "Where sightings meet; 95 in 100 such ellipses hold the site", PlanMarks(fixes=(fix,))
        ),
    )


def _photo_sign() -> Sign:
    photo = PhotoMark(Photo(survey_id="", file=""), Place(-12.0, 0.0), 90.0)
    return Sign("Photo, and the way it looks", PlanMarks(photos=(photo,)))


def _finding_signs() -> tuple[Sign, ...]:
    across = np.array([(-26.0, 0.0), (26.0, 0.0)])
    told = {
        LineKind.LIKELY: "Modelled: 90 in 100 chance of cover within",
        LineKind.EVEN: "Modelled: 50 in 100",
        LineKind.UNLIKELY: "Modelled: 10 in 100",
        LineKind.WAY: "Way on foot",
        LineKind.GAP: "Gap in the cover along the way",
    }
    lines = [
        Sign(text, finding=Finding(lines=(FindingLine(kind, across),)))
        for kind, text in told.items()
    ]
    broken = Finding(lines=(FindingLine(LineKind.EVEN, across, broken=True),))
    lines.append(Sign("Broken: modelled farther out than any reading", finding=broken))
    rings = [
        Sign(text, finding=Finding(checked=(CheckedPlace(MIDDLE, covered),)))
        for covered, text in (
            (True, "Measured: the level was reached here"),
            (False, "Measured: the level was not reached here"),
        )
    ]
    stand = Finding(stands=(StandMark("A", "", (), MIDDLE, 0.0, 0.0),))
    return (Sign("A place proposed to stand at", finding=stand), *lines, *rings)


def _building_sign() -> Sign:
    ring = np.array([(-22, -12), (22, -12), (22, 12), (-22, 12), (-22, -12)], float)
    return Sign("Building", ground=GroundShapes(buildings=((ring,),)))


def _furniture_signs() -> tuple[Sign, ...]:
    told: Sequence[tuple[FurnitureKind, str]] = (
        (FurnitureKind.LAMP, "Street lamp"),
        (FurnitureKind.SIGNAL, "Traffic signal"),
        (FurnitureKind.POLE, "Pole"),
        (FurnitureKind.TREE, "Tree"),
    )
    at = np.array([MIDDLE])
    path = StreetClass(1.5, np.array([(-26.0, 0.0)]), np.array([(26.0, 0.0)]))
    return (
        *(Sign(text, ground=GroundShapes(furniture={kind: at})) for kind, text in told),
        Sign("Footway or cycleway", ground=GroundShapes(paths=path)),
    )
