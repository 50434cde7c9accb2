"""The page that tells what one line may say, with its examples."""

from __future__ import annotations

from typing import Any

from surveyapp.exchange.line_grammar import CHAPTERS, UNREAD
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.speech import tr
from surveyapp.ui.widgets.text import SoftText, Text, Value

UNREAD_RULE = (
    "Whatever is not understood goes to the remark, word for word: plain sentences, times, ranges, "
    "and what could be read in two ways."
)


class GrammarSheet(Sheet):
    """Each rule with its examples: as typed, then what it means."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(title="What one line may say", **kwargs)
        chapters = [(chapter.rule, chapter.examples) for chapter in CHAPTERS]
        for rule, examples in (*chapters, (UNREAD_RULE, UNREAD)):
            self.ids.rows.add_widget(Text(text=tr(rule)))
            for example in examples:
                self.ids.rows.add_widget(Value(text=example.typed, bold=True))
                self.ids.rows.add_widget(SoftText(text=example.means))


load_kv(__file__)
