"""From a notebook to what the report tells of one survey, with what is not to be published out.

Command and screens alike make their report here. No Kivy here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.model import Device, Ground, Row, Site, Stop, Survey

if TYPE_CHECKING:
    from surveyapp.analysis.phone_offset import PhoneOffset
    from surveyapp.exchange.privacy import Privacy
    from surveyapp.report.account import Account
    from surveyapp.store.notebook import Notebook

GROUND_BEYOND_M = 700.0  # houses and streets so far beyond the outermost site or stop matter
FARTHEST_M = 20_000.0

Tell = Callable[[str], object]  # hears what is being done now


def silent(_sentence: str) -> None:
    """Nobody waits to hear how far it is."""


def account_from(
    notebook: Notebook, survey: Survey, privacy: Privacy, cover_dbm: float | None = None
) -> Account:
    """All that the report tells of a survey.

    It is worked out from the rows as they were noted; shown is only what `privacy` leaves. What
    lies near a home place takes no part in either.
    """
    from surveyapp.exchange.content import Content
    from surveyapp.exchange.files import temporary_folder
    from surveyapp.exchange.privacy import hidden, told
    from surveyapp.report.account import COVER_DBM, account_of
    from surveyapp.report.record import record_of
    from surveyapp.ui.expected_now import ACCEPTED

    content = Content(rows=notebook.rows_of([survey.id]))
    bare = replace(privacy, picture_facts=False)  # the page makes every picture anew itself
    exact = replace(bare, exact_times=False, grid_m=None)
    with temporary_folder() as workspace:
        noted = hidden(content, exact, workspace).rows
        shown = hidden(content, bare, workspace).rows
    ground = _ground_around(notebook, noted)
    record = record_of(
        shown,
        ground=ground,
        pictures=_pictures(notebook, shown),
        hidden=told(replace(privacy, picture_facts=True)),
        exact_times=not privacy.exact_times,
        exact_places=privacy.grid_m is None,
    )
    return account_of(
        record,
        record_of(noted, ground=ground),
        cover_dbm or COVER_DBM,
        _offsets(notebook, privacy),
        notebook.setting(ACCEPTED, []),
    )


def _offsets(notebook: Notebook, privacy: Privacy) -> dict[str, PhoneOffset]:
    """The phones' own offsets as the screens know them, by the ids the phones have here."""
    from surveyapp.analysis.phone_offset import offsets_from_readings
    from surveyapp.exchange.privacy import hide_devices

    phones = notebook.all(Device)
    named = hide_devices(phones, privacy.salt) if privacy.devices else phones
    learned = offsets_from_readings(notebook.paired_readings())
    return {
        here.id: learned[phone.id]
        for phone, here in zip(phones, named, strict=True)
        if phone.id in learned
    }


def _ground_around(notebook: Notebook, rows: Sequence[Row]) -> Ground:
    """The ground about all sites and stops."""
    from surveyapp.geometry.geodesy import inverse

    places = [
        (row.lat_deg, row.lon_deg)
        for row in rows
        if isinstance(row, Site | Stop) and row.lat_deg is not None and row.lon_deg is not None
    ]
    if not places:
        return Ground(attribution=notebook.ground.attribution)
    middle = sorted(places)[len(places) // 2]
    farthest_m = max(inverse(*middle, *place).distance_m for place in places)
    return notebook.ground.around(*middle, min(farthest_m, FARTHEST_M) + GROUND_BEYOND_M)


def _pictures(notebook: Notebook, rows: Sequence[Row]) -> dict[str, bytes]:
    """The pictures of photos by their file's name; a missing one is told on the page."""
    found = notebook.pictures_of(rows, all_of_them=False)
    return {name: path.read_bytes() for name, path in found.items()}


def write_report(
    account: Account,
    out: Path,
    picture: Path | None = None,
    *,
    figures: bool = True,
    tell: Tell = silent,
) -> None:
    """Write page and picture, each whole or not at all; without `figures` the page does
    without those that need matplotlib, and says so."""
    from surveyapp.exchange.content import whole_file
    from surveyapp.report.page import report_page

    tell("Drawing the page.")
    page = report_page(account, figures=figures)
    with whole_file(out) as temporary:
        temporary.write_text(page, encoding="utf-8")
    if picture is not None:
        from surveyapp.report.picture import summary_picture

        tell("Drawing the picture.")
        drawn = summary_picture(account)
        with whole_file(picture) as temporary:
            temporary.write_bytes(drawn)
