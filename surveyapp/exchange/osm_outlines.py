"""Multipolygon relations of OpenStreetMap: buildings whose outline is spread over ways.

Shared by the PBF and the XML reader, which see the relations' members in different ways but
must give the same ground. Source: OpenStreetMap wiki, page 'Relation:multipolygon' (from
memory): members with role `inner` are courtyards, all others belong to the outline.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from surveyapp.exchange.ground import GroundBuilder, Place, Tags, is_building


@dataclass(frozen=True, slots=True)
class Outline:
    """A building relation: its tags and the ids of its member ways."""

    tags: Tags
    outer_ids: tuple[int, ...]
    inner_ids: tuple[int, ...]


def building_outline(tags: Tags, way_members: Iterable[tuple[int, str]]) -> Outline | None:
    """The relation's outline where it is a building; `way_members` are (way id, role)."""
    if tags.get("type") != "multipolygon" or not is_building(tags):
        return None
    members = tuple(dict.fromkeys(way_members))  # a way given again would close no other ring
    return Outline(
        tags=tags,
        outer_ids=tuple(way for way, role in members if role != "inner"),
        inner_ids=tuple(way for way, role in members if role == "inner"),
    )


def add_outlines(
    builder: GroundBuilder, outlines: Iterable[Outline], ways: Mapping[int, Sequence[Place]]
) -> None:
    """Hand each relation to the builder with the points of its member ways, by way id."""
    for outline in outlines:
        builder.add_area(
            outline.tags,
            [ways.get(way, ()) for way in outline.outer_ids],
            [ways.get(way, ()) for way in outline.inner_ids],
        )
