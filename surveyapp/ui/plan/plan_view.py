"""The plan as a widget: it draws what it is given and tells where it was tapped or held."""

from __future__ import annotations

from collections.abc import Callable
from operator import is_
from time import monotonic
from typing import Any

from kivy.clock import Clock
from kivy.graphics.context import get_context
from kivy.metrics import Metrics, dp
from kivy.properties import ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.stencilview import StencilView

from surveyapp.geometry.plan_projection import Plane
from surveyapp.store.tiles import TileFile
from surveyapp.ui.plan import fingers
from surveyapp.ui.plan.findings import Finding
from surveyapp.ui.plan.fingers import Fingers
from surveyapp.ui.plan.glide import Glide
from surveyapp.ui.plan.ground_drawing import Find
from surveyapp.ui.plan.marks import PlanMarks
from surveyapp.ui.plan.plan_drawing import PlanDrawing
from surveyapp.ui.plan.text_layer import forget_pictures
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.theme import load_kv, theme

WHEEL = 1.25
SETTLE_S = 0.12  # words are placed anew once the drawing has lain still so long
LOAD_S = 0.008  # of a frame, for ground that comes into sight
BoxM = tuple[float, float, float, float]


class PlanView(StencilView):
    """A north-up drawing in a window of the page.

    Give it a ground in a plane (`show_ground`) and `marks`. `viewport` tells what is seen.
    `cross` is a place pointed out, `line` two places measured: (east_m, north_m) each.
    `finding` is what was worked out, `hidden` names layers that are switched off.
    Dispatches `on_tap(east_m, north_m)`, `on_hold(east_m, north_m)`, and, while `carries` is
    set, `on_carry(east_m, north_m, ended)` for a finger that drags what it says it carries.
    """

    viewport = ObjectProperty(Viewport())
    marks = ObjectProperty(PlanMarks(), comparator=is_)
    current_stop_id = StringProperty("")
    px_per_m = NumericProperty(1.0)
    cross = ObjectProperty(())
    line = ObjectProperty(())
    finding = ObjectProperty(Finding(), comparator=is_)
    hidden = ListProperty([])
    carries = ObjectProperty(None, allownone=True)
    __events__ = ("on_tap", "on_hold", "on_carry", "on_pushed")

    def __init__(self, **kwargs: Any) -> None:
        self.clock: Callable[[], float] = monotonic  # seconds, to tell taps from holds
        self.drawing = PlanDrawing(dp(1), Metrics.sp)
        self._fitted = self._laid_out = False
        self._fingers = Fingers(px_per_dp=dp(1))
        self._hold = Clock.create_trigger(self._held, fingers.HOLD_S)
        self._glide = Glide(px_per_dp=dp(1))
        self._carried = None
        self._ground_box_m: BoxM | None = None
        self._settle = Clock.create_trigger(self._lies_still, SETTLE_S)
        self.settle_soon = Clock.create_trigger(self.settle, -1)
        self.wake = Clock.create_trigger(self._load, 0)  # looked at again: load what is left
        self._run_on = Clock.create_trigger(self._run, 0, interval=True)
        super().__init__(**kwargs)
        for layer in self.drawing.layers:
            self.canvas.add(layer)
        self.bind(pos=self._look, size=self._sized)
        self.fbind("marks", self._redraw)
        self.fbind("finding", self.settle_soon)
        self.fbind("hidden", self._switch)
        self.fbind("current_stop_id", self.settle_soon)
        self.fbind("cross", self._point_out)
        self.fbind("line", self._point_out)
        theme.bind(name=self._recoloured)
        get_context().add_reload_observer(self._rewrite)
        Metrics.bind(sp=self._rescaled)
        self._recoloured()

    def show_ground(self, find: Find | None, plane: Plane | None, box_m: BoxM | None) -> None:
        """Draw the ground that `find` gives for a box, laid out in this plane.

        `box_m` (west, south, east, north) is all the room it takes.
        """
        self.drawing.ground.show(find, plane)
        self._ground_box_m = box_m
        self.wake()
        self._look()

    def show_picture(self, file: TileFile | None, plane: Plane | None) -> None:
        """Draw a picture of the ground below all else, or none."""
        self.drawing.picture.show_file(file, plane)
        self._switch()
        self.wake()

    def fit(self) -> None:
        """All marks in sight, or all of the ground; so again in a window of another width."""
        self._stand_still()
        box_m = self.marks.box_m() or self._ground_box_m
        if box_m is not None:
            self.viewport = self.viewport.fitted(box_m)
        self._fitted = True

    def fit_finding(self) -> None:
        """All that was worked out in sight."""
        box_m = self.finding.box_m()
        if box_m is not None:
            self._stand_still()
            self._fitted = False
            self.viewport = self.viewport.fitted(box_m)

    def centre(self, east_m: float, north_m: float) -> None:
        """Bring a place into the middle."""
        self._stand_still()
        self._fitted = False
        self.viewport = self.viewport.centred(east_m, north_m)

    def keep_in_sight(self, east_m: float, north_m: float) -> None:
        """Bring a place into the middle if it is out of sight."""
        if not self.viewport.sees(east_m, north_m):
            self.centre(east_m, north_m)

    def zoom(self, factor: float, at: tuple[float, float] | None = None) -> None:
        """Closer or farther about a point of the window, or about the middle."""
        self._stand_still()
        self._fitted = False
        x, y = at or (self.width / 2, self.height / 2)
        self.viewport = self.viewport.zoomed(factor, x, y)

    def on_viewport(self, *_: Any) -> None:
        """Move the drawing; place the words anew when it lies still."""
        self.px_per_m = self.viewport.px_per_m
        self._look()
        if self.drawing.want(self.viewport):
            self.wake()
        self._settle.cancel()
        self._settle()

    def settle(self, *_: Any) -> None:
        """Place the words for what is seen now."""
        self.drawing.draw_marks(
            self.marks, self.finding, self.current_stop_id, self.viewport, theme
        )
        self._look()

    def on_touch_down(self, touch: Any) -> bool:
        """A finger or the wheel on the plan."""
        if not self.collide_point(*touch.pos):
            return False
        if touch.is_mouse_scrolling:
            factor = WHEEL if touch.button == "scrolldown" else 1 / WHEEL
            self.zoom(factor, self._inside(touch))
            return True
        touch.grab(self)
        self._stand_still()
        self._fingers.press(touch.uid, *self._inside(touch), self.clock())
        self._hold.cancel()
        self._carried = None
        if self._fingers.is_still:
            self._hold()
            if self.carries is not None and self.carries(*self._under(touch)):
                self._carried = touch.uid
        return True

    def on_touch_move(self, touch: Any) -> bool:
        """A finger that was put on the plan goes elsewhere."""
        if touch.grab_current is not self:
            return False
        change = self._fingers.move(touch.uid, *self._inside(touch))
        if not self._fingers.is_still:
            self._hold.cancel()
            self._fitted = False
            if self._carried == touch.uid:
                self.dispatch("on_carry", *self._under(touch), False)
                return True
            self.dispatch("on_pushed")
        if self._fingers.count == 1:
            self._glide.follow(*self._inside(touch), self.clock())
        moved = self.viewport.moved(change.dx_px, change.dy_px)
        self.viewport = moved.zoomed(change.factor, change.x_px, change.y_px)
        return True

    def on_touch_up(self, touch: Any) -> bool:
        """A finger goes up."""
        if touch.grab_current is not self:
            return False
        touch.ungrab(self)
        self._hold.cancel()
        moved, alone = not self._fingers.is_still, self._fingers.count == 1
        what = self._fingers.lift(touch.uid, self.clock())
        if moved and self._carried == touch.uid:
            self._carried = None
            self.dispatch("on_carry", *self._under(touch), True)
        elif what == "double tap":
            self.zoom(2.0, self._inside(touch))
        elif what == "tap":
            self._fitted = False
            self.dispatch("on_tap", *self._under(touch))
        elif moved and alone:
            self._glide.release(self.clock())
            self._run_on()
        return True

    def on_carry(self, east_m: float, north_m: float, ended: bool) -> None:
        """Event: what was taken up is there now, and stays there if it has `ended`."""

    def on_pushed(self) -> None:
        """Event: the drawing was moved by hand."""

    def on_tap(self, east_m: float, north_m: float) -> None:
        """Event: the plan was tapped there."""

    def on_hold(self, east_m: float, north_m: float) -> None:
        """Event: a finger rested there."""

    def _held(self, *_: Any) -> None:
        place = self._fingers.held()
        if place is not None:
            self._fitted = False
            self.dispatch("on_hold", *self.viewport.to_plane(*place))

    def _inside(self, touch: Any) -> tuple[float, float]:
        return touch.x - self.x, touch.y - self.y

    def _under(self, touch: Any) -> tuple[float, float]:
        return self.viewport.to_plane(*self._inside(touch))

    def _stand_still(self) -> None:
        self._glide.stop()
        self._run_on.cancel()

    def _run(self, seconds: float) -> None:
        """The drawing runs on after a push."""
        self.viewport = self.viewport.moved(*self._glide.step(seconds))
        if not self._glide.moving:
            self._stand_still()

    def _load(self, *_: Any) -> None:
        """Load ground for as long as a frame can spare, the rest in the next ones."""
        if self.get_root_window() is None:
            return  # nobody looks: `wake` goes on
        until, left = monotonic() + LOAD_S, False
        for part in self.drawing.comes_in_pieces:
            more = part.want(self.viewport)
            while more and monotonic() < until:
                more = part.load_one(theme)
            left = left or more
        self._look()
        if left:
            self.wake()
        else:
            self._settle()

    def _redraw(self, *_: Any) -> None:
        self.drawing.take(self.marks)
        self.settle_soon()

    def _switch(self, *_: Any) -> None:
        self.drawing.switch(self.hidden)
        self._look()

    def _lies_still(self, *_: Any) -> None:
        self._laid_out = True
        (self._settle if self._fingers.count else self.settle)()  # not under a pushing finger

    def _look(self, *_: Any) -> None:
        self.drawing.look(self.viewport, self.pos)

    def _point_out(self, *_: Any) -> None:
        self.drawing.point_out(self.cross, self.line, theme)
        self._look()

    def _sized(self, *_: Any) -> None:
        turned = self.width != self.viewport.width_px
        self._laid_out = self._laid_out and not turned
        self.viewport = self.viewport.sized(*self.size)
        if self._fitted and not self._laid_out:  # a card or a message below changes no scale
            self.fit()

    def _recoloured(self, *_: Any) -> None:
        self.drawing.recolour(theme)
        self.settle()
        self._point_out()

    def _rewrite(self, *_: Any) -> None:  # a phone loses what is drawn while the app sleeps
        forget_pictures()
        self.drawing.forget()
        self._settle()

    def _rescaled(self, *_: Any) -> None:
        self.drawing.sp = Metrics.sp
        self.settle()


load_kv(__file__)
