"""What would settle an answer names only sectors that may be it."""

from __future__ import annotations

import random

from surveyapp.geometry.geodesy import destination
from surveyapp.geometry.serving import Candidate, Observation, serving

LAT_DEG, LON_DEG = 60.17, 24.94
ONE_PERCENT = 0.01


def scene(draw: random.Random) -> tuple[Observation, list[Candidate]]:
    """A stop among nine sectors of three sites, one of them much stronger than the others."""
    sectors = []
    for site in range(3):
        far_m = draw.choice((30.0, 150.0, 400.0))
        at = destination(LAT_DEG, LON_DEG, draw.uniform(0.0, 360.0), far_m)
        for panel in range(3):
            sectors.append(
                Candidate(
                    name=f"Site{site}Panel{panel}", site_id=str(site), mhz=3500.0,
                    lat_deg=at[0], lon_deg=at[1], height_m=8.0, pci=10 * site + panel,
                    azimuth_deg=None if draw.random() < 0.2 else 120.0 * panel,
                )
            )  # fmt: skip
    rsrp_dbm = draw.choice((-60.0, -75.0, -90.0, -110.0))
    return Observation(lat_deg=LAT_DEG, lon_deg=LON_DEG, mhz=3500.0, rsrp_dbm=rsrp_dbm), sectors


def test_no_sector_under_one_percent_is_named() -> None:
    """In 150 streets drawn at random, whatever is proposed is about sectors that may serve."""
    draw, named = random.Random(20260504), 0
    for _ in range(150):
        observation, sectors = scene(draw)
        answer = serving(observation, sectors)
        for ranked in answer.ranking[:-1]:
            if ranked.name in answer.settle:
                named += 1
                assert ranked.probability >= ONE_PERCENT, answer.settle

    assert named > 50
