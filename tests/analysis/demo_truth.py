"""The demo's truth at places nobody stood at: levels and cells as its streets would give them."""

from __future__ import annotations

import numpy as np

from surveyapp.analysis.coverage import sector_levels, settled_readings
from surveyapp.analysis.level_model import LevelModel
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.standing import learn_phone_offsets, leg_carrier, leg_question, serving_at
from surveyapp.demo.air import Geometry, paths, shadowing_db
from surveyapp.demo.town import ROOF_M
from surveyapp.demo.truth import TrueSector, TrueSite, Truth
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.serving_posterior import Posterior, posterior
from surveyapp.model import Building, LatLon, Rat, Reading, Sector, Site, Stop
from surveyapp.store.notebook import Notebook


def nr_sites(truth: Truth) -> list[TrueSite]:
    """The sites that hold a 5G carrier."""
    return [site for site in truth.sites if site.sectors[0].carrier.rat is Rat.NR]


def true_geometry(
    sites: list[TrueSite], places_deg: list[LatLon], buildings: tuple[Building, ...]
) -> Geometry:
    """Each place against each site, as the demo reckons."""
    lines = [[inverse(*place, s.lat_deg, s.lon_deg) for s in sites] for place in places_deg]
    eyes = [
        Skyline(
            (s.lat_deg, s.lon_deg), buildings, observer_height_m=s.height_m, default_height_m=ROOF_M
        )
        for s in sites
    ]
    clear = [
        [eye.sight_line(place, target_height_m=1.5).clear for eye in eyes] for place in places_deg
    ]
    return Geometry(
        distance_m=np.array([[line.distance_m for line in row] for row in lines]),
        bearing_deg=np.array([[line.azimuth_deg for line in row] for row in lines]),
        clear=np.array(clear),
    )


def true_medians_dbm(sites: list[TrueSite], geometry: Geometry) -> np.ndarray:
    """The strongest median level (places) of the sites' sectors."""
    still = paths(tuple(sites), geometry, np.zeros(geometry.clear.shape))
    return np.array([max(path.rsrp_dbm for path in row) for row in still])


def true_readings(
    sites: list[TrueSite], geometry: Geometry, random: np.random.Generator
) -> tuple[TrueSector, float]:
    """Which sector serves at the first place, and its level, with one draw of fading."""
    fading = shadowing_db(np.zeros(1), np.zeros(1), geometry.clear, random)
    row = paths(tuple(sites), geometry, fading)[0]
    best = max(row, key=lambda path: path.rsrp_dbm)
    sectors = {sector.id: sector for site in sites for sector in site.sectors}
    return sectors[best.sector_id], best.rsrp_dbm


def question_at(
    notebook: Notebook, stop: Stop, offsets: dict[str, PhoneOffset]
) -> Posterior | None:
    """The posterior of the 5G leg of the first phone read at a stop; None without one."""
    scene = notebook.stop_scene(stop.id)
    for reading in scene.readings:
        if leg_carrier(reading, Rat.NR) is not None:
            return posterior(*leg_question(scene, reading, Rat.NR, offsets))
    return None


def all_offsets(notebook: Notebook) -> dict[str, PhoneOffset]:
    """The phones' offsets, learned from the whole notebook."""
    return learn_phone_offsets(notebook.stop_scene(stop.id) for stop in notebook.all(Stop))


def level_models(notebook: Notebook, names: list[str]) -> list[LevelModel]:
    """The best models of some sites' sectors, from all that the notebook holds."""
    stops, readings = notebook.all(Stop), notebook.all(Reading)
    offsets = all_offsets(notebook)
    scenes = [notebook.stop_scene(stop.id) for stop in stops]
    settled = settled_readings(one for scene in scenes for one in serving_at(scene, offsets))
    buildings = notebook.ground.around(60.1699, 24.9424, 900.0).buildings
    return [
        sector_levels(
            site, sector, stops, readings, offsets=offsets, attributed=settled, buildings=buildings
        ).model
        for site in notebook.all(Site)
        for sector in notebook.all(Sector, site_id=site.id)
        if site.name in names
    ]
