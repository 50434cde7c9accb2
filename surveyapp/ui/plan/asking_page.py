"""The half of the Plan place that acts: what a card's chips do, dragging, questions, answers."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from surveyapp.errors import SurveyError
from surveyapp.model import LatLon, Site
from surveyapp.store.tiles import TileFile
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.plan.actions import ACTIONS, Target, moved
from surveyapp.ui.plan.answers import Answer
from surveyapp.ui.plan.arranged_page import ArrangedPage
from surveyapp.ui.plan.asking import Asking
from surveyapp.ui.plan.cards import HINT, Card, length_text, one_card, place_card, tap_sigma_m
from surveyapp.ui.plan.content import place_text_at, street_at
from surveyapp.ui.plan.findings import Finding
from surveyapp.ui.plan.marks import SiteMark

HIDDEN = "plan_hidden"
PICTURE = "plan_picture"
CARRY_DP = 36.0  # a finger this near a mark takes it up
TAKE_OFF = Choice(value="take_off", label="Take it off the plan", icon="close")


class AskingPage(ArrangedPage):
    """Holds the answer shown and what is asked; `first_site` waits for a second one, and
    `street_wanted` for a tap on a street."""

    answer = ObjectProperty(None, allownone=True)
    first_site = ObjectProperty(None, allownone=True)
    street_wanted = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._picture_key: Any = None
        self._picture_told = ""
        self._fit_soon = Clock.create_trigger(lambda *_: self.view.fit_finding(), 0.05)
        super().__init__(**kwargs)
        self.asking = Asking(
            self.session,
            self.router,
            wait=self._wait,
            answered=self._answered,
            refused=self._refused,
            wanted=lambda: self.get_root_window() is not None,
        )

    def act(self, action: str) -> None:
        """Do what a chip of the card says."""
        own = {
            "list_here": self.list_here,
            "move": self._take_up,
            "gaps": self._ask_second,
            "figures": self.open_figures,
            "take_off": self.take_off,
        }.get(action)
        if own is not None:
            own()
            return
        self.asking.plane = self._plane
        target = Target(
            session=self.session,
            router=self.router,
            plane=self._plane,
            mark=self._found[0] if self._found else None,
            at=self._at,
            sigma_m=tap_sigma_m(self.view.px_per_m, dp(1)),
            asking=self.asking,
        )
        if self.session.attempt(lambda: ACTIONS[action](target)) and not self.asking.work.busy:
            self._clear()

    def show_picture(self) -> str:
        """Draw the surveyor's own picture of the ground, if one is chosen; its attribution.

        A file that has gone or is damaged is told once and left out.
        """
        path = self.session.notebook.setting(PICTURE, "")
        key = (path, self._plane)
        if key == self._picture_key:
            return self._picture_told
        self._picture_key, self._picture_told = key, ""
        try:
            file = TileFile.open(path) if path else None
        except SurveyError as error:
            file = None
            self.session.say(str(error))
        self.view.drawing.picture.let_go = self._let_go_of_picture
        self.view.show_picture(file, self._plane)
        if file is not None:
            self._picture_told = file.attribution or file.name
        return self._picture_told

    def _let_go_of_picture(self, error: SurveyError) -> None:
        self._picture_told = self.picture_told = ""
        self.session.say(str(error))

    def place_card(self, at: LatLon) -> Card:
        """What can be put at a place, and asked of the street it is on."""
        words, street = place_text_at(self.session, *at), street_at(self.session, *at)
        return place_card(*at, self.session.stop, words, street)

    # Sheets

    def open_layers(self) -> None:
        """The legend, where layers are switched."""
        from surveyapp.ui.plan.layers_sheet import LayersSheet

        sheet = LayersSheet(
            session=self.session,
            router=self.router,
            hidden=self.view.hidden,
            hatches=dict(self.view.marks.hatches),
            pictured=self.view.drawing.picture.has_file,
            switch=self._switch,
        )
        self.router.open(sheet)

    def _switch(self, name: str) -> None:
        hidden = set(self.view.hidden) ^ {name}
        self.view.hidden = sorted(hidden)
        self.session.notebook.keep_setting(HIDDEN, self.view.hidden)
        self._lay_out()

    def list_here(self) -> None:
        """All that lies under the finger, as a list."""
        from surveyapp.ui.plan.hits_sheet import HitsSheet

        cards = [one_card(mark, *self._told()) for mark in self._found]
        sheet = HitsSheet(
            session=self.session, router=self.router, items=HitsSheet.rows_of(cards),
            take=self._take_hit,
        )  # fmt: skip
        self.router.open(sheet)

    def _take_hit(self, index: int) -> None:
        self._found = [self._found[index]]
        self._show_first()

    # Dragging

    def _take_up(self) -> None:
        """The next drag that begins on the mark moves it."""
        mark = self._found[0]
        name = mark.site.name if isinstance(mark, SiteMark) else f"Stop {mark.stop.number}"
        self._carried = mark
        self.view.carries = self._is_near_carried
        self.view.cross = mark.at
        self.card = Card("position", f"Drag {name} to where it stands", ("Any tap leaves it.",))

    def _is_near_carried(self, east_m: float, north_m: float) -> bool:
        at = self._carried.at
        return hypot(east_m - at.east_m, north_m - at.north_m) * self.view.px_per_m <= dp(CARRY_DP)

    def carried(self, east_m: float, north_m: float, ended: bool) -> None:
        """The mark is there now; where the finger leaves it, that is its place."""
        self.view.cross, self.view.line = (east_m, north_m), [self._carried.at, (east_m, north_m)]
        if not ended:
            return
        mark, start = self._carried, self._carried.at
        far = length_text(hypot(east_m - start.east_m, north_m - start.north_m))
        sigma_m = tap_sigma_m(self.view.px_per_m, dp(1))
        at = self._world(east_m, north_m)
        self.session.attempt(lambda: moved(self.session, mark, at, sigma_m, far))
        self._clear()

    # Questions

    def open_next(self) -> None:
        """The sheet of questions about where to go next."""
        from surveyapp.ui.plan.next_sheet import NextSheet

        self.asking.plane = self._plane
        sheet = NextSheet(
            session=self.session,
            router=self.router,
            asking=self.asking,
            choose_street=self.choose_street,
        )
        self.router.open(sheet)

    def choose_street(self) -> None:
        """The sheet where a street is named, to look for gaps along it."""
        from surveyapp.ui.plan.street_sheet import StreetSheet
        from surveyapp.ui.plan.way_questions import street_names_near

        middle = self._world(self.view.viewport.east_m, self.view.viewport.north_m)
        sheet = StreetSheet(
            session=self.session,
            router=self.router,
            asking=self.asking,
            names=street_names_near(self.session, middle),
            near_deg=middle,
            tap_it=self._ask_street,
        )
        self.router.open(sheet)

    def _ask_street(self) -> None:
        self._clear()
        self.street_wanted = True
        self.card = Card("measure", "Gaps along a street", ("Tap the street.",))

    def _take_street(self, at: LatLon) -> None:
        self._clear()
        name = street_at(self.session, *at)
        if name:
            self.asking.gaps_along(name, at)
        else:
            self.session.say("No street with a name there: tap on one.")
            self._ask_street()

    def _ask_second(self) -> None:
        self.first_site = self._found[0].site
        text = f"Tap the site to look for gaps to, from {self.first_site.name}."
        self.card = Card("measure", "Gaps to a site", (text,))

    def _second_site(self, found: list[Any]) -> None:
        first = self.first_site
        other = next((mark.site for mark in found if isinstance(mark, SiteMark)), None)
        self._clear()
        if other is None:
            self.session.say("No site there: ask for gaps again and tap a site.")
        else:
            self._ask_gaps(first, other)

    def _ask_gaps(self, one: Site, other: Site) -> None:
        self.asking.plane = self._plane
        self.asking.gaps(one, other)

    def _wait(self, title: str) -> None:
        self.take_off()
        self._clear()
        stop = Choice(value="take_off", label="Leave it", icon="close")
        self.card = Card("question", title, ("Working it out; the plan stays usable.",), (stop,))

    def _answered(self, answer: Answer) -> None:
        self.answer = answer
        self.view.finding = answer.finding
        self._clear()
        self.view.fit_finding()
        self._fit_soon()  # the card of the answer may be a taller one

    def _refused(self, sentence: str) -> None:
        self._clear()
        self.card = replace(HINT, icon="warn", title="No answer", lines=(sentence,))

    def answer_card(self) -> Card:
        """The card of the answer that is shown."""
        chips = [TAKE_OFF]
        if self.answer.figures or self.answer.strip is not None:
            chips.insert(0, Choice(value="figures", label="Figures", icon="day"))
        return Card("locate", self.answer.title, self.answer.says, tuple(chips))

    def open_figures(self) -> None:
        """The list behind the answer."""
        from surveyapp.ui.plan.answer_sheet import AnswerSheet

        sheet = AnswerSheet(
            session=self.session, router=self.router, answer=self.answer, show=self._show_row
        )
        self.router.open(sheet)

    def _show_row(self, row_id: str) -> None:
        """Show what a figure tells of: a proposed place, a stop or a site."""
        marks = (*self.view.finding.stands, *self.view.marks.points())
        mark = next((m for m in marks if row_id in (m.row_id, getattr(m, "site_id", ""))), None)
        mark = mark or self.view.marks.stops.named(row_id)
        if mark is not None:
            self._found = [mark]
            self._show_first()
            self.view.keep_in_sight(*mark.at)

    def take_off(self) -> None:
        """Take the answer off the plan, or stop waiting for it."""
        self.asking.drop()
        self.answer = None
        self.view.finding = Finding()
        self._clear()
