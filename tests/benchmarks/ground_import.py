"""Time to bring in the Helsinki extract, as a ratio to bare osmium passes over the same file.

Run with `python -m tests.benchmarks.ground_import`. Two references, both with positions of
the ways' points: `same handlers` makes the same two filtered passes and touches every object
that our reader is handed, doing nothing with it; `all objects` is a plain SimpleHandler with
empty node, way and relation callbacks.
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import osmium
import osmium.filter

from surveyapp.exchange.formats import read_ground
from surveyapp.exchange.ground import FURNITURE_TAGS, WAY_KEYS
from surveyapp.resources import shipped

ROUNDS = 15


def same_handlers(path: Path) -> int:
    """The reader's passes, with each object's tags and points seen and dropped."""
    source = str(path)
    seen = 0
    relations = osmium.FileProcessor(source, osmium.osm.RELATION)
    for relation in relations.with_filter(osmium.filter.KeyFilter("building", "building:part")):
        seen += len(relation.tags) + len(relation.members)

    class Untagged(osmium.SimpleHandler):
        def way(self, way: osmium.osm.Way) -> None:
            pass

    objects = osmium.FileProcessor(source, osmium.osm.NODE | osmium.osm.WAY).with_locations()
    objects.with_filter(osmium.filter.TagFilter(*FURNITURE_TAGS).enable_for(osmium.osm.NODE))
    objects.with_filter(osmium.filter.KeyFilter(*WAY_KEYS).enable_for(osmium.osm.WAY))
    objects.handler_for_filtered(Untagged())
    for thing in objects:
        for tag in thing.tags:
            seen += len(tag.k) > 0
        if thing.is_way():
            for node in thing.nodes:
                seen += node.x > 0
    return seen


def all_objects(path: Path) -> None:
    """One pass with empty callbacks."""

    class Empty(osmium.SimpleHandler):
        def node(self, node: osmium.osm.Node) -> None:
            pass

        def way(self, way: osmium.osm.Way) -> None:
            pass

        def relation(self, relation: osmium.osm.Relation) -> None:
            pass

    Empty().apply_file(str(path), locations=True)


def best_ms(work: Callable[[Path], object], path: Path) -> float:
    """The quickest of several rounds, in milliseconds."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work(path)
        times.append((time.perf_counter() - start) * 1000.0)
    return min(times)


def ratios(path: Path) -> dict[str, float]:
    """Milliseconds of each, by name, all measured in this run."""
    for work in (same_handlers, all_objects, read_ground):
        work(path)
    return {
        "import": best_ms(read_ground, path),
        "same handlers": best_ms(same_handlers, path),
        "all objects": best_ms(all_objects, path),
    }


def main() -> None:
    """Print the table."""
    path = (
        Path(sys.argv[1]) if sys.argv[1:] else shipped("sample_surveys", "helsinki_centre.osm.pbf")
    )
    took = ratios(path)
    print(f"{path.name}, best of {ROUNDS}")
    for name, value in took.items():
        print(f"{name:>14} {value:8.1f} ms   import is {took['import'] / value:.2f} times this")
    tracemalloc.start()
    read_ground(path)
    print(f"Python memory at its peak: {tracemalloc.get_traced_memory()[1] / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
