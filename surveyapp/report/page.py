"""The survey told as one HTML page that needs nothing else: no script, no file, no network."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from surveyapp.model import CompassCheck, Device, Stop
from surveyapp.report.account import Account
from surveyapp.report.cover_figure import cover_caption, cover_figure, cover_told
from surveyapp.report.figures import comparison_figure, runs_figure
from surveyapp.report.finding_view import comparison_view, doubt_views, panel_range, unfitted
from surveyapp.report.look import DAY, NIGHT, font_faces, style_variables
from surveyapp.report.plan import Plan, lay_out
from surveyapp.report.plan_svg import describe, plan_svg
from surveyapp.report.site_view import site_views
from surveyapp.report.stop_view import stop_views
from surveyapp.report.told import day_facts
from surveyapp.report.words import capital, day_text, joined, number, unbroken, with_unit
from surveyapp.wording import zone_of

INVENTED = "Invented data"
_TURNS = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A)))
"""Marks that turn the direction of all that follows (Unicode Annex 9): no name may do that."""


@dataclass(frozen=True, kw_only=True)
class Figures:
    """What matplotlib draws for the page; None or empty where there is nothing to draw."""

    runs: Markup | None
    comparisons: tuple[Markup, ...]
    cover: Markup | None


LEFT_OUT = (
    "The figures of the downloads, of each comparison and of the cover are not on this page, "
    "because it was made where matplotlib is not installed; their values are in its words and "
    "tables."
)


def drawn_figures(account: Account, plan: Plan | None) -> Figures:
    """All drawn figures of the page."""
    title = account.record.survey.title
    has_map = plan is not None and account.cover.cover is not None
    return Figures(
        runs=_runs(account),
        comparisons=tuple(
            comparison_figure(held[0], f"pair-{count}", title) if held[0].pairs else Markup("")
            for count, held in enumerate(account.comparisons)
        ),
        cover=cover_figure(account.cover, plan) if has_map and plan else None,
    )


def report_page(account: Account, *, figures: bool = True) -> str:
    """The whole page, without `figures` one that does without matplotlib and says so.

    Raises MissingPackage where figures are wanted and matplotlib is not installed.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("surveyapp.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: unbroken(value) if type(value) is str else value,
    )
    page = environment.get_template("page.html.j2").render(page_values(account, figures))
    return page.translate(_TURNS)


def is_invented(account: Account) -> bool:
    """Whether the survey says of itself that it is invented."""
    survey = account.record.survey
    return "invented" in f"{survey.title} {survey.text}".casefold()


def page_values(account: Account, drawn: bool = True) -> dict[str, Any]:
    """All that the templates show."""
    record, plan = account.record, lay_out(account.record)
    invented = is_invented(account)
    sites, other_photos = site_views(account)
    none = Figures(runs=None, comparisons=(Markup(""),) * len(account.comparisons), cover=None)
    figures = drawn_figures(account, plan) if drawn else none
    return {
        "survey": record.survey,
        "day": survey_day(account),
        "head": _head(account),
        "invented": INVENTED if invented else "",
        "facts": day_facts(account),
        "left_out": "" if drawn else LEFT_OUT,
        "plan": plan_svg(plan, INVENTED if invented else "") if plan else None,
        "plan_told": describe(plan) if plan else "",
        "coarse": not record.exact_places,
        "has_rays": plan is not None and bool(plan.rays),
        "sites": sites,
        "other_photos": other_photos,
        "stops": stop_views(account),
        "runs_figure": figures.runs,
        "comparisons": [
            comparison_view(held, figure)
            for held, figure in zip(account.comparisons, figures.comparisons, strict=True)
        ],
        "cover": _cover(account, figures, plan),
        "doubts": doubt_views(account),
        "doubt_count": len(account.doubts),
        "compass_checks": _compass_checks(account),
        "hidden": record.hidden,
        "attribution": record.ground.attribution,
        "fonts": Markup(font_faces()),
        "day_colours": Markup(style_variables(DAY)),
        "night_colours": Markup(style_variables(NIGHT)),
    }


def survey_day(account: Account) -> str:
    """The survey's date in its own zone; '' without a stop."""
    times = [stop.time_utc for stop in account.record.of(Stop)]
    if not times:
        return ""
    return day_text(min(times).astimezone(zone_of(account.record.survey.time_zone)).date())


def _head(account: Account) -> list[tuple[str, str]]:
    """The table under the title."""
    record = account.record
    survey = record.survey
    phones = [
        joined([device.label, device.model, device.modem, device.operator])
        for device in record.of(Device)
        if any(device in scene.devices for scene in account.scenes)
    ]
    rain = f", {number(survey.rain_mm_h)} mm/h" if survey.rain_mm_h else ""
    rows = [
        ("Day", survey_day(account)),
        ("Place", survey.place_text),
        ("Weather", capital(f"{survey.weather}{rain}") if survey.weather else ""),
        ("Purpose", survey.purpose),
        *(("Phone", phone) for phone in phones),
        ("Times", survey.time_zone if record.exact_times else ""),
    ]
    return [row for row in rows if row[1]]


def _runs(account: Account) -> Markup | None:
    """The figure of all downloads, where there is one at least."""
    runs = [run for scene in account.scenes for run in scene.speed_runs]
    if not any(run.down_mbps for run in runs):
        return None
    used = {run.device_id for run in runs}
    devices = [device for device in account.record.of(Device) if device.id in used]
    expected = [
        (float(at), one.likely_mbps)
        for at, held in enumerate(account.expectations)
        for one in held.runs
        if one.likely_mbps
    ]
    return runs_figure(account.scenes, devices, expected)


def _cover(account: Account, figures: Figures, plan: Plan | None) -> dict[str, Any]:
    held = account.cover
    return {
        "figure": figures.cover,
        "caption": cover_caption(held, plan) if plan else "",
        "told": cover_told(held),
        "threshold": with_unit(held.threshold_dbm, "dBm", 0),
        "panels": [panel_range(one, one.fit) for one in held.panels if one.fit is not None],
        "unfitted": unfitted(held.panels),
        "ways": [(name, way.sentence) for name, way in held.ways],
        "why_not": held.why_not,
    }


def _compass_checks(account: Account) -> list[str]:
    labels = {device.id: device.label for device in account.record.of(Device)}
    return [
        f"{labels.get(check.device_id, 'A phone')}: {number(check.offset_deg)}° to be added"
        f"{f' ± {number(check.sigma_deg)}°' if check.sigma_deg is not None else ''}, checked "
        f"against {check.checked_against}"
        for check in account.record.of(CompassCheck)
    ]
