"""`surveyapp fix`: where sightings from several stops meet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command, bearing, each, latitude, longitude, number
from surveyapp.commands.finding import find_site, open_notebook
from surveyapp.commands.output import answer, json_option, pairs, table
from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.model import Sighting, Stop

if TYPE_CHECKING:
    from surveyapp.geometry.sightings import Bearing, Fix
    from surveyapp.model import Site
    from surveyapp.store.notebook import Notebook

SHAPE = "LAT,LON,BEARING[,SIGMA]"


@click.command(cls=Command, short_help="Position of a site from sightings.")
@click.option(
    "--sighting", "sightings", multiple=True, metavar=SHAPE,
    help="A stop and the true bearing from it, in degrees; sigma 5 where none is given.",
)  # fmt: skip
@click.option("--notebook", type=click.Path(path_type=Path), metavar="FILE",
              help="Take the sightings of a site from this notebook instead.")  # fmt: skip
@click.option("--site", metavar="NAME", help="The site in the notebook.")
@json_option
def command(
    sightings: tuple[str, ...], notebook: Path | None, site: str | None, as_json: bool
) -> None:
    """Position of a site from two sightings or more, with its 95 % ellipse.

    Residuals are bearing seen less bearing to the fix; outliers, counted from 0, were left out.
    """
    _refuse_mixture(sightings, notebook, site)
    if notebook is not None and site is not None:
        with open_notebook(notebook) as opened:
            bearings, labels = _noted(opened, find_site(opened, site))
    else:
        bearings = each(_bearing, sightings)
        labels = [f"{one.lat_deg:.6f},{one.lon_deg:.6f}" for one in bearings]

    from surveyapp.geometry.sightings import fix

    found = fix(bearings)
    values = {
        "lat_deg": found.lat_deg,
        "lon_deg": found.lon_deg,
        "ellipse_major_m": found.ellipse_major_m,
        "ellipse_minor_m": found.ellipse_minor_m,
        "ellipse_azimuth_deg": found.ellipse_azimuth_deg,
        "residuals_deg": list(found.residuals_deg),
        "outliers": list(found.outliers),
    }
    answer(values, _lines(found, bearings, labels), as_json=as_json)


def _refuse_mixture(sightings: tuple[str, ...], notebook: Path | None, site: str | None) -> None:
    if sightings and (notebook is not None or site is not None):
        raise InvalidValue("--sighting cannot go with --notebook and --site.")
    if not sightings and (notebook is None or site is None):
        raise InvalidValue(
            f"Give --sighting {SHAPE} twice or more, or --notebook FILE with --site NAME."
        )


def _bearing(text: str, count: int) -> Bearing:
    from surveyapp.geometry.sightings import Bearing

    parts = text.split(",")
    where = f"Sighting {count}"
    if len(parts) not in (3, 4):
        raise InvalidValue(
            f"{where} '{text[:60]}' cannot be used: give {SHAPE}, such as 60.1699,24.9384,45,5.",
            value=text,
            allowed=SHAPE,
        )
    lat_deg, lon_deg = latitude(parts[0], where), longitude(parts[1], where)
    bearing_deg = bearing(parts[2], f"{where}: the bearing")
    if len(parts) == 3:
        return Bearing(lat_deg, lon_deg, bearing_deg)
    sigma_deg = number(parts[3], f"{where}: the sigma", 0.01, 60.0, "degrees")
    return Bearing(lat_deg, lon_deg, bearing_deg, sigma_deg=sigma_deg)


def _noted(notebook: Notebook, site: Site) -> tuple[list[Bearing], list[str]]:
    """The site's sightings that hold a bearing, from stops that have a position."""
    from surveyapp.analysis.site_sightings import bearings_of

    stops = {stop.id: stop for stop in notebook.all(Stop)}
    found = bearings_of(notebook.all(Sighting, site_id=site.id), stops)
    if not found:
        raise NoAnswer(f"No stop holds a bearing to {site.name}: sight it from two stops.")
    sighted_from = [stops[sighting.stop_id] for sighting, _ in found]
    labels = [f"stop {stop.number}, {stop.time_utc:%Y-%m-%d}" for stop in sighted_from]
    return [bearing for _, bearing in found], labels


def _lines(found: Fix, bearings: list[Bearing], labels: list[str]) -> list[str]:
    position = pairs(
        [
            ("position", f"{found.lat_deg:.6f},{found.lon_deg:.6f}"),
            ("95 % ellipse", f"{found.ellipse_major_m:.1f} m by {found.ellipse_minor_m:.1f} m"),
            ("its long axis", f"{found.ellipse_azimuth_deg:.0f} deg from north"),
        ]
    )
    rows = [
        (
            label,
            f"{one.bearing_deg:.1f} deg",
            f"{residual_deg:+.1f} deg",
            "outlier, left out" if index in found.outliers else "",
        )
        for index, (label, one, residual_deg) in enumerate(
            zip(labels, bearings, found.residuals_deg, strict=True)
        )
    ]
    return [*position, "", *table(("sighting", "bearing", "residual", ""), rows), *found.remarks]
