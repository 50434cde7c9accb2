"""What the chips of a card do: each action by its name, with what was tapped or held."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import LatLon, PositionFrom, Sector, Sighting, Site, SiteKind, SiteStatus
from surveyapp.ui.entries.places import put_place
from surveyapp.ui.north import turned_to_true
from surveyapp.ui.plan.content import street_at
from surveyapp.ui.plan.marks import SiteMark, StopMark
from surveyapp.ui.session import Session

STAND_SIGMA_M = 5.0  # a place proposed on a street is met about so well; our estimate


@dataclass(frozen=True, slots=True)
class Target:
    """The mark a card tells of, or the place that was held, with how sure that tap is."""

    session: Session
    router: Any
    plane: Plane
    mark: Any = None
    at: LatLon | None = None
    sigma_m: float = 0.0
    asking: Any = None


def open_site(target: Target) -> None:
    """The page of the site."""
    target.router.push("site", site_id=target.mark.site.id)


def sight(target: Target) -> None:
    """A sighting of this site from the current stop."""
    target.session.need_stop()
    target.router.open_entry("sighting", site=target.mark.site.id)


def go_to_stop(target: Target) -> None:
    """Make the tapped stop the current one."""
    target.session.go_to_stop(target.mark.stop.id)


def bring_ground(target: Target) -> None:
    """The page where streets are brought in."""
    target.session.drop_pick()
    target.router.push("section", section="ground")


def go_to_place(target: Target) -> None:
    """The Stop place, where a position can be typed."""
    target.session.drop_pick()
    target.router.go("stop")


def open_sighting(target: Target) -> None:
    """The sheet of the sighting."""
    target.router.open_entry("sighting", target.mark.sighting.id)


def open_photo(target: Target) -> None:
    """The sheet of the photo."""
    target.router.open_entry("photo", target.mark.photo.id)


def take_fix(target: Target) -> None:
    """Keep the fix of the sightings as the place of its site."""
    site: Site = target.mark.site
    lat_deg, lon_deg = target.plane.to_world(*target.mark.at)
    placed = replace(
        site,
        lat_deg=float(lat_deg),
        lon_deg=float(lon_deg),
        position_sigma_m=target.mark.sigma_m,
        position_from=PositionFrom.SIGHTINGS,
    )
    target.session.save(placed, what=f"place of {site.name}")


def new_site(target: Target) -> None:
    """A new site at the place held."""
    _open_new_site(target, SiteStatus.SEEN)


def new_lead(target: Target) -> None:
    """A place to look for a site."""
    _open_new_site(target, SiteStatus.LEAD)


def new_landmark(target: Target) -> None:
    """Something seen from afar, to check a compass against; its name can be changed later."""
    assert target.at is not None
    session, kind = target.session, SiteKind.LANDMARK
    count = sum(site.kind is kind for site in session.sites)
    landmark = Site(
        name=f"Landmark {count + 1}",
        kind=kind,
        status=SiteStatus.SEEN,
        lat_deg=target.at[0],
        lon_deg=target.at[1],
        position_sigma_m=target.sigma_m,
        position_from=PositionFrom.PLAN,
    )
    session.save(landmark, what=f"place of {landmark.name}")
    session.said.fire(f"Placed {landmark.name}.", True)


def check_compass(target: Target) -> None:
    """Check a phone's compass against this landmark from the current stop."""
    target.session.need_stop()
    target.router.open_entry("compass_check", against=target.mark.site.id)


def gaps_along(target: Target) -> None:
    """Where cover breaks along the street that was held."""
    assert target.at is not None
    target.asking.gaps_along(street_at(target.session, *target.at), target.at)


def stand_here(target: Target) -> None:
    """The current stop was at the place held; one is started where there is none."""
    assert target.at is not None
    target.session.set_position(*target.at, target.sigma_m, PositionFrom.PLAN)


def stand_at(target: Target) -> None:
    """A new stop at a proposed place."""
    mark = target.mark
    target.session.start_stop()
    target.session.set_position(
        mark.lat_deg, mark.lon_deg, max(target.sigma_m, STAND_SIGMA_M), PositionFrom.PLAN
    )


def tick_off(target: Target) -> None:
    """Say what was found where a lead is noted."""
    from surveyapp.ui.plan.tick_sheet import TickSheet

    target.router.open(
        TickSheet(session=target.session, router=target.router, lead=target.mark.site)
    )


def where_fix(target: Target) -> None:
    """Which place shrinks the fix of this site most."""
    target.asking.where_to_sight(target.mark.site)


def where_telling(target: Target) -> None:
    """Which place would settle what serves at this stop."""
    target.asking.what_would_settle(target.mark.stop)


def cover(target: Target) -> None:
    """How far one of this site's panels covers."""
    site = target.mark.site
    target.asking.choose_cover(site, target.session.notebook.all(Sector, site_id=site.id))


def moved(
    session: Session, mark: SiteMark | StopMark, at: LatLon, sigma_m: float, far_text: str
) -> None:
    """Keep the place to which a site or a stop was dragged, and offer to take it back."""
    placed: dict[str, Any] = {
        "lat_deg": at[0],
        "lon_deg": at[1],
        "position_sigma_m": sigma_m,
        "position_from": PositionFrom.PLAN,
    }
    rows: list[Any]
    if isinstance(mark, SiteMark):
        name, rows = mark.site.name, [replace(mark.site, **placed)]
    else:
        stop = replace(mark.stop, **placed)
        sightings = session.notebook.all(Sighting, stop_id=stop.id)
        name = f"stop {stop.number}"
        rows = [stop, *(turned_to_true(sighting, stop) for sighting in sightings)]
    session.save(*rows, what=f"place of {name}")
    session.said.fire(f"Moved {name} by {far_text}.", True)


def _open_new_site(target: Target, status: SiteStatus) -> None:
    assert target.at is not None
    sheet = target.router.open_entry("site", status=status.value)
    sheet.put("status", status.value)
    put_place(sheet, *target.at, target.sigma_m)


ACTIONS: dict[str, Callable[[Target], None]] = {
    action.__name__: action
    for action in (
        open_site, sight, go_to_stop, bring_ground, go_to_place, open_sighting, open_photo,
        take_fix, new_site, new_lead, new_landmark, check_compass, gaps_along, stand_here,
        stand_at, tick_off, where_fix, where_telling, cover,
    )
}  # fmt: skip
