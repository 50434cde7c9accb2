"""Writing vector pictures: elements with escaped attributes, and numbers of few digits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape

Point = tuple[float, float]


def element(name: str, content: str | Markup = "", **attributes: object) -> Markup:
    """`<name key="value">content</name>`; a trailing underscore is dropped, others are hyphens.

    Text content is escaped unless it is Markup; attributes of None are left out.
    """
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_value(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    return Markup(f"<{name}{said}>{escape(content)}</{name}>")


def group(parts: Iterable[Markup], **attributes: object) -> Markup:
    """The parts, one after the other, in a `<g>`."""
    return element("g", Markup("").join(parts), **attributes)


def path(lines: Iterable[Sequence[Point]], *, closed: bool = False) -> str:
    """The `d` of a path through each line's points, to a tenth of a unit."""
    pieces = []
    for line in lines:
        points = [f"{x:.1f} {y:.1f}" for x, y in line]
        if len(points) > 1:
            pieces.append(f"M{points[0]}L{' '.join(points[1:])}{'Z' if closed else ''}")
    return "".join(pieces)


def _value(value: object) -> object:
    return f"{value:.5g}" if isinstance(value, float) else value
