"""The serving probability against brute force: each case drawn 100,000 times."""

from __future__ import annotations

import numpy as np
import pytest

from surveyapp.geometry.geodesy import destination
from surveyapp.geometry.serving import Candidate, Observation, serving
from surveyapp.model import View
from tests.geometry.drawn_levels import drawn_share

STOP = (60.1699, 24.9384)
DRAWS = 100_000
STANDARD_ERRORS = 3.0


def sector(
    name: str, towards_deg: float, distance_m: float, azimuth_deg: float | None, **more: object
) -> Candidate:
    """A sector `distance_m` from the stop; the first word of its name is its site."""
    lat_deg, lon_deg = destination(*STOP, towards_deg, distance_m)
    values: dict[str, object] = {"mhz": 26900.0, "site_id": name.split()[0]} | more
    return Candidate(name=name, lat_deg=lat_deg, lon_deg=lon_deg, azimuth_deg=azimuth_deg, **values)  # type: ignore[arg-type]


def observation(**more: object) -> Observation:
    """An observation at the stop."""
    values: dict[str, object] = {"unlisted_share": 0.02} | more
    return Observation(lat_deg=STOP[0], lon_deg=STOP[1], **values)  # type: ignore[arg-type]


CASES = {
    "three sites, one panel each": (
        observation(),
        [
            sector("Alder A", 10.0, 60.0, 200.0, view=View.CLEAR),
            sector("Birch A", 120.0, 90.0, 320.0),
            sector("Cedar A", 250.0, 45.0, 150.0, view=View.BLOCKED),
        ],
    ),
    "one site of three panels, close, position uncertain": (
        observation(position_sigma_m=10.0),
        [
            sector("Alder A", 30.0, 35.0, 150.0),
            sector("Alder B", 30.0, 35.0, 270.0),
            sector("Alder C", 30.0, 35.0, 30.0),
            sector("Birch A", 200.0, 80.0, 50.0),
        ],
    ),
    "an azimuth not known": (
        observation(),
        [
            sector("Alder A", 0.0, 70.0, None, view=View.CLEAR),
            sector("Birch A", 90.0, 70.0, 300.0, view=View.CLEAR, azimuth_sigma_deg=25.0),
        ],
    ),
    "a measured RSRP": (
        observation(rsrp_dbm=-101.0, phone_offset_db=2.0, phone_sigma_db=3.0),
        [
            sector("Alder A", 10.0, 60.0, 200.0),
            sector("Birch A", 120.0, 90.0, 320.0),
            sector("Birch B", 120.0, 90.0, 200.0),
            sector("Cedar A", 250.0, 150.0, 60.0),
        ],
    ),
    "many unlisted": (
        observation(unlisted_share=0.3, rsrp_dbm=-90.0),
        [
            sector("Alder A", 10.0, 160.0, 200.0, los_probability=0.3, on_air=0.6),
            sector("Birch A", 120.0, 290.0, 320.0, eirp_dbm=50.0, on_air=0.6),
        ],
    ),
    "one site of unknown carriers, its panels alike": (
        observation(rsrp_dbm=-96.0),
        [
            sector("Alder A", 10.0, 60.0, 195.0, site_on_air=0.7),
            sector("Alder B", 10.0, 60.0, 315.0, site_on_air=0.7),
            sector("Birch A", 120.0, 190.0, 320.0, site_on_air=0.6, on_air=0.8),
        ],
    ),
    "roofs, several bands, some perhaps off the air": (
        observation(mhz=800.0),
        [
            sector("Alder A", 10.0, 300.0, 220.0, height_m=28.0, mhz=800.0, on_air=0.7),
            sector("Alder B", 10.0, 300.0, 130.0, height_m=28.0, mhz=2600.0, on_air=0.9),
            sector("Birch A", 170.0, 420.0, 350.0, height_m=22.0, mhz=800.0, on_air=0.4),
            sector("Cedar A", 80.0, 40.0, 90.0, mhz=3500.0, beamwidth_deg=90.0, on_air=0.5),
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_probabilities_agree_with_brute_force(name: str) -> None:
    """Every probability lies within three standard errors of 100,000 draws."""
    seen_from, candidates = CASES[name]

    share = drawn_share(seen_from, candidates, DRAWS, seed=20250301)
    answer = serving(seen_from, candidates)

    by_name = {entry.name: entry.probability for entry in answer.ranking}
    computed = np.array([*(by_name[c.name] for c in candidates), by_name["none"]])
    assert np.all(np.abs(computed - share.value) <= STANDARD_ERRORS * share.error + 1e-6)
