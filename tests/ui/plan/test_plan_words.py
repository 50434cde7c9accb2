"""Words and numbers on the plan: clear of lines, no stop's number lost, the legend's own levels."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import geometry

from surveyapp.analysis.gaps import Gap
from surveyapp.model import Sector, Sighting, Site, SiteStatus, Stop
from surveyapp.ui.plan.cover_questions import outline_text
from surveyapp.ui.plan.crossings import Crossings
from surveyapp.ui.plan.finding_strokes import finding_inks
from surveyapp.ui.plan.findings import Finding, FindingLine, LineKind
from surveyapp.ui.plan.hits import hits
from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box, overlap
from surveyapp.ui.plan.legend import legend
from surveyapp.ui.plan.levels import CIVIDIS, step_of
from surveyapp.ui.plan.mark_strokes import mark_inks
from surveyapp.ui.plan.marks import Place, PlanMarks, RayMark, SiteMark
from surveyapp.ui.plan.plan_text import TextStyle
from surveyapp.ui.plan.stop_marks import StopColumns, StopMarks
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.plan.way_questions import gap_figure
from surveyapp.ui.plan.words import MarkWords, mark_words

NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
MINUS = "\N{MINUS SIGN}"
VIEW = Viewport(360.0, 400.0, px_per_m=1.0)
pixels = st.floats(-50, 450)


def measure(text: str, style: TextStyle) -> tuple[float, float]:
    """Words of a wide type, without a screen."""
    return 0.62 * style.size_sp * len(text), 1.3 * style.size_sp


def stops_at(*places_m: tuple[float, float], level_dbm: float | None = None) -> StopMarks:
    """Stops numbered from 1 at places of the plane, each with this level."""
    rows = [
        Stop(id=f"stop {n}", survey_id="", number=n, time_utc=NOW, lat_deg=0.0, lon_deg=0.0)
        for n in range(1, len(places_m) + 1)
    ]
    told = [] if level_dbm is None else [(row.id, level_dbm) for row in rows]
    return StopMarks(StopColumns.of(rows), np.array(places_m, float), told)


def words_of(marks: PlanMarks) -> MarkWords:
    """What a phone of 360 by 400 has room for, a metre to the pixel."""
    return mark_words(marks, VIEW, Sizes(), "", measure)


def numbers_of(words: MarkWords) -> set[str]:
    """The numbers written."""
    return {text.text for text in words.texts if text.text.isdigit()}


@given(pixels, pixels, pixels, pixels, st.floats(5, 90), st.floats(5, 40))
def test_a_line_meets_a_box_as_shapely_finds_it(
    x1: float, y1: float, x2: float, y2: float, width: float, height: float
) -> None:
    """A box in the middle of the window and any line; touching may go either way."""
    shape, line = geometry.box(0, 0, width, height), geometry.LineString([(x1, y1), (x2, y2)])
    assume(line.length > 1e-3)
    assume(shape.buffer(1e-6).intersects(line) == shape.buffer(-1e-6).intersects(line))
    found = Crossings(np.array([[x1, y1, x2, y2]]))

    assert found.meet(Box(width / 2, height / 2, width, height)) == shape.intersects(line)


def test_a_level_keeps_off_sightings_and_beams_and_stands_on_clear_ground() -> None:
    """'−82' was overdrawn and read '=82': the value moves off the line; where a line runs on
    every side the paper below it is laid over the line."""
    stops, sighting = stops_at((0.0, 0.0), level_dbm=-82.0), Sighting(stop_id="", site_id="")
    east = RayMark(sighting, "", Place(0.0, 0.0), Place(90.0, 4.0), True)
    words = words_of(PlanMarks(stops=stops, rays=(east,)))
    (text,) = [text for text in words.texts if text.text == f"{MINUS}82"]
    around = [
        RayMark(sighting, "", Place(0.0, 0.0), Place(*end), True)
        for end in ((90, 4), (-90, 4), (8, 90), (8, -90))
    ]
    site = SiteMark(
        Site(name="", status=SiteStatus.LIVE),
        Place(60.0, -30.0),
        (Sector(site_id="", azimuth_deg=270.0, beamwidth_deg=65.0),),
    )
    marks = PlanMarks(stops=stops, rays=tuple(around), sites=(site,))
    crowded = words_of(marks)
    roles = [ink.role for ink in mark_inks(marks, Sizes(), crowded)]

    assert not Crossings.of(PlanMarks(rays=(east,)), VIEW, Sizes()).meet(
        Box(180 + text.shift_px[0], 200 + text.shift_px[1], *measure(text.text, text.style))
    )
    assert len(crowded.plates) == len(crowded.bars) == 1
    fill = roles.index(CIVIDIS[step_of(-82.0)])
    assert roles[fill - 2 : fill] == ["raised", "ink"]
    assert "accent" in roles[: fill - 2]


def test_no_number_of_a_few_stops_is_lost() -> None:
    """Stops 5 and 13 hid under others and under a site: each has its number, none covers
    another, and a finger on a circle that stands aside means that stop."""
    stops = stops_at((0, 0), (3, 1), (40, 0), (-2, 4), (100, 100))
    site = SiteMark(Site(name="Node"), Place(41.0, 2.0))
    marks = PlanMarks(stops=stops, sites=(site,))
    words = words_of(marks)
    aside = words.aside_m(1.0)

    assert numbers_of(words) == {"1", "2", "3", "4", "5"}
    assert not words.clusters
    assert set(aside) == {"stop 1", "stop 2", "stop 3"}
    assert not any(
        overlap(one, other) for nth, one in enumerate(words.boxes) for other in words.boxes[:nth]
    )
    for stop_id, (east_m, north_m) in aside.items():
        at = stops.named(stop_id).at
        finger = Place(at.east_m + east_m, at.north_m + north_m)
        assert hits(marks, finger, 24.0, aside=aside)[0].row_id == stop_id


def test_many_stops_stand_behind_one_another() -> None:
    """Of 200 on one corner no ring of circles is drawn: they are told as a list."""
    words = words_of(PlanMarks(stops=stops_at(*((n % 7, n % 5) for n in range(200)))))

    assert numbers_of(words) == {"200"}
    assert len(words.clusters["stop 200"]) == 199
    assert not words.aside


@pytest.mark.parametrize("sp", [1.0, 2.0])
def test_the_legend_shows_each_level_in_its_colour_with_its_number(sp: float) -> None:
    """Three circles stood there, all alike, with no room for the bar and its number."""
    (layer,) = (layer for layer in legend({}) if layer.name == "levels")
    view = Viewport(max(72.0, 64.0 * sp), max(84.0, 84.0 * sp), px_per_m=1.0)
    seen = []
    for sign in layer.signs[:3]:
        words = mark_words(
            sign.marks, view, Sizes(1.0, sp), "",
            lambda text, style: (0.62 * sp * style.size_sp * len(text), 1.3 * sp * style.size_sp),
        )  # fmt: skip
        roles = {ink.role for ink in mark_inks(sign.marks, Sizes(1.0, sp), words)}
        seen.append((words.texts[-1].text, (roles & set(CIVIDIS)).pop()))

    assert [text for text, _ in seen] == [f"{MINUS}110", f"{MINUS}90", f"{MINUS}70"]
    assert [colour for _, colour in seen] == [
        CIVIDIS[step_of(level)] for level in (-110.0, -90.0, -70.0)
    ]


def test_an_outline_of_cover_is_no_sighting() -> None:
    """Dashed outlines mixed with dashed sightings: an outline is doubled, a way is not."""

    def cores(kind: LineKind) -> int:
        line = FindingLine(kind, np.array([(0.0, 0.0), (100.0, 0.0)]), broken=True)
        *_, core = finding_inks(Finding(lines=(line,)), Sizes())
        return len(list(core.strokes.meshes()))

    assert [cores(kind) for kind in (LineKind.LIKELY, LineKind.EVEN, LineKind.UNLIKELY)] == [1] * 3
    assert cores(LineKind.WAY) == 0


def test_open_outlines_are_said_to_run_on_and_percentages_are_explained() -> None:
    """A 10 % line ended in a street without a word, and nothing told what the per cent are of."""
    turn = np.linspace(0.0, 2.0 * np.pi, 13)
    ring = 50.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    ring[-1] = ring[0]
    kind = LineKind.EVEN
    closed = (FindingLine(kind, ring[:7]), FindingLine(kind, ring[6:], broken=True))
    opened = (*closed, FindingLine(LineKind.UNLIKELY, np.array([(0.0, 0.0), (9.0, 0.0)])))

    assert len(outline_text(Finding(lines=closed))) == 1
    assert outline_text(Finding(lines=opened))[1].startswith("Open lines run on beyond")
    assert outline_text(Finding()) == ()


def test_a_gap_tells_how_likely_cover_still_is_there() -> None:
    """A 'gap' was 80 % covered and its lowest chance stood 'at the right', as if a place."""
    gap = Gap(from_m=120.0, to_m=158.0, lowest_chance=0.8, middle_deg=(60.0, 25.0), place_text="")
    figure = gap_figure(gap, 0.9)

    assert figure.value == ""
    assert figure.detail == "120 m to 158 m along the way\nbelow 90 %: chance 80 % at least"
