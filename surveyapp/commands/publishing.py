"""What a command hides before anything leaves the notebook: its options, and what they mean."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

from surveyapp.commands.arguments import each, latitude, longitude, number
from surveyapp.errors import InvalidValue
from surveyapp.model import new_id

if TYPE_CHECKING:
    from surveyapp.exchange.privacy import HomePlace, Privacy
    from surveyapp.store.notebook import Notebook

Function = TypeVar("Function", bound=Callable[..., Any])

FARTHEST_M = 20_000.0
KEPT = ("devices", "times", "places", "pictures")


def hiding_options(kept: Sequence[str] = KEPT) -> Callable[[Function], Function]:
    """Add `--home`, `--blur-home`, `--keep` and `--everything`; `kept` may be kept.

    They arrive as `homes`, `blur_home`, `keep` and `everything`, for `privacy_of`.
    """
    options = (
        click.option("--home", "homes", multiple=True, metavar="LAT,LON[,RADIUS_M]",
                     help="Leave out what lies near this place (300 m); may be given again."),
        click.option("--blur-home", is_flag=True, help="Move it to a grid of 1 km instead."),
        click.option("--keep", multiple=True, type=click.Choice(kept),
                     help="Do not hide this; may be given again."),
        click.option("--everything", is_flag=True,
                     help="Hide nothing: a copy for your own use."),
    )  # fmt: skip

    def added(function: Function) -> Function:
        for option in reversed(options):
            function = option(function)
        return function

    return added


def privacy_of(
    homes: Sequence[str], blur_home: bool, keep: Sequence[str], everything: bool
) -> Privacy:
    """What the options ask for; raises InvalidValue for what does not go together."""
    from surveyapp.exchange.privacy import NOTHING, NearHome, Privacy

    if everything and (homes or keep or blur_home):
        raise InvalidValue("--everything hides nothing: leave out --home, --blur-home and --keep.")
    if blur_home and not homes:
        raise InvalidValue("--blur-home needs the place: give --home LAT,LON too.")
    if everything:
        return NOTHING
    safe = Privacy()
    return Privacy(
        home_places=tuple(each(_home, homes)),
        near_home=NearHome.BLUR if blur_home else NearHome.CUT,
        picture_facts="pictures" not in keep,
        devices="devices" not in keep,
        exact_times="times" not in keep,
        grid_m=None if "places" in keep else safe.grid_m,
        salt=new_id(),
    )


def with_salt(privacy: Privacy, notebook: Notebook) -> Privacy:
    """The same with the notebook's own salt, so that a phone has one new id in all its copies."""
    return replace(privacy, salt=notebook.salt_of_copies()) if privacy.devices else privacy


def _home(text: str, count: int) -> HomePlace:
    from surveyapp.exchange.privacy import HomePlace

    where = f"Home place {count}"
    parts = text.split(",")
    if len(parts) not in (2, 3):
        raise InvalidValue(f"{where} '{text[:60]}' is no place: give LAT,LON or LAT,LON,RADIUS_M.")
    lat_deg, lon_deg = latitude(parts[0], where), longitude(parts[1], where)
    if len(parts) == 2:
        return HomePlace(lat_deg=lat_deg, lon_deg=lon_deg)
    radius_m = number(parts[2], f"{where}: the radius", 10.0, FARTHEST_M, "m")
    return HomePlace(lat_deg=lat_deg, lon_deg=lon_deg, radius_m=radius_m)
