"""Holding the demo's serving answers against the truth it was drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from surveyapp.analysis.tied_cells import survey_answers
from surveyapp.commands.finding import learned_offsets, open_notebook
from surveyapp.model import Device, Stop, Survey

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.demo.truth import TrueServing, Truth
    from surveyapp.demo.write import Demo
    from surveyapp.geometry.serving import ServingAnswer


@dataclass(frozen=True, kw_only=True, slots=True)
class Scored:
    """One leg's answer beside the truth; an unlisted sector is truly 'none of these'."""

    visit: int
    number: int
    place_text: str
    device: str
    leg: str
    answer: ServingAnswer
    truth: str
    agrees: bool
    probability_of_truth: float


def score(demo: Demo) -> tuple[list[Scored], str]:
    """Every leg of every reading in walking order, and the attribution of the ground.

    Entries that were added to the demo later have no truth and are left out.
    """
    scored: list[Scored] = []
    with open_notebook(demo.notebook_path) as notebook:
        offsets = learned_offsets(notebook)
        labels = {device.id: device.label for device in notebook.all(Device)}
        visits = {stop.id: stop.visit for stop in demo.truth.stops}
        surveys = notebook.all(Survey)
        stops = [stop for survey in surveys for stop in notebook.all(Stop, survey_id=survey.id)]
        stops.sort(key=lambda one: one.time_utc)
        scenes = list(notebook.stop_scenes(stop.id for stop in stops))
        answers = survey_answers(scenes, offsets)
        for stop, legs in zip(stops, answers, strict=True):
            for leg in legs:
                served = demo.truth.serving(stop.id, leg.device_id or "", leg.leg)
                if served is not None:
                    device = labels[served.device_id]
                    scored.append(_scored(demo.truth, visits[stop.id], stop, device, leg, served))
        attribution = notebook.ground.attribution
    return scored, attribution


def _scored(
    truth: Truth, visit: int, stop: Stop, device: str, leg: LegAnswer, served: TrueServing
) -> Scored:
    names = {
        sector.id: f"{site.name} {sector.label}" for site in truth.sites for sector in site.sectors
    }
    wanted = served.sector_id if served.listed else None
    given = [ranked for ranked in leg.answer.ranking if ranked.sector_id == wanted]
    return Scored(
        visit=visit,
        number=stop.number,
        place_text=stop.place_text,
        device=device,
        leg=leg.leg,
        answer=leg.answer,
        truth=names[served.sector_id] + ("" if served.listed else " (unlisted)"),
        agrees=leg.answer.best.sector_id == wanted,
        probability_of_truth=sum(ranked.probability for ranked in given),
    )
