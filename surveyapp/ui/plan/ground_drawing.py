"""The ground on the canvas, square by square: what is in sight is drawn, the rest waits."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable
from typing import Any

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Ground
from surveyapp.ui.plan import ground_strokes
from surveyapp.ui.plan.ground_shapes import GroundShapes, lay_out_ground
from surveyapp.ui.plan.ink import Ink
from surveyapp.ui.plan.layers import FillLayer, Layer, StrokeLayer
from surveyapp.ui.plan.street_names import NamedLine, joined
from surveyapp.ui.plan.tiles import KEPT, Tile, box_deg, tiles_seen
from surveyapp.ui.plan.viewport import Viewport

Find = Callable[..., Ground]
"""find(south_deg, west_deg, north_deg, east_deg, streets_only=...) -> Ground."""


class GroundDrawing:
    """Draws the ground that `find` gives, laid out in a plane; `dp` is pixels per dp."""

    def __init__(self, dp: float) -> None:
        self.dp = dp
        self.buildings = FillLayer(ground_strokes.BUILDINGS_FROM * dp)
        self.walls = StrokeLayer(ground_strokes.WALLS_FROM * dp)
        self.paths = StrokeLayer(ground_strokes.PATHS_FROM * dp)
        self.edges = StrokeLayer(ground_strokes.STREETS_FROM * dp)
        self.streets = StrokeLayer(ground_strokes.STREETS_FROM * dp)
        self.furniture = StrokeLayer(ground_strokes.FURNITURE_FROM * dp)
        self._by_name: dict[str, Any] = {
            name: getattr(self, name)
            for name in ("paths", "edges", "streets", "buildings", "walls", "furniture")
        }
        self._due: dict[str, Any] = {}
        self._find: Find | None = None
        self._plane: Plane | None = None
        self._held: OrderedDict[Tile, GroundShapes] = OrderedDict()
        self._wanted: list[Tile] = []
        self._seen: tuple[Tile, ...] = ()
        self._named: tuple[frozenset[Tile], tuple[NamedLine, ...]] = (frozenset(), ())

    @property
    def layers(self) -> tuple[Layer, ...]:
        """From the lowest to the uppermost; all edges go below all faces: crossings stay open."""
        return tuple(self._by_name.values())

    def show(self, find: Find | None, plane: Plane | None) -> None:
        """Another ground, or none: forget what was drawn."""
        self._find, self._plane = find, plane
        self._held.clear()
        self._wanted, self._seen = [], ()
        self._named = (frozenset(), ())
        for layer in self.layers:
            layer.wipe()

    def want(self, viewport: Viewport) -> bool:
        """Show the squares in sight; whether any of them is still to be loaded."""
        if self._find is None:
            return False
        seen = tuple(tiles_seen(viewport, self.dp))
        due = {n: layer for n, layer in self._by_name.items() if layer.shows(viewport.px_per_m)}
        if seen != self._seen or due != self._due:
            self._due = due
            self._wanted = [tile for tile in seen if self._lacks(tile)]
        if seen != self._seen:
            self._seen = seen
            for tile in seen:
                if tile in self._held:
                    self._held.move_to_end(tile)
            self._forget_oldest()
            for layer in self.layers:
                layer.show_only(seen)
        return bool(self._wanted)

    def load_one(self, theme: Any) -> bool:
        """Load and draw the next square; whether there are more."""
        if self._wanted:
            assert self._find is not None
            assert self._plane is not None
            tile = self._wanted.pop(0)
            if tile not in self._held:
                ground = self._find(*box_deg(tile, self._plane), streets_only=not tile.near)
                self._held[tile] = lay_out_ground(ground, self._plane, tile.box_m)
            for name in self._lacks(tile):
                self._draw(name, tile)
                self._due[name].recolour(theme, tile)
        return bool(self._wanted)

    @property
    def names(self) -> tuple[NamedLine, ...]:
        """The named streets in sight, each joined over the squares it crosses."""
        shown = frozenset(tile for tile in self._seen if tile in self._held)
        if shown != self._named[0]:
            lines = [line for tile in sorted(shown) for line in self._held[tile].names]
            self._named = (shown, tuple(joined(lines)))
        return self._named[1]

    def _lacks(self, tile: Tile) -> list[str]:
        """The layers that this scale shows and that do not hold the square yet."""
        return [name for name, layer in self._due.items() if not layer.holds(tile)]

    def _draw(self, name: str, tile: Tile) -> None:
        layer, shapes = self._by_name[name], self._held[tile]
        layer.begin(tile)
        if name == "buildings":
            self.buildings.draw(shapes.buildings, "pressed")
            return
        for ink in _INKS[name](shapes, self.dp):
            layer.draw(ink.strokes, ink.role, ink.opacity)

    def _forget_oldest(self) -> None:
        while len(self._held) > KEPT:
            tile, _ = self._held.popitem(last=False)
            for layer in self.layers:
                layer.forget(tile)


_INKS: dict[str, Callable[[GroundShapes, float], Iterable[Ink]]] = {
    "paths": ground_strokes.path_inks,
    "edges": ground_strokes.edge_inks,
    "streets": ground_strokes.street_inks,
    "walls": ground_strokes.wall_inks,
    "furniture": ground_strokes.furniture_inks,
}
