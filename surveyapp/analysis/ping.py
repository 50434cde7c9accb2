"""The lowest ping that a server's distance allows, and the one to expect.

Lowest ping = 2 x distance / (2/3 x speed of light): there and back along the geodesic, in
glass, where light goes at about two thirds of its speed (index 1.468 of ITU-T G.652 fibre,
from memory). Real routes are longer, and the phone's own network adds its part.
"""

from __future__ import annotations

from surveyapp.analysis.expected import Expected, Line
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import SpeedRun, Stop
from surveyapp.radio.propagation import LIGHT_M_S

FIBRE_SHARE = 2.0 / 3.0  # of the speed of light
DETOUR, DETOUR_SIGMA = 1.5, 0.3  # cables against the geodesic; common practice
# what the radio network adds, with and without a 5G leg, and its spread; common practice
ACCESS_MS = {True: (12.0, 6.0), False: (25.0, 12.0)}
WIDEST_MS = 100.0


def lowest_ping_ms(distance_m: float) -> float:
    """Milliseconds there and back over `distance_m` of straight fibre."""
    return 2000.0 * distance_m / (FIBRE_SHARE * LIGHT_M_S)


def server_distance_m(stop: Stop, run: SpeedRun) -> float | None:
    """From the stop to the run's server, None where either place is not known."""
    places = (stop.lat_deg, stop.lon_deg, run.server_lat_deg, run.server_lon_deg)
    if any(place is None for place in places):
        return None
    try:
        return inverse(*(float(place or 0.0) for place in places)).distance_m
    except ValueError:
        return None


def ping_expected(run: SpeedRun, distance_m: float | None, *, with_5g: bool) -> Expected:
    """The ping's strip; without a server's place nothing is expected."""
    mean = sigma = None
    if distance_m is not None:
        lowest = lowest_ping_ms(distance_m)
        access, spread = ACCESS_MS[with_5g]
        mean = DETOUR * lowest + access
        sigma = (spread**2 + (DETOUR_SIGMA * lowest) ** 2) ** 0.5
    widest = max(WIDEST_MS, run.ping_ms or 0.0, (mean or 0.0) + 3.0 * (sigma or 0.0))
    return Expected(
        quantity="Ping", unit="ms", low=0.0, high=widest, mean=mean, sigma=sigma,
        measured=run.ping_ms,
    )  # fmt: skip


def ping_lines(run: SpeedRun, distance_m: float | None, *, with_5g: bool) -> tuple[Line, ...]:
    """What the expected ping is made of."""
    if distance_m is None:
        return (Line("server's distance", None, "km", "note the server's place to see it"),)
    lowest = lowest_ping_ms(distance_m)
    access, spread = ACCESS_MS[with_5g]
    network = "5G" if with_5g else "LTE"
    return (
        Line("server's distance", distance_m / 1000.0, "km", run.server_place),
        Line("lowest possible ping", lowest, "ms", "2 x distance / (2/3 c), light in fibre"),
        Line("detours of the route", (DETOUR - 1.0) * lowest, "ms", "common practice, ±20 %"),
        Line("radio network", access, "ms", f"{network}, common practice, ±{spread:.0f} ms"),
        Line("ping expected", DETOUR * lowest + access, "ms", "the sum"),
        Line("ping read", run.ping_ms, "ms"),
    )
