"""The list before the runs: for each phone four points, each ticked with one touch."""

from __future__ import annotations

from typing import Any

from kivy.uix.stacklayout import StackLayout

from surveyapp.analysis.preparation import Tick
from surveyapp.model import Device
from surveyapp.ui.preparing import TICK_WORDS, preparation_of, ticked, toggle
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.widgets.buttons import Chip
from surveyapp.ui.widgets.rows import EmptyState
from surveyapp.ui.widgets.text import Heading


class Ticks(StackLayout):
    """The points of one phone."""


class BeforeRuns(Sheet):
    """Ticks are kept at once, with the time; the runs that follow count as prepared so."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(title="Before the runs", **kwargs)
        self.subtitle = f"Stop {self.session.need_stop().number}"
        self._chips: dict[tuple[str, Tick], Chip] = {}
        for device in self.session.devices:
            self._add(device)
        if not self.session.devices:
            empty = EmptyState(title="No phone yet", text="A phone comes with its first reading.")
            self.ids.rows.add_widget(empty)
        self.show()

    def show(self, *_: Any) -> None:
        """Mark what is ticked."""
        for device in self.session.devices:
            done = ticked(preparation_of(self.session, device))
            for tick in Tick:
                self._chips[device.id, tick].chosen = tick in done

    def _add(self, device: Device) -> None:
        ticks = Ticks()
        for tick in Tick:
            chip = Chip(text=TICK_WORDS[tick])
            chip.bind(on_release=lambda *_, tick=tick: self._tap(device, tick))
            self._chips[device.id, tick] = chip
            ticks.add_widget(chip)
        self.ids.rows.add_widget(Heading(text=device.label))
        self.ids.rows.add_widget(ticks)

    def _tap(self, device: Device, tick: Tick) -> None:
        self.session.attempt(lambda: toggle(self.session, device, tick))
        self.session.senses.buzz()
        self.show()


load_kv(__file__)
