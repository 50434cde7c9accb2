"""The plan as a widget: it draws what it is given and tells where it was tapped or held."""

from __future__ import annotations

from collections.abc import Callable
from operator import is_
from time import monotonic
from typing import Any

from kivy.clock import Clock
from kivy.graphics.context import get_context
from kivy.metrics import Metrics, dp
from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.stencilview import StencilView

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Ground
from surveyapp.ui.plan import fingers
from surveyapp.ui.plan.fingers import Fingers
from surveyapp.ui.plan.ground_shapes import GroundShapes, lay_out_ground
from surveyapp.ui.plan.marks import PlanMarks
from surveyapp.ui.plan.plan_drawing import PlanDrawing
from surveyapp.ui.plan.text_layer import forget_pictures
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.theme import load_kv, theme

WHEEL = 1.25
SETTLE_S = 0.12  # words are placed anew once the drawing has lain still so long


class PlanView(StencilView):
    """A north-up drawing in a window of the page.

    Give it a ground in a plane (`show_ground`) and `marks`. `viewport` tells what is seen.
    `cross` is a place pointed out, `line` two places measured: (east_m, north_m) each.
    Dispatches `on_tap(east_m, north_m)` and `on_hold(east_m, north_m)`.
    """

    viewport = ObjectProperty(Viewport())
    marks = ObjectProperty(PlanMarks(), comparator=is_)
    current_stop_id = StringProperty("")
    px_per_m = NumericProperty(1.0)
    cross = ObjectProperty(())
    line = ObjectProperty(())
    __events__ = ("on_tap", "on_hold")

    def __init__(self, **kwargs: Any) -> None:
        self.clock: Callable[[], float] = monotonic  # seconds, to tell taps from holds
        self.drawing = PlanDrawing(dp(1), Metrics.sp)
        self._fitted = False
        self._fingers = Fingers(px_per_dp=dp(1))
        self._hold = Clock.create_trigger(self._held, fingers.HOLD_S)
        self._settle = Clock.create_trigger(self.settle, SETTLE_S)
        super().__init__(**kwargs)
        for layer in self.drawing.layers:
            self.canvas.add(layer)
        self.bind(pos=self._moved, size=self._sized)
        self.fbind("marks", self.settle)
        self.fbind("current_stop_id", self.settle)
        self.fbind("cross", self._point_out)
        self.fbind("line", self._point_out)
        theme.bind(name=self._recoloured)
        get_context().add_reload_observer(self._rewrite)
        Metrics.bind(sp=self._rescaled)
        self._recoloured()

    def show_ground(self, ground: Ground, plane: Plane) -> None:
        """Draw another ground, laid out in this plane."""
        has_ground = ground.streets or ground.buildings or ground.furniture
        shapes = lay_out_ground(ground, plane) if has_ground else GroundShapes()
        self.drawing.draw_ground(shapes)
        self._recoloured()

    def fit(self) -> None:
        """All marks in sight, or all of the ground; kept so until the drawing is moved."""
        box_m = self.marks.box_m() or self.drawing.ground_box_m
        if box_m is not None:
            self.viewport = self.viewport.fitted(box_m)
        self._fitted = True

    def centre(self, east_m: float, north_m: float) -> None:
        """Bring a place into the middle."""
        self._fitted = False
        self.viewport = self.viewport.centred(east_m, north_m)

    def keep_in_sight(self, east_m: float, north_m: float) -> None:
        """Bring a place into the middle if it is out of sight."""
        if not self.viewport.sees(east_m, north_m):
            self.centre(east_m, north_m)

    def zoom(self, factor: float, at: tuple[float, float] | None = None) -> None:
        """Closer or farther about a point of the window, or about the middle."""
        self._fitted = False
        x, y = at or (self.width / 2, self.height / 2)
        self.viewport = self.viewport.zoomed(factor, x, y)

    def on_viewport(self, *_: Any) -> None:
        """Move the drawing; place the words anew when it lies still."""
        self.px_per_m = self.viewport.px_per_m
        self._look()
        self._settle()

    def settle(self, *_: Any) -> None:
        """Place the words for what is seen now."""
        self.drawing.draw_marks(self.marks, self.current_stop_id, self.viewport, theme)
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
        self._fingers.press(touch.uid, *self._inside(touch), self.clock())
        self._hold.cancel()
        if self._fingers.is_still:
            self._hold()
        return True

    def on_touch_move(self, touch: Any) -> bool:
        """A finger that was put on the plan goes elsewhere."""
        if touch.grab_current is not self:
            return False
        change = self._fingers.move(touch.uid, *self._inside(touch))
        if not self._fingers.is_still:
            self._hold.cancel()
            self._fitted = False
        moved = self.viewport.moved(change.dx_px, change.dy_px)
        self.viewport = moved.zoomed(change.factor, change.x_px, change.y_px)
        return True

    def on_touch_up(self, touch: Any) -> bool:
        """A finger goes up."""
        if touch.grab_current is not self:
            return False
        touch.ungrab(self)
        self._hold.cancel()
        what = self._fingers.lift(touch.uid, self.clock())
        if what == "double tap":
            self.zoom(2.0, self._inside(touch))
        elif what == "tap":
            self._fitted = False
            self.dispatch("on_tap", *self.viewport.to_plane(*self._inside(touch)))
        return True

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

    def _look(self, *_: Any) -> None:
        self.drawing.look(self.viewport, self.pos)

    def _point_out(self, *_: Any) -> None:
        self.drawing.point_out(self.cross, self.line, theme)
        self._look()

    def _moved(self, *_: Any) -> None:
        self._look()

    def _sized(self, *_: Any) -> None:
        self.viewport = self.viewport.sized(*self.size)
        if self._fitted:
            self.fit()

    def _recoloured(self, *_: Any) -> None:
        self.drawing.recolour(theme)
        self.settle()
        self._point_out()

    def _rewrite(self, *_: Any) -> None:
        """Words are pictures that a phone loses while the app sleeps."""
        forget_pictures()
        self._settle()

    def _rescaled(self, *_: Any) -> None:
        self.drawing.sp = Metrics.sp
        self.settle()


load_kv(__file__)
