"""What the notebook knows, laid out in the plane: the marks of the plan and nothing of ink."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from surveyapp.model import Photo, Sector, Sighting, Site, View
from surveyapp.ui.plan.stop_marks import Place, StopMark, StopMarks

FloatArray = NDArray[np.float64]

TWO_DIMENSIONS_95 = 2.4477  # square root of 5.991, chi-square with 2 degrees of freedom at 95 %
DEFAULT_BEAMWIDTH_DEG = 65.0  # TR 38.901 table 7.3-1


@dataclass(frozen=True, slots=True)
class SiteMark:
    """A site where it stands, with those of its sectors whose azimuth is known."""

    site: Site
    at: Place
    sectors: tuple[Sector, ...] = ()

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.site.id


@dataclass(frozen=True, slots=True)
class RayMark:
    """A sighting as a line from its stop; `ends_somewhere` is False for a bare bearing."""

    sighting: Sighting
    site_name: str
    start: Place
    end: Place
    ends_somewhere: bool

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.sighting.id


@dataclass(frozen=True, slots=True)
class FixMark:
    """What the sightings of a site say together: a place and its 95 % ellipse, as a ring."""

    site: Site
    at: Place
    ring_m: FloatArray
    major_m: float
    minor_m: float

    @property
    def sigma_m(self) -> float:
        """One standard deviation along the long axis, of the 95 % that the ring holds."""
        return self.major_m / TWO_DIMENSIONS_95

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.site.id


@dataclass(frozen=True, slots=True)
class PhotoMark:
    """A photo where it was taken; `direction_deg` is None where it is not known to be true."""

    photo: Photo
    at: Place
    direction_deg: float | None

    @property
    def row_id(self) -> str:
        """The row it stands for."""
        return self.photo.id


Mark = SiteMark | StopMark | RayMark | FixMark | PhotoMark


@dataclass(frozen=True, slots=True)
class PlanMarks:
    """Everything to be drawn over the ground; a later list lies on top of an earlier one."""

    rays: tuple[RayMark, ...] = ()
    fixes: tuple[FixMark, ...] = ()
    photos: tuple[PhotoMark, ...] = ()
    stops: StopMarks = field(default_factory=StopMarks.none)
    sites: tuple[SiteMark, ...] = ()
    hatches: Mapping[str, int] = field(default_factory=dict)
    """Which hatch stands for an operator."""
    refusals: dict[str, str] = field(default_factory=dict)
    """Why the sightings of a site give no fix, by the site's id."""

    def points(self) -> tuple[SiteMark | PhotoMark | FixMark, ...]:
        """All that stands at one place but the stops, what matters most first."""
        return (*self.sites, *self.photos, *self.fixes)

    def named(self, kind: type[Mark], row_id: str) -> Mark | None:
        """The mark of this kind that stands for this row, if there is one."""
        if kind is StopMark:
            return self.stops.named(row_id)
        others = (mark for mark in (*self.points(), *self.rays) if type(mark) is kind)
        return next((mark for mark in others if mark.row_id == row_id), None)

    def box_m(self) -> tuple[float, float, float, float] | None:
        """(west, south, east, north) of all places, or None where there is none."""
        at_m = np.array([mark.at for mark in self.points()], float).reshape(-1, 2)
        at_m = np.concatenate([at_m, self.stops.at_m])
        if not len(at_m):
            return None
        west, south = at_m.min(axis=0).tolist()
        east, north = at_m.max(axis=0).tolist()
        return west, south, east, north


def boresight(sector: Sector) -> tuple[float, float] | None:
    """(azimuth_deg, beamwidth_deg) to draw, or None for a sector without an azimuth."""
    if sector.azimuth_deg is None:
        return None
    return sector.azimuth_deg, sector.beamwidth_deg or DEFAULT_BEAMWIDTH_DEG


def seen_clearly(ray: RayMark) -> bool:
    """Whether the ray is drawn through: nothing was said to stand in its way."""
    return ray.sighting.view in (None, View.CLEAR)
