"""A picture made small, beside what is said of it."""

from __future__ import annotations

from typing import Any

from kivy.graphics.texture import Texture
from kivy.metrics import dp
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.widget import Widget

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets.row_list import PlacedRow, RowList


class SmallPicture(Widget):
    """Shows `small`, an exchange Thumbnail, within `side`; without one it takes no room."""

    small = ObjectProperty(None, allownone=True)
    side = NumericProperty(dp(56))
    texture = ObjectProperty(None, allownone=True)

    def on_small(self, *_: Any) -> None:
        """Put its pixels into a texture."""
        self.texture = None if self.small is None else texture_of(self.small)


def texture_of(small: Any) -> Texture:
    """A texture of a thumbnail's pixels, filled again when the system took it away."""
    size = (small.width_px, small.height_px)
    texture = Texture.create(size=size, colorfmt="rgb")
    texture.flip_vertical()

    def fill(made: Texture) -> None:
        made.blit_buffer(small.pixels, size=size, colorfmt="rgb", bufferfmt="ubyte")

    fill(texture)
    texture.add_reload_observer(fill)
    return texture


class PhotoRow(PlacedRow):
    """A row that begins with its picture."""

    small = ObjectProperty(None, allownone=True)

    def on_kv_post(self, *_: Any) -> None:
        """Put the picture first."""
        picture = SmallPicture(pos_hint={"center_y": 0.5})
        self.bind(small=picture.setter("small"))
        self.add_widget(picture, index=len(self.children))


class PhotoList(RowList):
    """A list of pictures: each item also has `small`."""

    def made_row(self) -> PhotoRow:
        """A row with room for its picture."""
        row = PhotoRow()
        row.bind(on_release=self._tapped)
        return row

    def write(self, row: PhotoRow, item: Any) -> None:
        """Show an item in a row."""
        super().write(row, item)
        row.small = item.small


load_kv(__file__)
