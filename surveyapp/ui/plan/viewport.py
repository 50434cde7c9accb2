"""Which piece of the plane is seen, and how large: the arithmetic of panning and zooming."""

from __future__ import annotations

from dataclasses import dataclass, replace

LEAST_PX_PER_M = 0.004  # a region of some 100 km on a phone
MOST_PX_PER_M = 40.0  # a manhole cover fills the thumb
FIT_MARGIN = 0.78  # share of the window that fitted things fill


@dataclass(frozen=True, slots=True)
class Viewport:
    """A north-up window of `width_px` x `height_px`, its middle on (east_m, north_m).

    Pixels count from the window's lower left corner, x to the right and y upwards.
    """

    width_px: float = 100.0
    height_px: float = 100.0
    east_m: float = 0.0
    north_m: float = 0.0
    px_per_m: float = 1.0

    @property
    def offset_px(self) -> tuple[float, float]:
        """Where the origin of the plane falls: x = east_m * px_per_m + offset."""
        return (
            self.width_px / 2 - self.east_m * self.px_per_m,
            self.height_px / 2 - self.north_m * self.px_per_m,
        )

    @property
    def box_m(self) -> tuple[float, float, float, float]:
        """(west, south, east, north) of what is seen, in metres of the plane."""
        half_width_m = self.width_px / 2 / self.px_per_m
        half_height_m = self.height_px / 2 / self.px_per_m
        return (
            self.east_m - half_width_m,
            self.north_m - half_height_m,
            self.east_m + half_width_m,
            self.north_m + half_height_m,
        )

    def to_window(self, east_m: float, north_m: float) -> tuple[float, float]:
        """The pixel a place falls on."""
        x0, y0 = self.offset_px
        return x0 + east_m * self.px_per_m, y0 + north_m * self.px_per_m

    def to_plane(self, x_px: float, y_px: float) -> tuple[float, float]:
        """The place under a pixel, in metres."""
        x0, y0 = self.offset_px
        return (x_px - x0) / self.px_per_m, (y_px - y0) / self.px_per_m

    def sized(self, width_px: float, height_px: float) -> Viewport:
        """The same scale in a window of another size.

        Where only the height changes (a card came up below) nothing moves under the finger:
        the upper edge stays. Else the middle stays.
        """
        width_px, height_px = max(width_px, 1.0), max(height_px, 1.0)
        down_m = 0.0
        if width_px == self.width_px:
            down_m = (self.height_px - height_px) / 2 / self.px_per_m
        return replace(self, width_px=width_px, height_px=height_px, north_m=self.north_m + down_m)

    def sees(self, east_m: float, north_m: float) -> bool:
        """Whether a place is in sight."""
        x, y = self.to_window(east_m, north_m)
        return 0.0 <= x <= self.width_px and 0.0 <= y <= self.height_px

    def moved(self, dx_px: float, dy_px: float) -> Viewport:
        """The drawing pushed by so many pixels."""
        return replace(
            self,
            east_m=self.east_m - dx_px / self.px_per_m,
            north_m=self.north_m - dy_px / self.px_per_m,
        )

    def zoomed(self, factor: float, x_px: float, y_px: float) -> Viewport:
        """The drawing enlarged, the place under (x_px, y_px) staying where it is."""
        px_per_m = min(max(self.px_per_m * factor, LEAST_PX_PER_M), MOST_PX_PER_M)
        east_m, north_m = self.to_plane(x_px, y_px)
        return replace(
            self,
            px_per_m=px_per_m,
            east_m=east_m - (x_px - self.width_px / 2) / px_per_m,
            north_m=north_m - (y_px - self.height_px / 2) / px_per_m,
        )

    def centred(self, east_m: float, north_m: float) -> Viewport:
        """The same scale with another place in the middle."""
        return replace(self, east_m=east_m, north_m=north_m)

    def fitted(self, box_m: tuple[float, float, float, float], least_m: float = 150.0) -> Viewport:
        """All of (west, south, east, north) in sight; never closer than `least_m` across."""
        west, south, east, north = box_m
        wide_m, high_m = max(east - west, least_m), max(north - south, least_m)
        px_per_m = FIT_MARGIN * min(self.width_px / wide_m, self.height_px / high_m)
        return replace(
            self,
            east_m=(west + east) / 2,
            north_m=(south + north) / 2,
            px_per_m=min(max(px_per_m, LEAST_PX_PER_M), MOST_PX_PER_M),
        )
