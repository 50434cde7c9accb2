"""Which carrier of a reading each value belongs to.

A band, 'nr', 'lte' or a role word begins a carrier. Band, width, count and channel belong to
the carrier begun last. Levels and PCI belong to the carrier begun last where ';', '+', '|' or
a new line set it apart, or 'nr' or 'lte' was said; without such a sign they go to the first
5G carrier that has none yet, because the anchor is mostly noted by band and width alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from surveyapp.exchange.line_view import Item
from surveyapp.exchange.line_words import LEVELS, Name
from surveyapp.model import Carrier, Rat, Role

_BEGINS = frozenset({Name.BAND, Name.RAT, Name.ROLE})
_OF_SIZE = frozenset({Name.COUNT, Name.WIDTH, Name.CHANNEL, Name.FREQUENCY})
_OF_CARRIERS = _BEGINS | _OF_SIZE | {*LEVELS, Name.PCI}


@dataclass(slots=True)
class Group:
    """A carrier as it is gathered; `told` where its radio was said in words."""

    segment: int
    items: dict[Name, Item] = field(default_factory=dict)
    told: bool = False

    @property
    def rat(self) -> Rat | None:
        """NR or LTE, where something says so."""
        if Name.RAT in self.items:
            return Rat(str(self.items[Name.RAT].value))
        if self.items.get(Name.ROLE) and self.items[Name.ROLE].value == Role.ANCHOR:
            return Rat.LTE
        return next((item.rat for item in self.items.values() if item.rat), None)

    def accepts(self, item: Item) -> bool:
        """Whether the value is still free, and of the same radio."""
        if item.name in self.items:
            return False
        own, other = self.rat, _rat_of(item)
        return own is None or other is None or own is other

    @property
    def empty(self) -> bool:
        """Whether only its radio or role was said: 'lost 5G'."""
        return not set(self.items) - {Name.RAT, Name.ROLE}


class Grouping:
    """Carriers gathered from the items of one line; `left` are those no carrier took."""

    def __init__(self, items: Iterable[Item]) -> None:
        self.groups: list[Group] = []
        self.left: list[Item] = []
        self._current: Group | None = None
        self._sticky: Group | None = None
        self._early: list[Item] = []
        gathered = [item for item in items if item.name in _OF_CARRIERS]
        for place, item in enumerate(gathered):
            following = gathered[place + 1] if place + 1 < len(gathered) else None
            self._add(item, following)
            if following is None or following.segment != item.segment:
                self._end_of_segment()
        self._end_of_line()
        for group in [group for group in self.groups if group.empty]:
            self.groups.remove(group)
            self.left += group.items.values()

    def _add(self, item: Item, following: Item | None) -> None:
        if item.name in _BEGINS:
            self._begin(item, following)
        elif item.name in _OF_SIZE:
            self._put(item, self._current or self._new(item.segment))
        elif self._current is None:
            self._early.append(item)
        else:
            self._put_level(item)

    def _begin(self, item: Item, following: Item | None) -> None:
        """Open a carrier, unless the word completes the one that is open."""
        current = self._current
        if current is None or not current.accepts(item) or self._announces(item, following):
            current = self._new(item.segment)
        current.items[item.name] = item
        current.told |= item.name is Name.RAT

    def _announces(self, item: Item, following: Item | None) -> bool:
        """Whether the word leads a new carrier: a role or radio word before more of it."""
        assert self._current is not None
        if self._current.empty:
            return False
        if item.name is Name.BAND:
            return False
        follows = following is not None and following.segment == item.segment
        return follows and following is not None and following.name in _BEGINS | _OF_SIZE

    def _new(self, segment: int) -> Group:
        self._current = Group(segment)
        self._sticky = None
        self.groups.append(self._current)
        return self._current

    def _put(self, item: Item, group: Group) -> bool:
        if not group.accepts(item):
            self.left.append(item)
            return False
        group.items[item.name] = item
        return True

    def _put_level(self, item: Item) -> None:
        current = self._current
        assert current is not None
        alone = all(group is current or group.segment != current.segment for group in self.groups)
        if current.told or alone or not self._choices(item):
            self._put(item, current)
            return
        group = self._sticky if self._sticky and self._sticky.accepts(item) else None
        self._sticky = group or self._choices(item)[0]
        self._put(item, self._sticky)

    def _choices(self, item: Item) -> list[Group]:
        """Carriers of this segment that still lack the value, the likeliest first."""
        current = self._current
        here = [
            group
            for group in self.groups
            if (current is None or group.segment == current.segment) and group.accepts(item)
        ]
        return sorted(here, key=lambda group: (group.rat is not Rat.NR, group is not current))

    def _end_of_segment(self) -> None:
        """Levels typed before any carrier find theirs now; the next segment starts afresh."""
        early, self._early = self._early, []
        for item in early:
            choices = self._choices(item) or self._of_any_segment(item)
            if choices:
                self._put(item, choices[0])
            else:
                self._early.append(item)
        self._current = self._sticky = None

    def _of_any_segment(self, item: Item) -> list[Group]:
        """Carriers that lack the value, wherever they stand, 5G first."""
        free = [group for group in self.groups if group.accepts(item)]
        return sorted(free, key=lambda group: group.rat is not Rat.NR)

    def _end_of_line(self) -> None:
        """Levels that no carrier has claimed make one of their own."""
        for item in self._early:
            choices = self._of_any_segment(item)
            self._put(item, choices[0] if choices else self._current or self._new(item.segment))


def _rat_of(item: Item) -> Rat | None:
    if item.name is Name.RAT:
        return Rat(str(item.value))
    if item.name is Name.ROLE:
        return Rat.LTE if item.value == Role.ANCHOR else None
    return item.rat


def carriers_of(groups: list[Group]) -> tuple[Carrier, ...]:
    """The carriers, with the radios and roles that were not said."""
    rats = [group.rat or Rat.NR for group in groups]
    made: list[Carrier] = []
    taken = {group.items[Name.ROLE].value for group in groups if Name.ROLE in group.items}
    for group, rat in zip(groups, rats, strict=True):
        first = Role.ANCHOR if rat is Rat.LTE and Rat.NR in rats else Role.PRIMARY
        role = first if first not in taken else Role.SECONDARY
        values: dict[str, Any] = {
            str(name): item.value
            for name, item in group.items.items()
            if name not in (Name.RAT, Name.ROLE)
        }
        if Name.ROLE in group.items:
            role = Role(str(group.items[Name.ROLE].value))
        taken.add(role)
        made.append(Carrier(**{**values, "band": _band(values, rat), "role": role, "rat": rat}))
    return tuple(made)


def _band(values: dict[str, Any], rat: Rat) -> str:
    """'band 20' takes its letter from the carrier's radio."""
    band = str(values.get("band", ""))
    return f"{'n' if rat is Rat.NR else 'B'}{band}" if band.isdigit() else band
