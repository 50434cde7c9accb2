"""The Plan place's layout: what stands below the drawing, what beside it, what gives way."""

from __future__ import annotations

from typing import Any

from kivy.metrics import Metrics, dp
from kivy.properties import BooleanProperty, ObjectProperty, StringProperty

from surveyapp.ui.plan.cards import FOLLOW_HINT, HINT, PICK_HINT
from surveyapp.ui.plan.labels import Box
from surveyapp.ui.screens.page import Page

CROWDED_SP = 420.0  # a page lower than this has little room for a drawing


class ArrangedPage(Page):
    """Shows a `card`, and a strip with what is `asked`.

    The card stands below the drawing on a phone, beside it on a desk. Where there is little
    height (`crowded`) a card that is but a hint is left out (`bare`), and on a phone laid down
    all words stand beside the drawing.
    """

    card = ObjectProperty(HINT)
    asked = StringProperty("")
    crowded = BooleanProperty(False)
    bare = BooleanProperty(False)

    def on_kv_post(self, *_: Any) -> None:
        """Hold all parts; show what this width, height and moment ask for."""
        self.view = self.ids.view.__self__
        names = ("strip", "side", "card", "card_room", "foot", "tools_room")
        self._parts = {name: self.ids[name].__self__ for name in names}
        for name in ("wide", "asked", "crowded"):
            self.fbind(name, self._arrange)
        for name in ("card", "size", "wide", "crowded"):
            self.fbind(name, self._judge_room)
        self.fbind("card", self._show_top)
        Metrics.bind(sp=self._judge_room)
        self.view.bind(size=self._reserve)
        self.ids.bar.bind(size=self._reserve)
        self._judge_room()
        self._arrange()

    def _judge_room(self, *_: Any) -> None:
        self.crowded = self.height < CROWDED_SP * Metrics.sp
        self.bare = self.crowded and not self.wide and self.card in (HINT, FOLLOW_HINT, PICK_HINT)

    def _show_top(self, *_: Any) -> None:
        """A new card begins with its title, however far the last one was read."""
        self.ids.card_room.scroll_y = 1.0

    def _arrange(self, *_: Any) -> None:
        for part in self._parts.values():
            if part.parent is not None:
                part.parent.remove_widget(part)
        column, beside, parts = self.ids.column, self.ids.side_column, self._parts
        laid_down = self.wide and self.crowded
        if self.wide:
            self.ids.whole.add_widget(parts["side"])
            shown = ("strip", "card", "tools_room") if laid_down else ("card",)
            for name in reversed(shown):
                if name != "strip" or self.asked:
                    beside.add_widget(parts[name], index=len(beside.children))
        if laid_down:
            beside.add_widget(parts["foot"])
            return
        if self.asked:
            column.add_widget(parts["strip"], index=len(column.children))
        column.add_widget(parts["foot"])
        column.add_widget(parts["tools_room"])
        if not self.wide:
            parts["card_room"].add_widget(parts["card"])
            column.add_widget(parts["card_room"])

    def _reserve(self, *_: Any) -> None:
        """No word on the drawing ends up below the scale bar or the north mark."""
        boxes = []
        for part in (self.ids.bar, self.ids.north):
            x, y = part.center_x - self.view.x, part.center_y - self.view.y
            boxes.append(Box(x, y, part.width + dp(8), part.height + dp(8)))
        self.view.drawing.reserved = tuple(boxes)
        self.view.settle_soon()
