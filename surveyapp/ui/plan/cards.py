"""What the plan says about a mark or a place: a title, a few lines, and what can be done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from surveyapp.geometry.geodesy import inverse, normalise_azimuth_deg
from surveyapp.model import LatLon, PositionFrom, Site, SiteKind, SiteStatus, Stop
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.plan.findings import StandMark
from surveyapp.ui.plan.levels import Level
from surveyapp.ui.plan.marks import FixMark, Mark, PhotoMark, RayMark, SiteMark, StopMark
from surveyapp.ui.words import (
    clock_text,
    degrees,
    joined,
    number,
    position_from_text,
    sighting_text,
)

SURE_PX = 6.0  # dp, how far from its mark a fingertip comes down; our estimate
SUREST_M = 2.0  # no tap on a plan is better: the ground itself is drawn no finer


@dataclass(frozen=True, slots=True)
class Card:
    """A title with its icon, lines below it, and actions as chips."""

    icon: str
    title: str
    lines: tuple[str, ...] = ()
    actions: tuple[Choice, ...] = ()


def card_of(
    found: Sequence[Mark | StandMark],
    stop: Stop | None,
    time_zone: str,
) -> Card:
    """The card of the first of the marks found, told from the current stop."""
    card = one_card(found[0], stop, time_zone)
    if len(found) == 1:
        return card
    more = Choice(value="list_here", label=f"List of {len(found)} here", icon="day")
    return replace(card, actions=(more, *card.actions))


HINT = Card("question", "Tap to see, hold to place")
FOLLOW_HINT = Card("locate", "The plan follows the stop where you are")
PICK_HINT = Card("position", "Drag and pinch to find it, then tap")
BLANK = Card(
    "plan",
    "Nothing to draw yet",
    (
        "The plan shows the streets of your area with your stops and sites on them. Bring in "
        "streets from a file, or type a position at Stop; then a tap or a hold here places things.",
    ),
    (
        Choice(value="bring_ground", label="Bring in streets", icon="ground"),
        Choice(value="go_to_place", label="Go to Stop", icon="stop"),
    ),
)


def place_card(
    lat_deg: float, lon_deg: float, stop: Stop | None, place_text: str = "", street: str = ""
) -> Card:
    """The card of a place that was held: what can be put there, what asked of its street."""
    actions = [
        Choice(value="new_site", label="New site here", icon="site"),
        Choice(value="new_lead", label="New lead here", icon="question"),
        Choice(value="new_landmark", label="Landmark for a compass check", icon="heading"),
    ]
    if street:
        actions.append(Choice(value="gaps_along", label=f"Gaps along {street}", icon="measure"))
    if stop is None:
        actions.insert(0, Choice(value="stand_here", label="I stand here", icon="stop"))
    else:
        label = f"Stop {stop.number} was here"
        actions.insert(0, Choice(value="stand_here", label=label, icon="stop"))
    place = f"{number(lat_deg, 5)}, {number(lon_deg, 5)}"
    lines = (place_text, place, from_stop_text(lat_deg, lon_deg, stop))
    return Card("position", "This place", _said(*lines), tuple(actions))


@dataclass(frozen=True, slots=True)
class End:
    """One end of a measurement: where it is, and the stop or site it lies on."""

    at_deg: LatLon
    name: str = "the place tapped"

    @classmethod
    def on(cls, marks: Sequence[Mark | StandMark], at_deg: LatLon) -> End:
        """The first stop or site among marks with a place of its own, else the place itself."""
        for mark in marks:
            if isinstance(mark, SiteMark | StopMark):
                row = mark.site if isinstance(mark, SiteMark) else mark.stop
                name = row.name if isinstance(row, Site) else f"stop {row.number}"
                if row.lat_deg is not None and row.lon_deg is not None:
                    return cls((row.lat_deg, row.lon_deg), name)
        return cls(at_deg)


def measure_card(
    first: End | None = None, second: End | None = None, declination_deg: float | None = None
) -> Card:
    """The card of a measurement between two ends, bearings also as a compass reads them."""
    if first is None:
        return Card("measure", "Measure", ("Tap where to measure from.",))
    if second is None:
        return Card("measure", "Measure", (f"From {first.name}: tap where to measure to.",))
    line = inverse(*first.at_deg, *second.at_deg)

    def bearing(true_deg: float) -> str:
        told = f"{degrees(true_deg)} true"
        if declination_deg is None:
            return told
        return f"{told} ({degrees(normalise_azimuth_deg(true_deg - declination_deg))} magnetic)"

    said = (
        f"From {first.name} to {second.name}",
        f"{length_text(line.distance_m)}, {bearing(line.azimuth_deg)}",
        f"and back {bearing(line.back_azimuth_deg)}",
    )
    return Card("measure", "Measure", said)


def from_stop_text(lat_deg: float, lon_deg: float, stop: Stop | None) -> str:
    """'84 m at 32° true from stop 7'; '' where no stop has a position."""
    if stop is None or stop.lat_deg is None or stop.lon_deg is None:
        return ""
    line = inverse(stop.lat_deg, stop.lon_deg, lat_deg, lon_deg)
    far = length_text(line.distance_m)
    return f"{far} at {degrees(line.azimuth_deg)} true from stop {stop.number}"


def site_text(site: Site) -> str:
    """'live · lamp post · its operator'."""
    return joined([str(site.status), str(site.kind), site.operator])


def length_text(length_m: float) -> str:
    """'84 m', '1.28 km'."""
    return f"{number(length_m, 0)} m" if length_m < 1000 else f"{number(length_m / 1000, 2)} km"


def tap_sigma_m(px_per_m: float, px_per_dp: float) -> float:
    """How far off a tapped place may be: a fingertip at this scale, and never under 2 m."""
    return max(SUREST_M, SURE_PX * px_per_dp / px_per_m)


def one_card(mark: Mark | StandMark, stop: Stop | None, time_zone: str) -> Card:
    """The card of one mark."""
    if isinstance(mark, StandMark):
        return _stand_card(mark, stop)
    if isinstance(mark, SiteMark):
        return _site_card(mark, stop)
    if isinstance(mark, StopMark):
        return _stop_card(mark, stop, time_zone)
    if isinstance(mark, RayMark):
        return _ray_card(mark)
    if isinstance(mark, FixMark):
        return _fix_card(mark)
    return _photo_card(mark, time_zone)


def _landmark_card(mark: SiteMark, stop: Stop | None) -> Card:
    site = mark.site
    here = from_stop_text(site.lat_deg, site.lon_deg, stop) if site.lat_deg is not None else ""
    actions = (
        Choice(value="check_compass", label="Check a compass against it", icon="heading"),
        Choice(value="open_site", label="Open", icon="site"),
        Choice(value="move", label="Move it", icon="position"),
    )
    return Card("heading", site.name, _said("landmark for a compass check", here), actions)


def _site_card(mark: SiteMark, stop: Stop | None) -> Card:
    site = mark.site
    if site.kind is SiteKind.LANDMARK:
        return _landmark_card(mark, stop)
    panels = ", ".join(degrees(sector.azimuth_deg) for sector in mark.sectors)
    own = (site.lat_deg, site.lon_deg) if site.lat_deg is not None else None
    lines = _said(
        site_text(site),
        f"Panels facing {panels}" if panels else "No panel with a direction yet",
        from_stop_text(*own, stop) if own else "Placed where its sightings meet",
    )
    actions = [Choice(value="open_site", label="Open", icon="site")]
    if own:
        actions.append(Choice(value="move", label="Move it", icon="position"))
    if site.status is SiteStatus.LEAD:
        actions.append(Choice(value="tick_off", label="Tick it off", icon="done"))
    actions.append(Choice(value="sight", label="Sight it from here", icon="sighting"))
    if own:
        actions.append(Choice(value="cover", label="Cover", icon="reading"))
    actions.append(Choice(value="where_fix", label="Where to sight it from", icon="locate"))
    if own:
        actions.append(Choice(value="gaps", label="Gaps to a site", icon="measure"))
    return Card("site", site.name, lines, tuple(actions))


def _stop_card(mark: StopMark, stop: Stop | None, time_zone: str) -> Card:
    here = mark.stop
    is_current = stop is not None and here.id == stop.id
    sigma_m = here.position_sigma_m
    lines = _said(
        here.place_text,
        joined([
            clock_text(here.time_utc, time_zone),
            f"± {number(sigma_m, 0)} m" if sigma_m is not None else "",
            position_from_text(here.position_from or PositionFrom.TYPED),
        ]),
        _level_text(mark.level) if mark.level else "",
        "You are at this stop." if is_current else "",
    )  # fmt: skip
    actions = (
        *(
            ()
            if is_current
            else (Choice(value="go_to_stop", label="Go to this stop", icon="stop"),)
        ),
        Choice(value="where_telling", label="What would settle it", icon="question"),
        Choice(value="move", label="Move it", icon="position"),
    )
    return Card("stop", f"Stop {here.number}", lines, actions)


def _level_text(level: Level) -> str:
    if level.readings == 1:
        return f"RSRP {level.text} dBm"
    return f"RSRP {level.text} dBm, the middle of {level.readings} readings"


def _stand_card(mark: StandMark, stop: Stop | None) -> Card:
    lines = _said(*mark.lines, from_stop_text(mark.lat_deg, mark.lon_deg, stop))
    stand = Choice(value="stand_at", label="I stand here now", icon="stop")
    return Card("locate", f"{mark.letter}: {mark.title}", lines, (stand,))


def _ray_card(mark: RayMark) -> Card:
    sighting = mark.sighting
    lines = _said(f"{degrees(sighting.bearing_deg)} true", sighting_text(sighting))
    actions = (Choice(value="open_sighting", label="Open", icon="sighting"),)
    return Card("sighting", f"Sighting of {mark.site_name or 'a site'}", lines, actions)


def _fix_card(mark: FixMark) -> Card:
    size = f"± {number(mark.major_m, 0)} m by ± {number(mark.minor_m, 0)} m, 95 %"
    actions = [
        Choice(value="open_site", label="Open the site", icon="site"),
        Choice(value="where_fix", label="Where to sight it from", icon="locate"),
    ]
    if mark.site.lat_deg is None:
        actions.append(Choice(value="take_fix", label="Place the site here", icon="position"))
    return Card("sighting", f"Fix of {mark.site.name}", (size,), tuple(actions))


def _photo_card(mark: PhotoMark, time_zone: str) -> Card:
    photo = mark.photo
    lines = _said(
        photo.caption,
        clock_text(photo.time_utc, time_zone) if photo.time_utc else "",
        f"looks {degrees(mark.direction_deg)} true" if mark.direction_deg is not None else "",
    )
    return Card("photo", "Photo", lines, (Choice(value="open_photo", label="Open", icon="photo"),))


def _said(*lines: str) -> tuple[str, ...]:
    return tuple(line for line in lines if line)
