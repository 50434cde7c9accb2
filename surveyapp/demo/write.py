"""Making the demo: the truth is drawn first, then a notebook is kept of it, visit by visit."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from surveyapp.demo.day import Outing, StopDay
from surveyapp.demo.hand import Hand
from surveyapp.demo.pictures import node_picture
from surveyapp.demo.plan import INVENTED, TIME_ZONE, VISITS, PhonePlan, VisitPlan, phones
from surveyapp.demo.records import Records, records
from surveyapp.demo.scene import Scene, Strongest, draw_scene
from surveyapp.demo.town import Town
from surveyapp.demo.troubles import Planting
from surveyapp.demo.truth import Trouble, Truth, keep_truth, read_truth
from surveyapp.errors import NotebookError
from surveyapp.exchange.formats import read_ground
from surveyapp.geometry.headings import declination
from surveyapp.model import NorthReference, Sighting, SiteKind, Survey
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook

SEED = 20260504
NOTEBOOK_NAME = "demo.notebook"
TRUTH_NAME = "truth.json"
QUARTER = ("sample_surveys", "quarter.osm.gz")
PICTURES = 4


@dataclass(frozen=True, slots=True)
class Demo:
    """Where the demo's notebook lies, and the truth it was drawn from."""

    notebook_path: Path
    truth: Truth


class _Clock:
    """The demo's own time, so that the journal tells when an entry was made on the day."""

    def __init__(self) -> None:
        self.now = VISITS[0].starts_utc - timedelta(hours=14)

    def __call__(self) -> datetime:
        return self.now


def write_demo(folder: Path | str, seed: int = SEED) -> Demo:
    """Make the demo in `folder`: a notebook with its photos, and the truth beside it.

    The folder appears whole or not at all. Raises NotebookError where it exists and is not
    empty, or cannot be made.
    """
    target = Path(folder)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise NotebookError(
            f"{target} is in use: name a folder that is empty or does not exist yet.",
            path=str(target),
        )
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        unfinished = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise NotebookError(
            f"Nothing can be written to {target.parent} ({error.strerror}): name another folder.",
            path=str(target),
        ) from error
    try:
        _fill(unfinished, seed)
        unfinished.chmod(0o755)
        if target.exists():
            target.rmdir()
        os.replace(unfinished, target)
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return read_demo(target)


def read_demo(folder: Path | str) -> Demo:
    """The demo written into `folder` before; raises NotebookError where there is none."""
    notebook, truth = Path(folder) / NOTEBOOK_NAME, Path(folder) / TRUTH_NAME
    if not (notebook.is_file() and truth.is_file()):
        raise NotebookError(f"{folder} holds no demo: name another folder.", path=str(folder))
    return Demo(notebook, read_truth(truth))


def _fill(folder: Path, seed: int) -> None:
    ground = read_ground(shipped(*QUARTER))
    rng = np.random.default_rng(seed)
    first = Hand(rng, 0.0)
    scene = draw_scene(Town(ground), first)
    phone_pair = phones((first.new_id(), first.new_id()))
    noted = records(scene.sites, _wrong_sector(scene), first)
    clock = _Clock()
    with Notebook.create(folder / NOTEBOOK_NAME, clock) as notebook:
        notebook.ground.replace(ground, QUARTER[-1])
        notebook.save(*(phone.device for phone in phone_pair), what="two phones")
        notebook.save(*noted.rows, what="nodes of the demo")
        days = [
            day
            for number in range(len(VISITS))
            for day in _visit(notebook, clock, scene, number, phone_pair, rng)
        ]
    keep_truth(_truth(seed, scene, days, noted, phone_pair), folder / TRUTH_NAME)


def _visit(
    notebook: Notebook,
    clock: _Clock,
    scene: Scene,
    number: int,
    phone_pair: tuple[PhonePlan, PhonePlan],
    rng: np.random.Generator,
) -> list[StopDay]:
    visit = VISITS[number]
    hand = Hand(rng, declination(*scene.stands[0], visit.starts_utc.date()).declination_deg)
    survey = _survey(visit, hand)
    clock.now = visit.starts_utc - timedelta(minutes=5)
    notebook.save(survey)
    outing = Outing(
        number=number + 1, visit=visit, survey=survey, sites=scene.sites,
        streets=notebook.ground.around(*scene.stands[0], 1000.0).streets,
        phones=phone_pair, hand=hand,
    )  # fmt: skip
    days = []
    stands = _stands_of(visit, scene, rng)
    plantings = _plantings(number, scene, stands, phone_pair)
    for count, stand in enumerate(stands, start=1):
        day = outing.stop(count, scene.stands[stand], scene.paths[number][stand], plantings[count])
        clock.now = day.stop.time_utc + timedelta(minutes=1)
        notebook.save(*day.rows, what=f"stop {count}")
        days.append(day)
    if number == 0:
        _take_pictures(notebook, days, scene, rng)
    return days


def _survey(visit: VisitPlan, hand: Hand) -> Survey:
    return Survey(
        id=hand.new_id(), title=visit.title, time_zone=TIME_ZONE, place_text="Helsinki, centre",
        weather=visit.weather, rain_mm_h=visit.rain_mm_h,
        purpose="Try the notebook on streets whose truth is known.", text=INVENTED,
    )  # fmt: skip


def _stands_of(visit: VisitPlan, scene: Scene, rng: np.random.Generator) -> list[int]:
    """Which stands this visit takes, in walking order; the hidden one is of the first visit."""
    every = list(range(len(scene.stands)))
    left_out = {index for index in every[2::7] if index != scene.hidden}
    if visit.again == 0:
        return [index for index in every if index not in left_out]
    seen = [index for index in every if index not in left_out]
    again = rng.permutation(seen)[: visit.again].tolist()
    return sorted({*again, *left_out})


def _plantings(
    number: int, scene: Scene, stands: Sequence[int], phone_pair: tuple[PhonePlan, PhonePlan]
) -> dict[int, Planting]:
    """What goes wrong at each stop number of a visit."""
    one, other = (phone.device.id for phone in phone_pair)
    afar = {count: Planting(afar=count % 2 == 0) for count in range(1, len(stands) + 1)}
    if number == 1:
        return afar | {
            3: Planting(together=True),
            5: Planting(wild_jitter=other, jitter_ms=412.6, afar=True),
        }
    best = {count: scene.strongest_nr(stand) for count, stand in enumerate(stands, start=1)}
    blocked, hidden_site = _blocked_stop(best) or (stands.index(scene.hidden) + 1, None)
    by_strength = sorted(
        (path.rsrp_dbm, count)
        for count, (site, _, path) in best.items()
        if count != blocked and site.listed
    )
    return afar | {
        blocked: Planting(blocked=hidden_site or scene.hidden_site().id),
        by_strength[0][1]: Planting(lost_5g=other, afar=True),
        by_strength[-1][1]: Planting(few_carriers=one),
        by_strength[-2][1]: Planting(far_server=other),
    }


def _blocked_stop(best: dict[int, Strongest]) -> tuple[int, str] | None:
    """The stop where a listed site serves strongest through a house, and that site."""
    found = [
        (path.rsrp_dbm, count, site.id)
        for count, (site, _, path) in best.items()
        if site.listed and not path.clear
    ]
    return max(found)[1:] if found else None


def _wrong_sector(scene: Scene) -> str:
    """The listed 5G sector that serves at the second most stands: its azimuth is noted wrong."""
    serving = Counter(
        sector.id
        for site, sector, _ in map(scene.strongest_nr, range(len(scene.stands)))
        if site.listed
    )
    return serving.most_common(2)[-1][0]


def _take_pictures(
    notebook: Notebook, days: Sequence[StopDay], scene: Scene, rng: np.random.Generator
) -> None:
    sites = {site.id: site for site in scene.sites}
    pictured: set[str] = set()
    for day in days:
        for row in day.rows:
            if not isinstance(row, Sighting) or row.sector_id is None:
                continue
            if row.site_id in pictured or len(pictured) == PICTURES:
                continue
            pictured.add(row.site_id)
            site = sites[row.site_id]
            caption = f"{site.name}, from stop {day.stop.number}"
            on_wall, panels = site.kind == SiteKind.WALL, len(site.sectors)
            notebook.add_photo(
                node_picture(caption, on_wall=on_wall, panels=panels, rng=rng),
                survey_id=day.stop.survey_id, stop_id=day.stop.id,
                time_utc=day.stop.time_utc + timedelta(minutes=1),
                lat_deg=day.stop.lat_deg, lon_deg=day.stop.lon_deg,
                direction_deg=row.bearing_deg, direction_reference=NorthReference.TRUE,
                caption=f"{caption} (invented, a drawing)",
            )  # fmt: skip


def _truth(
    seed: int,
    scene: Scene,
    days: Sequence[StopDay],
    noted: Records,
    phone_pair: tuple[PhonePlan, PhonePlan],
) -> Truth:
    troubles: list[Trouble] = [noted.trouble]
    for day in days:
        troubles += day.troubles
    return Truth(
        seed=seed, sites=scene.sites, stops=tuple(day.truth for day in days),
        phone_offsets_db={phone.device.id: phone.offset_db for phone in phone_pair},
        troubles=tuple(troubles),
    )  # fmt: skip
