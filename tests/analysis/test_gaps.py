"""Gaps along a way: found where they are, and never talked away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from surveyapp.analysis.gaps import RouteCover, gaps_along, gaps_between
from surveyapp.analysis.sector_fit import MeasuredPlace, SectorFit
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.demo.write import Demo
from surveyapp.errors import NoAnswer, OutOfRange
from surveyapp.model import LatLon, Site
from surveyapp.store.notebook import Notebook
from tests.analysis.demo_truth import level_models, nr_sites, true_geometry, true_medians_dbm
from tests.analysis.streets import grid_ground, street, world
from tests.analysis.test_cover import ROUND, known

TEN_METRES = 10.0
THRESHOLD_DBM = -95.0


def panel_at(east_m: float, north_m: float, site_id: str) -> SectorFit:
    """A round sector whose level falls to -95 dBm at 100 m, with 4 dB of fading."""
    lat_deg, lon_deg = world(east_m, north_m)
    panel = replace(ROUND, lat_deg=lat_deg, lon_deg=lon_deg, site_id=site_id, name=site_id)
    return known(panel, -65.0, 3.0, 4.0)


def straight(length_m: float) -> StreetNetwork:
    """One street to the east."""
    return StreetNetwork([street("Mill Street", (0, 0), (length_m, 0), kind="footway")])


def between(length_m: float, required: float) -> RouteCover:
    """Cover along a straight street between two sites at its ends."""
    ends = world(0, 0), world(length_m, 0)
    models = [panel_at(0, 0, "A"), panel_at(length_m, 0, "B")]
    return gaps_between(straight(length_m), *ends, models, THRESHOLD_DBM, required=required)


def test_the_gap_lies_where_the_levels_say() -> None:
    """Half chance ends 100 m from each site (less the pattern's part and the other's help)."""
    found = between(400.0, 0.5)

    assert len(found.gaps) == 1
    assert found.gaps[0].from_m == pytest.approx(100.0, abs=6.0)
    assert found.gaps[0].to_m == pytest.approx(300.0, abs=6.0)
    assert found.gaps[0].place_text == "Mill Street"
    assert not found.continuous
    assert found.sentence.startswith("One gap (below 50 %) of ")
    assert " along 400 m" in found.sentence


def test_continuous_is_said_only_where_every_place_has_the_chance() -> None:
    """Longer and longer streets: the claim holds exactly as long as the lowest chance does."""
    said = []
    for length_m in range(60, 300, 20):
        found = between(float(length_m), 0.9)
        assert found.continuous == (float(found.chance.min()) >= 0.9) == (not found.gaps)
        assert ("continuous at 90 %" in found.sentence) == found.continuous
        said.append(found.continuous)

    assert said == sorted(said, reverse=True)
    assert True in said
    assert False in said


def test_gaps_come_longest_first_and_readings_stay_apart() -> None:
    """Cover in the middle only: two gaps; a reading beside the way is listed with its place."""
    network = straight(400.0)
    lat_deg, lon_deg = world(140, 5)
    weak = MeasuredPlace(lat_deg=lat_deg, lon_deg=lon_deg, rsrp_dbm=-110.0)
    model = replace(panel_at(180, 0, "A"), measured=(weak,))
    found = gaps_along(network, network.named("Mill Street")[0], [model], THRESHOLD_DBM)

    assert [gap.length_m for gap in found.gaps] == sorted(
        (g.length_m for g in found.gaps), reverse=True
    )
    assert len(found.gaps) == 2
    assert found.measured[0].along_m == pytest.approx(140.0, abs=2.0)
    assert not found.measured[0].covered


def test_a_house_makes_a_gap() -> None:
    """Round the corner of a block the way leaves both sites' sight."""
    ground = grid_ground()
    network, ends = StreetNetwork(ground.streets), (world(0, 50), world(150, 100))
    models = [
        replace(panel_at(0, 50, "A"), by_sight=True),
        replace(panel_at(250, 0, "B"), by_sight=True),
    ]
    free, built = (
        gaps_between(network, *ends, models, THRESHOLD_DBM, required=0.5, roofs=roofs)
        for roofs in (None, Roofs(ground.buildings))
    )

    assert sum(g.length_m for g in built.gaps) > sum(g.length_m for g in free.gaps) + 20.0


def noted_at(notebook: Notebook, name: str) -> LatLon:
    """Where the notebook has a site."""
    (site,) = notebook.all(Site, name=name)
    assert site.lat_deg is not None
    assert site.lon_deg is not None
    return site.lat_deg, site.lon_deg


@pytest.mark.parametrize("pair", [("Alder", "Linden"), ("Birch", "Linden"), ("Cedar", "Linden")])
def test_the_demos_known_gaps_are_found_within_ten_metres(
    demo: Demo, notebook: Notebook, pair: tuple[str, str]
) -> None:
    """Both ends of the stretch whose true median is below -95 dBm, from what the notebook holds."""
    names = [f"Node {name}" for name in pair]
    sites = [site for site in nr_sites(demo.truth) if site.name in names]
    ground = notebook.ground.around(60.1699, 24.9424, 900.0)
    start, end = (noted_at(notebook, name) for name in names)
    found = gaps_between(
        StreetNetwork(ground.streets), start, end, level_models(notebook, names),
        THRESHOLD_DBM, required=0.5, roofs=Roofs(ground.buildings),
    )  # fmt: skip
    along = np.arange(0.0, found.route.length_m, 2.0)
    places = [(float(lat), float(lon)) for lat, lon in found.route.at(along)]
    level = true_medians_dbm(sites, true_geometry(sites, places, ground.buildings))
    low = np.flatnonzero(level < THRESHOLD_DBM)

    assert len(found.gaps) == 1
    assert np.diff(low).max() == 1  # the truth has one gap
    assert found.gaps[0].from_m == pytest.approx(along[low[0]], abs=TEN_METRES)
    assert found.gaps[0].to_m == pytest.approx(along[low[-1]], abs=TEN_METRES)


def test_two_sites_at_one_place_are_one_sentence() -> None:
    """There is no way between them; a chance of more than one is refused too."""
    models = [panel_at(0, 0, "A")]

    with pytest.raises(NoAnswer, match="one place"):
        gaps_between(straight(100.0), world(0, 0), world(1, 0), models, THRESHOLD_DBM)
    with pytest.raises(OutOfRange, match="required chance"):
        gaps_between(straight(90.0), world(0, 0), world(80, 0), models, THRESHOLD_DBM, required=1.5)
    with pytest.raises(OutOfRange, match="threshold"):
        gaps_between(straight(90.0), world(0, 0), world(80, 0), models, 30.0)
