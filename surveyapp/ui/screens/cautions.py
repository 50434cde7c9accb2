"""The cautions, shown once at the first start and from Book ever after."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty

from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.speech import tr
from surveyapp.ui.widgets.text import Text

CAUTIONS = (
    "Stay out of the road and off private land. Look up from the phone before you step back.",
    "Never climb, open or touch equipment. Work on it is for licensed people and the owner.",
    "Heed posted radio-frequency notices and local rules. The distances this notebook works out "
    "are estimates, not a finding of compliance.",
    "Before you publish: the report can blur where you live, take the data out of photos and "
    "hide device identities. It asks before each.",
)


class CautionsPage(Page):
    """What every surveyor should have read once."""

    cautions = ListProperty(CAUTIONS)

    def on_kv_post(self, *_: Any) -> None:
        """Write the cautions down."""
        for sentence in self.cautions:
            self.ids.lines.add_widget(Text(text=tr(sentence)))

    def understood(self) -> None:
        """Read: they will not come up by themselves again."""
        self.session.notebook.keep_setting("cautions_read", True)
        self.router.back()


load_kv(__file__)
