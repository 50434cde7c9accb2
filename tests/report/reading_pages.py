"""Reading a page as a browser's parser would, with nothing but the standard library."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "img", "br", "link", "input", "hr"}
SILENT = {"style", "script", "title"}


@dataclass
class Element:
    """One element with its attributes, all text inside it, and the elements around it."""

    name: str
    attributes: dict[str, str]
    parents: tuple[str, ...]
    text: str = ""


@dataclass
class Page(HTMLParser):
    """All elements of a page, in order. `unclosed` names what was left open."""

    source: str
    elements: list[Element] = field(default_factory=list)
    text: str = ""

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._open: list[Element] = []
        self.feed(self.source)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open an element."""
        parents = tuple(element.name for element in self._open)
        element = Element(tag, {name: value or "" for name, value in attrs}, parents)
        self.elements.append(element)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element closed at once."""
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        """Close an element; anything but the innermost one is a fault of the page."""
        assert self._open, f"</{tag}> closes nothing"
        assert self._open[-1].name == tag, f"</{tag}> while {self._open[-1].name} is open"
        self._open.pop()

    def handle_data(self, data: str) -> None:
        """Text, for every element it lies in."""
        for element in self._open:
            element.text += data
        if not any(element.name in SILENT for element in self._open):
            self.text += data

    @property
    def unclosed(self) -> list[str]:
        """What was never closed."""
        return [element.name for element in self._open]

    def of(self, name: str, style: str = "") -> list[Element]:
        """The elements of a name, and of a class where one is given."""
        return [
            element
            for element in self.elements
            if element.name == name
            and (not style or style in element.attributes.get("class", "").split())
        ]

    @property
    def words(self) -> str:
        """All that is read, with single blanks."""
        return " ".join(self.text.split())
