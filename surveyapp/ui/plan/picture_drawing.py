"""A picture of the ground below the plan, square by square, from a file of the surveyor's."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from io import BytesIO
from typing import Any

import numpy as np
from kivy.core.image import Image as CoreImage
from kivy.graphics import Color, Mesh

from surveyapp.errors import SurveyError
from surveyapp.geometry.plan_projection import Plane
from surveyapp.store.tiles import TileFile
from surveyapp.ui.plan import shaders
from surveyapp.ui.plan.layers import Layer
from surveyapp.ui.plan.picture_squares import Square, squares_seen
from surveyapp.ui.plan.viewport import Viewport

KEPT = 120
_INDICES = np.array([0, 1, 2, 0, 2, 3], dtype=np.uint16)


class PictureLayer(Layer):
    """Draws what `show_file` was given; `want` and `load_one` as the ground does. `let_go` is
    told why a file that was being drawn is drawn no longer."""

    vertex = shaders.PICTURE_VERTEX
    fragment = shaders.TEXT_FRAGMENT

    def __init__(self, dp: float) -> None:
        super().__init__()
        self.dp = dp
        self.let_go: Callable[[SurveyError], object] = lambda error: None
        self._file: TileFile | None = None
        self._plane: Plane | None = None
        self._held: OrderedDict[Square, None] = OrderedDict()
        self._wanted: list[Square] = []
        self._shown_squares: tuple[Square, ...] = ()

    @property
    def has_file(self) -> bool:
        """Whether there is a picture to draw."""
        return self._file is not None

    def show_file(self, file: TileFile | None, plane: Plane | None) -> None:
        """Another file, or none."""
        if self._file is not None and self._file is not file:
            self._file.close()
        self._file, self._plane = file, plane
        self._held.clear()
        self._wanted, self._shown_squares = [], ()
        self.wipe()

    def want(self, viewport: Viewport) -> bool:
        """Show the squares in sight; whether any is still to be loaded."""
        if self._file is None or self._plane is None or not self.switched_on:
            return False
        seen = tuple(squares_seen(viewport, self._plane, self._file.zooms, self.dp))
        self._wanted = [square for square in seen if square not in self._held]
        if seen != self._shown_squares:
            self._shown_squares = seen
            for square in seen:
                if square in self._held:
                    self._held.move_to_end(square)
            while len(self._held) > KEPT:
                self.forget(self._held.popitem(last=False)[0])
            self.show_only(seen)
        return bool(self._wanted)

    def load_one(self, *_: Any) -> bool:
        """Load the next square; whether there are more. A file damaged there is let go."""
        if self._wanted:
            square = self._wanted.pop(0)
            self._held[square] = None
            assert self._file is not None
            try:
                content = self._file.picture(*square)
            except SurveyError as error:
                self.show_file(None, None)
                self.let_go(error)
                return False
            self.begin(square)
            if content is not None:
                self._draw(square, content, self._file.kind)
        return bool(self._wanted)

    def _draw(self, square: Square, content: bytes, kind: str) -> None:
        assert self._plane is not None
        try:
            texture = CoreImage(BytesIO(content), ext=kind).texture
        except Exception:
            return
        lats, lons = zip(*square.corners_deg, strict=True)
        corners = np.column_stack(self._plane.to_plane(np.array(lats), np.array(lons)))
        uv = np.array(texture.tex_coords).reshape(4, 2)
        self.put(Color(1, 1, 1, 1))
        self.put(
            Mesh(
                vertices=np.hstack([corners, uv]).astype(np.float32).ravel(),
                indices=_INDICES,
                fmt=shaders.PICTURE_FORMAT,
                mode="triangles",
                texture=texture,
            )
        )
