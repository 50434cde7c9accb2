"""The sheet of the legend, where parts of the drawing are switched on and off."""

from __future__ import annotations

from typing import Any

from kivy.metrics import Metrics, dp
from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from surveyapp.ui.plan import ground_strokes
from surveyapp.ui.plan.finding_strokes import finding_inks
from surveyapp.ui.plan.ink import Ink, Sizes
from surveyapp.ui.plan.layers import FillLayer, StrokeLayer
from surveyapp.ui.plan.legend import Layer, Sign, legend
from surveyapp.ui.plan.mark_strokes import mark_inks
from surveyapp.ui.plan.text_layer import TextLayer, measure
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.plan.words import mark_words
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv, theme


class SignView(Widget):
    """One sign, drawn as on the plan; a `tall` one has more room."""

    sign = ObjectProperty(Sign(""))
    tall = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._fill, self._strokes, self._words = FillLayer(), StrokeLayer(), TextLayer()
        super().__init__(**kwargs)
        for layer in (self._fill, self._strokes, self._words):
            self.canvas.add(layer)
        self.bind(pos=self._draw, size=self._draw, sign=self._draw)
        theme.bind(name=self._draw)
        Metrics.bind(sp=self._draw)

    def on_sign(self, *_: Any) -> None:
        """Give it the room it needs."""
        self.tall = self.sign.tall

    def _draw(self, *_: Any) -> None:
        sign = self.sign
        viewport = Viewport(max(self.width, 1.0), max(self.height, 1.0), px_per_m=dp(1))
        sizes = Sizes(dp(1), Metrics.sp, dp(1))
        words = mark_words(
            sign.marks, viewport, sizes, sign.current_stop_id, measure, sign.finding.labels
        )
        self._fill.wipe()
        self._strokes.wipe()
        if sign.ground is not None and sign.ground.buildings:
            self._fill.draw(sign.ground.buildings, "pressed")
        for ink in (*self._inks(), *mark_inks(sign.marks, sizes, words, sign.current_stop_id)):
            self._strokes.draw(ink.strokes, ink.role, ink.opacity)
        self._words.write(words.texts, theme)
        for layer in (self._fill, self._strokes, self._words):
            layer.recolour(theme)
            layer.look(viewport, self.pos)

    def _inks(self) -> tuple[Ink, ...]:
        sign = self.sign
        if sign.ground is None:
            return tuple(finding_inks(sign.finding, Sizes(dp(1), Metrics.sp, dp(1))))
        return (
            *ground_strokes.path_inks(sign.ground, dp(1)),
            *ground_strokes.wall_inks(sign.ground, dp(1)),
            *ground_strokes.furniture_inks(sign.ground, dp(1)),
        )


class SignRow(BoxLayout):
    """A sign and its words."""

    sign = ObjectProperty(Sign(""))


class LayerPart(BoxLayout):
    """A layer's title, the chip that switches it, and its signs."""

    title = StringProperty("")
    can_switch = BooleanProperty(False)
    switched_on = BooleanProperty(True)
    __events__ = ("on_switch",)

    def on_kv_post(self, *_: Any) -> None:
        """No chip where there is nothing to switch."""
        if not self.can_switch:
            self.ids.head.remove_widget(self.ids.chip)

    def on_switch(self) -> None:
        """Event: the chip was tapped."""


class LayersSheet(Sheet):
    """Every layer with its signs; `hidden` are the names of those switched off."""

    hidden = ListProperty([])
    hatches = ObjectProperty({})
    pictured = BooleanProperty(False)
    switch = ObjectProperty()

    def on_kv_post(self, *_: Any) -> None:
        """Write the legend down."""
        for layer in legend(self.hatches, pictured=self.pictured):
            self.ids.parts.add_widget(self._part(layer))

    def _part(self, layer: Layer) -> LayerPart:
        part = LayerPart(
            title=layer.title,
            can_switch=bool(layer.name),
            switched_on=layer.name not in self.hidden,
        )
        for sign in layer.signs:
            part.ids.signs.add_widget(SignRow(sign=sign))
        part.bind(on_switch=lambda *_: self._switch(layer.name, part))
        return part

    def _switch(self, name: str, part: LayerPart) -> None:
        self.switch(name)
        part.switched_on = not part.switched_on


load_kv(__file__)
