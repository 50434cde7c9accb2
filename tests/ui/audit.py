"""What is wrong with the page on screen, as sentences: sizes, gaps, clipped and covered text.

House rules, all measured on the laid-out widgets: targets at least 48 dp (Android accessibility
guide; WCAG 2.2, 2.5.5 asks 44) and 8 dp apart, no text outside its place or broken within a
word, nothing over anything else, text only in colours whose contrast is tested.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from kivy.core.text import Label as CoreLabel
from kivy.core.window import Window
from kivy.metrics import dp
from kivy.uix.label import Label
from kivy.uix.scrollview import ScrollView
from kivy.uix.widget import Widget

from surveyapp.ui.theme import theme
from surveyapp.ui.tokens import GAP_DP, TARGET_DP
from surveyapp.ui.widgets.field_cell import FieldCell
from surveyapp.ui.widgets.toast import Toast
from tests.ui.harness import is_target, parents_of, said_by, shown

ROUNDING = 1.0  # pixels
TEXT_COLOURS = ("ink", "soft", "accent", "over_accent")


@dataclass(frozen=True)
class Box:
    """A rectangle of the window in pixels."""

    left: float
    bottom: float
    right: float
    top: float

    def cut(self, other: Box) -> Box:
        """What both cover."""
        return Box(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )

    @property
    def empty(self) -> bool:
        """Whether there is nothing left of it."""
        return self.right - self.left < ROUNDING or self.top - self.bottom < ROUNDING

    def gap(self, other: Box) -> float:
        """How far apart two boxes are, along the axis that parts them; negative: they overlap."""
        across = max(self.left, other.left) - min(self.right, other.right)
        along = max(self.bottom, other.bottom) - min(self.top, other.top)
        return max(across, along)


def problems_on_screen(root: Widget) -> list[str]:
    """Every breach of the house rules on what is shown now; empty when there is none."""
    widgets = list(shown(root))
    targets = [widget for widget in widgets if is_target(widget)]
    labels = [widget for widget in widgets if isinstance(widget, Label) and widget.text.strip()]
    return [
        *_small(targets),
        *_outside([*targets, *labels]),
        *_clipped(labels),
        *_broken_words(labels),
        *(told for layer in _layers(targets) for told in _close(layer)),
        *(told for layer in _layers(labels) for told in _covering(layer)),
        *_strange_colours(labels),
        *_hidden_fields(widgets),
    ]


def _layers(widgets: list[Widget]) -> tuple[list[Widget], list[Widget]]:
    """What a message holds, which lies over the page for a while, and all the rest."""
    over = [one for one in widgets if any(isinstance(part, Toast) for part in parents_of(one))]
    return over, [one for one in widgets if one not in over]


def box_of(widget: Widget) -> Box:
    """The widget's place in the window."""
    left, bottom = widget.to_window(widget.x, widget.y)
    return Box(left, bottom, left + widget.width, bottom + widget.height)


def text_box(label: Label) -> Box:
    """The place of the words themselves, in the middle of their label."""
    whole, (width, height) = box_of(label), label.texture_size
    middle_x, middle_y = (whole.left + whole.right) / 2, (whole.bottom + whole.top) / 2
    return Box(
        middle_x - width / 2, middle_y - height / 2, middle_x + width / 2, middle_y + height / 2
    )


def seen(widget: Widget, box: Box) -> Box:
    """The part of a box that the lists around the widget let through."""
    for parent in parents_of(widget):
        if isinstance(parent, ScrollView):
            box = box.cut(box_of(parent))
    return box


def _name(widget: Widget) -> str:
    return f"{type(widget).__name__} {said_by(widget)!r}"


def _small(targets: list[Widget]) -> Iterator[str]:
    least = dp(TARGET_DP) - ROUNDING
    for target in targets:
        if target.width < least or target.height < least:
            yield f"{_name(target)} is only {target.width:.0f} by {target.height:.0f}"


def _outside(widgets: list[Widget]) -> Iterator[str]:
    window = Box(0, 0, Window.width, Window.height)
    for widget in widgets:
        box = box_of(widget)
        lists = [parent for parent in parents_of(widget) if isinstance(parent, ScrollView)]
        if any(view.do_scroll_y for view in lists):
            box = Box(box.left, window.bottom, box.right, window.top)
        if any(view.do_scroll_x for view in lists):
            box = Box(window.left, box.bottom, window.right, box.top)
        inside = box.cut(window)
        lost = max(box.right - box.left - inside.right + inside.left,
                   box.top - box.bottom - inside.top + inside.bottom)  # fmt: skip
        if lost > ROUNDING:
            yield f"{_name(widget)} stands {lost:.0f} pixels outside the window"


def _clipped(labels: list[Label]) -> Iterator[str]:
    for label in labels:
        width, height = label.texture_size
        if width > label.width + ROUNDING or height > label.height + ROUNDING:
            yield (
                f"{_name(label)} needs {width} by {height}, "
                f"has {label.width:.0f} by {label.height:.0f}"
            )


def _broken_words(labels: list[Label]) -> Iterator[str]:
    for label in labels:
        width = label.text_size[0]
        if width is None:
            continue
        font = CoreLabel(font_name=label.font_name, font_size=label.font_size, bold=label.bold)
        room = width - label.padding[0] - label.padding[2]
        for word in label.text.split():
            if "/" not in word and font.get_extents(word)[0] > room + ROUNDING:
                yield f"{_name(label)}: {word!r} does not fit into {room:.0f} pixels"


def _close(targets: list[Widget]) -> Iterator[str]:
    least = dp(GAP_DP) - ROUNDING
    placed = [(target, seen(target, box_of(target))) for target in targets]
    placed = [(target, box) for target, box in placed if not box.empty]
    for (one, here), (other, there) in combinations(placed, 2):
        if one in parents_of(other) or other in parents_of(one):
            continue
        if here.gap(there) < least:
            yield f"{_name(one)} and {_name(other)} are {here.gap(there):.0f} pixels apart"


def _covering(labels: list[Label]) -> Iterator[str]:
    placed = [(label, seen(label, text_box(label))) for label in labels]
    placed = [(label, box) for label, box in placed if not box.empty]
    for (one, here), (other, there) in combinations(placed, 2):
        if not here.cut(there).empty:
            yield f"{_name(one)} and {_name(other)} cover each other"


def _hidden_fields(widgets: list[Widget]) -> Iterator[str]:
    for widget in widgets:
        if isinstance(widget, FieldCell) and widget.current:
            whole = box_of(widget)
            part = seen(widget, whole)
            hidden = (whole.top - whole.bottom) - (part.top - part.bottom)
            if hidden > ROUNDING and whole.top - whole.bottom < Window.height / 3:
                yield f"{_name(widget)} has the cursor, and {hidden:.0f} pixels of it are hidden"


def _strange_colours(labels: list[Label]) -> Iterator[str]:
    known = [tuple(getattr(theme, role)) for role in TEXT_COLOURS]
    for label in labels:
        if tuple(label.color) not in known:
            yield f"{_name(label)} has a colour that is none of the theme's: {label.color}"
