"""The theme as Kivy sees it: `theme.ink`, `theme.paper` ... in every kv rule.

Changing `theme.name` recolours what is on screen at once; `theme.text_scale` resizes text
(kv rules write `N * Metrics.sp`, which follows it). Importing this module registers the
fonts and the base rules of `theme.kv`.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kivy import kivy_data_dir
from kivy.core.text import LabelBase
from kivy.core.window import Window
from kivy.event import EventDispatcher
from kivy.lang import Builder
from kivy.lang.parser import global_idmap
from kivy.metrics import Metrics
from kivy.properties import (
    BooleanProperty,
    ColorProperty,
    NumericProperty,
    ObjectProperty,
    OptionProperty,
    StringProperty,
)
from kivy.uix.widget import Widget, _widget_destructors

from surveyapp.languages import SOURCE
from surveyapp.resources import shipped
from surveyapp.ui import rules  # noqa: F401  before any .kv is read
from surveyapp.ui.letters import Fonts
from surveyapp.ui.speech import speech
from surveyapp.ui.tokens import PALETTES, colours
from surveyapp.wording import kept_together

FONT = "B612"
WIDER = "Roboto"  # Kivy's own; both are with every Kivy, also on the phone
WIDEST = "DejaVuSans"
TEXT_SCALES = (1.0, 1.3, 1.6, 2.0)


def said(text: str, lengths: bool = True) -> str:
    """A text as it is drawn: in the language in force, no number parted from its unit."""
    return kept_together(speech.tr(text, lengths))


class Theme(EventDispatcher):
    """Colours of the chosen palette, text scale, language and hand, as live properties.

    kv rules write `theme.tr(root.text)` for all but what was typed into a field, and
    `theme.tr(root.text, False)` where metres stay metres: on sheets, and where remarks stand.
    """

    name = OptionProperty("day", options=tuple(PALETTES))
    text_scale = NumericProperty(1.0)
    language = StringProperty(SOURCE)
    left_handed = BooleanProperty(False)
    tr = ObjectProperty(said)
    paper = ColorProperty()
    raised = ColorProperty()
    pressed = ColorProperty()
    ink = ColorProperty()
    soft = ColorProperty()
    line = ColorProperty()
    accent = ColorProperty()
    over_accent = ColorProperty()
    wash = ColorProperty()
    band_near = ColorProperty()
    band_far = ColorProperty()

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._system_scale = Metrics.fontscale
        self.on_name()

    def on_name(self, *_: object) -> None:
        """Take over the palette's colours."""
        with undisturbed():
            for role, colour in colours(self.name).items():
                setattr(self, role, colour)
        Window.clearcolor = self.paper

    def on_language(self, *_: object) -> None:
        """Take the language over."""
        speech.language = self.language
        self.say_anew()

    def say_anew(self) -> None:
        """Say every text of the screen anew, as language and units are now."""
        with undisturbed():
            self.tr = lambda text, lengths=True: said(text, lengths)

    def on_text_scale(self, *_: object) -> None:
        """Scale text on top of what the system asks for."""
        with undisturbed():
            Metrics.fontscale = self._system_scale * self.text_scale


@contextmanager
def undisturbed() -> Iterator[None]:
    """While all widgets are told of a change, none goes: Kivy would tell it when it is dead.

    A chip that its row replaces midway goes at once, others when the collector comes by.
    """
    collecting = gc.isenabled()
    gc.disable()
    living = _living_widgets()
    try:
        yield
    finally:
        living.clear()
        if collecting:
            gc.enable()


def _living_widgets() -> list[Widget]:
    """Every widget that a .kv rule tells of changes, wherever it hangs; Kivy's own list of them."""
    found = []
    for _, proxy in list(_widget_destructors.values()):
        with suppress(ReferenceError):
            found.append(proxy.__self__)
    return found


def load_kv(module_file: str) -> None:
    """Load the .kv that stands beside a module: call `load_kv(__file__)` once, at its top."""
    path = Path(module_file).with_suffix(".kv")
    if str(path) not in Builder.files:
        Builder.load_file(str(path), rulesonly=True)


def _registered_fonts() -> Fonts:
    """Ours, and those that stand in where it lacks a letter; their licences are Kivy's to tell."""
    own, kivys = shipped("assets", "fonts"), Path(kivy_data_dir) / "fonts"
    regulars = []
    for name, regular, bold in (
        (FONT, own / f"{FONT}-Regular.otf", own / f"{FONT}-Bold.otf"),
        (WIDER, kivys / f"{WIDER}-Regular.ttf", kivys / f"{WIDER}-Bold.ttf"),
        (WIDEST, kivys / f"{WIDEST}.ttf", kivys / f"{WIDEST}.ttf"),
    ):
        if regular.is_file():
            LabelBase.register(name, str(regular), fn_bold=str(bold))
            regulars.append((name, regular))
    return Fonts(regulars)


theme = Theme()
global_idmap["theme"] = theme
font_of = _registered_fonts().of
global_idmap["font_of"] = font_of
load_kv(__file__)
