"""A widget that lives on after the one whose rule it follows is gone harms nobody."""

from __future__ import annotations

import gc

from kivy.factory import Factory
from kivy.lang import Builder
from kivy.metrics import Metrics

from tests.ui import harness  # noqa: F401  before anything is drawn

from surveyapp.ui import theme  # noqa: F401  isort: skip


def test_a_change_of_text_size_after_a_rules_root_has_gone_is_no_error() -> None:
    """A chip held by a finger while its row was made anew once ended the app: 'weakly-referenced
    object no longer exists'."""
    Builder.load_string(
        """
#:import Metrics kivy.metrics.Metrics
<GoneRow@BoxLayout>:
    Widget:
        width: root.x + 10 * Metrics.fontscale
"""
    )
    row = Factory.GoneRow()
    chip = row.children[0]
    row.clear_widgets()
    del row
    gc.collect()
    before = Metrics.fontscale

    try:
        Metrics.fontscale = 1.5
    finally:
        Metrics.fontscale = before

    assert chip.width == 10 * before
