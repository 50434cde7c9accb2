"""Entry sheets declared as data: their fields, and how rows come from what was typed.

No Kivy here. Each module holds one `Form`; `FORMS` finds them by the name of their sheet. To
add an entry kind: write its module and enter it below, `router.open_entry(name)` opens it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from surveyapp.errors import NotFound

if TYPE_CHECKING:
    from surveyapp.ui.entries.form import Form

FORMS = {
    "sighting": "surveyapp.ui.entries.sighting:SightingForm",
    "reading": "surveyapp.ui.entries.reading:ReadingForm",
    "speed_run": "surveyapp.ui.entries.speed_run:SpeedRunForm",
    "one_line": "surveyapp.ui.entries.one_line:LineForm",
    "photo": "surveyapp.ui.entries.photo:PhotoForm",
    "remark": "surveyapp.ui.entries.remark:RemarkForm",
    "position": "surveyapp.ui.entries.position:PositionForm",
    "site": "surveyapp.ui.entries.site:SiteForm",
    "sector": "surveyapp.ui.entries.sector:SectorForm",
    "device": "surveyapp.ui.entries.device:DeviceForm",
    "survey": "surveyapp.ui.entries.survey:SurveyForm",
    "stop": "surveyapp.ui.entries.stop:StopForm",
    "clock": "surveyapp.ui.entries.clock:ClockForm",
    "compass_check": "surveyapp.ui.entries.compass_check:CompassCheckForm",
    "heading": "surveyapp.ui.entries.heading:HeadingForm",
}


def form_named(name: str) -> Form:
    """The form of this sheet, made afresh. Raises NotFound where there is no such sheet."""
    if name not in FORMS:
        raise NotFound(f"There is no sheet named {name}.")
    module, _, wanted = FORMS[name].partition(":")
    form: Form = getattr(import_module(module), wanted)()
    return form
