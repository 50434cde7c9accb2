"""A whole street by its name, as one way to walk: its lines put end to end.

A street is often several lines: it is drawn anew at each junction, both carriageways of a wide
one bear its name, and a square may lie in between.
"""

from __future__ import annotations

import numpy as np

from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.analysis.street_network import Route, StreetNetwork

ACROSS_M = 40.0  # a line wholly within this of a longer one is its other carriageway
BRIDGED_M = 80.0  # the street goes on beyond a junction or a square so wide


def street_route(network: StreetNetwork, name: str) -> Route:
    """The street of this name from end to end, as far as its lines follow each other.

    Raises NoAnswer where no street is called so.
    """
    lines = [_places_m(network, route) for route in network.named(name)]
    whole, rest = lines[0], lines[1:]
    while True:
        rest = [line for line in rest if not _lies_along(line, whole)]
        found = [(apart, joined) for line in rest for apart, joined in _joined(whole, line)]
        if not found or min(found, key=lambda pair: pair[0])[0] > BRIDGED_M:
            break
        whole = min(found, key=lambda pair: pair[0])[1]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(whole, axis=0).T))])
    kept = np.append(True, np.diff(along) > 1e-6)
    points = np.column_stack(network.plane.to_world(*whole[kept].T))
    return Route(points, along[kept])


def _places_m(network: StreetNetwork, route: Route) -> FloatArray:
    return np.column_stack(network.plane.to_plane(*route.points_deg.T))


def _joined(whole: FloatArray, line: FloatArray) -> list[tuple[float, FloatArray]]:
    """The line put to either end of the whole, each way round, and how far it lies off."""
    found = []
    for piece in (line, line[::-1]):
        for first, second in ((whole, piece), (piece, whole)):
            apart = float(np.hypot(*(second[0] - first[-1])))
            found.append((apart, np.concatenate([first, second])))
    return found


def _lies_along(line: FloatArray, whole: FloatArray) -> bool:
    """Whether every point of a line is near the whole."""
    start, along = whole[:-1], np.diff(whole, axis=0)
    length2 = np.maximum(np.sum(along**2, axis=1), 1e-12)
    away = line[:, None, :] - start
    share = np.clip(np.sum(away * along, axis=2) / length2, 0.0, 1.0)
    off = np.hypot(*np.moveaxis(away - share[..., None] * along, 2, 0))
    return bool(np.all(off.min(axis=1) <= ACROSS_M))
