"""The Plan place: the ground with everything on it; tap to see, hold to place, tap for others."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, NumericProperty, StringProperty

from surveyapp.model import LatLon
from surveyapp.ui.north import declination_at_deg
from surveyapp.ui.plan import card_view, overlays, plan_view  # noqa: F401
from surveyapp.ui.plan.asking_page import HIDDEN, AskingPage
from surveyapp.ui.plan.cards import (
    BLANK,
    FOLLOW_HINT,
    HINT,
    PICK_HINT,
    Card,
    End,
    card_of,
    measure_card,
    site_text,
)
from surveyapp.ui.plan.content import (
    content_of,
    ground_box_m,
    ground_key,
    shown_rows,
    with_levels,
)
from surveyapp.ui.plan.hits import found_again, hits
from surveyapp.ui.plan.laying_out import lay_out
from surveyapp.ui.plan.marks import Place, SiteMark
from surveyapp.ui.plan.scale_bar import scale_bar
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets.rows import ListRow

REACH_DP = 24.0  # half a finger's target
SCALE_BAR_DP = 110.0
FEW_STOPS = 2000  # what was read at so many is there in the first frame


class PlanPage(AskingPage):
    """The survey drawn. While the session has a `pick`, a tap answers it."""

    measuring = BooleanProperty(False)
    following = BooleanProperty(False)
    attribution = StringProperty("")
    missing = StringProperty("")
    picture_told = StringProperty("")
    bar_text = StringProperty("")
    bar_px = NumericProperty(0)
    blank = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._plane: Any = None
        self._rows: Any = None
        self._ground_key: Any = None
        self._found: list[Any] = []
        self._at: LatLon | None = None
        self._measured: list[End] = []
        self._soon_in_sight = Clock.create_trigger(self._keep_in_sight, 0.05)
        self._keeps = False  # what the card tells of in sight, until the drawing is moved
        self._levels_soon = Clock.create_trigger(self._read_on, 0)
        super().__init__(**kwargs)

    def on_kv_post(self, *_: Any) -> None:
        """Follow the scale of the drawing."""
        super().on_kv_post(*_)
        self.view.bind(px_per_m=self._scaled, height=self._lower)
        self.view.hidden = self.session.notebook.setting(HIDDEN, [])
        self._scaled()

    # What is shown

    def refresh(self) -> None:
        """Lay out what the notebook has now; the view moves only for another place on Earth."""
        content = content_of(self.session, self._plane)
        moved = content.plane != self._plane
        self._plane, self._rows = content.plane, content.rows
        self._show_ground()
        self.view.wake()
        self.view.current_stop_id = self.session.stop.id if self.session.stop else ""
        self._read()
        self.missing = content.missing_text(
            bool(self.attribution), self.session.notebook.ground.bounds is not None
        )
        if moved:
            self.take_off()
            self.view.fit()
        self._follow()
        self.blank = not self.attribution and self.view.marks.box_m() is None
        self._show_pick()
        self._list_sites()
        self._scaled()

    def _read(self) -> None:
        """Read what was measured: at once for a day's stops, a frame later for thousands."""
        if len(self._rows.stops.ids) <= FEW_STOPS:
            self._read_levels()
        else:
            self._lay_out()
            self._levels_soon()

    def _read_on(self, *_: Any) -> None:
        if self.get_root_window() is not None:  # else nobody looks; the next visit reads anew
            self._read_levels()

    def _read_levels(self) -> None:
        self._rows = with_levels(self.session, self._rows)
        self._lay_out()

    def _lay_out(self) -> None:
        self.view.marks = lay_out(shown_rows(self._rows, self.view.hidden), self._plane)
        if self._found:
            self._found = found_again(self.view.marks, self._found, self.view.finding.stands)
            self._show_first()

    def _list_sites(self) -> None:
        self.ids.site_rows.clear_widgets()
        for mark in self.view.marks.sites:
            row = ListRow(icon="site", text=mark.site.name, detail=site_text(mark.site))
            row.bind(on_release=lambda *_, mark=mark: self._go_to(mark))
            self.ids.site_rows.add_widget(row)

    def _go_to(self, mark: SiteMark) -> None:
        self.view.centre(*mark.at)
        self._show_hits(mark.at)

    def _show_ground(self) -> None:
        key = ground_key(self.session, self._plane)
        if key != self._ground_key:
            ground = self.session.notebook.ground
            box_m = ground_box_m(self.session, self._plane)
            drawn = box_m is not None
            self.view.show_ground(ground.within if drawn else None, self._plane, box_m)
            self.attribution = ground.attribution or ground.source if drawn else ""
            self._ground_key = key
        self.picture_told = self.show_picture()

    def _show_pick(self) -> None:
        """Say what is asked for; a card that tells of a mark stays as it is."""
        pick = self.session.pick
        self.asked = pick.title if pick else ""
        if pick is not None or self.card in (HINT, PICK_HINT, BLANK):
            self._clear()
        if pick is not None and pick.from_lat_deg is not None:
            self.view.line = [self._place((pick.from_lat_deg, pick.from_lon_deg))]

    def _scaled(self, *_: Any) -> None:
        bar = scale_bar(self.view.px_per_m, dp(SCALE_BAR_DP))
        self.bar_text, self.bar_px = bar.text, bar.width_px

    # Tools

    def toggle_measure(self) -> None:
        """Begin to measure between two taps, or stop."""
        self._clear()
        self.measuring = not self.measuring
        self.card = measure_card() if self.measuring else self._hint()

    def toggle_follow(self) -> None:
        """Keep the current stop in the middle, until the drawing is pushed."""
        self.following = not self.following
        if self.following and self._here() is None:
            self.following = False
            self.session.say("No stop with a position yet: start one at Stop.")
        self._follow()
        if self.card in (HINT, FOLLOW_HINT):
            self.card = self._hint()

    def _here(self) -> Place | None:
        stop = self.session.stop
        if stop is None or stop.lat_deg is None:
            return None
        return self._place((stop.lat_deg, stop.lon_deg))

    def _follow(self) -> None:
        here = self._here()
        if self.following and here is not None:
            self.view.centre(*here)

    # Taps

    def tapped(self, east_m: float, north_m: float) -> None:
        """A tap answers what was asked for, measures, or shows what lies there."""
        if self.blank:
            return  # nothing is drawn, so no place on it means anything
        if self.session.pick is not None:
            self.session.give_pick(*self._world(east_m, north_m))
        elif self.measuring:
            self._measure(Place(east_m, north_m))
        elif self.first_site is not None:
            self._second_site(self._hits(Place(east_m, north_m)))
        elif self.street_wanted:
            self._take_street(self._world(east_m, north_m))
        else:
            self._show_hits(Place(east_m, north_m))

    def held_at(self, east_m: float, north_m: float) -> None:
        """A place was held: offer what can be put there."""
        if self.session.pick is None and not self.measuring and not self.blank:
            self._clear()
            self._at = self._world(east_m, north_m)
            self.view.cross = (east_m, north_m)
            self.card = self.place_card(self._at)
            self._soon_in_sight()

    def pushed(self) -> None:
        """The drawing was moved by hand."""
        self.following = self._keeps = False
        if self.card is FOLLOW_HINT:
            self.card = self._hint()

    def _hits(self, at: Place) -> list[Any]:
        return hits(
            self.view.marks,
            at,
            dp(REACH_DP) / self.view.px_per_m,
            stands=self.view.finding.stands,
            behind=self.view.drawing.words.clusters,
            aside=self.view.drawing.words.aside_m(self.view.px_per_m),
        )

    def _show_hits(self, at: Place) -> None:
        self._clear()
        self._found = self._hits(at)
        self._show_first()

    def _show_first(self) -> None:
        found = self._found
        self.card = card_of(found, *self._told()) if found else self._hint()
        self._keeps = True
        self._soon_in_sight()

    def _told(self) -> tuple[Any, ...]:
        """From where and in which time zone cards tell."""
        zone = self.session.survey.time_zone if self.session.survey else "UTC"
        return self.session.stop, zone

    def _lower(self, *_: Any) -> None:
        if self._keeps:
            self._soon_in_sight()

    def _keep_in_sight(self, *_: Any) -> None:
        """What the card tells of must not end up below the card."""
        place = getattr(self._found[0], "at", None) if self._found else self.view.cross
        if place:
            self.view.keep_in_sight(*place)

    def _measure(self, at: Place) -> None:
        here = End.on(self._hits(at), self._world(*at))
        self._measured = [here] if len(self._measured) != 1 else [*self._measured, here]
        self.view.line = [self._place(end.at_deg) for end in self._measured]
        turn = declination_at_deg(*self._measured[0].at_deg, self.session.clock().date())
        self.card = measure_card(*self._measured[:2], declination_deg=turn)

    def _clear(self) -> None:
        self._found, self._at, self._measured = [], None, []
        self.first_site = self.view.carries = None
        self.street_wanted = False
        self.view.cross, self.view.line, self.card = (), (), self._hint()

    def _hint(self) -> Card:
        if self.blank:
            return BLANK
        if self.session.pick is not None:
            return PICK_HINT
        if self.answer is not None:
            return self.answer_card()
        return FOLLOW_HINT if self.following else HINT

    def _world(self, east_m: float, north_m: float) -> LatLon:
        lat_deg, lon_deg = self._plane.to_world(east_m, north_m)
        return float(lat_deg), float(lon_deg)

    def _place(self, at: LatLon) -> Place:
        east_m, north_m = self._plane.to_plane(*at)
        return Place(float(east_m), float(north_m))


load_kv(__file__)
