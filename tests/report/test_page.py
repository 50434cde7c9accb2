"""The page by itself: whole, without script, every entry told, every figure told in words too."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from surveyapp.analysis.accepted_doubts import acceptance_of
from surveyapp.analysis.value_doubts import DoubtKind
from surveyapp.model import Sector, Sighting, Site, Stop, Survey
from surveyapp.report.account import Account
from surveyapp.report.finding_view import ACCEPTED, doubt_views
from surveyapp.report.told import day_facts
from surveyapp.report.words import number
from tests.report.conftest import NOON
from tests.report.reading_pages import Page

SECTIONS = ["day", "plan", "sites", "stops", "phones", "cover", "doubts", "method"]
EMPTY = (
    "No stop was made.", "so there is no plan", "No site lies in reach", "nothing to compare",
    "so there is no cover to tell", "raised no doubt",
)  # fmt: skip
NAMESPACES = {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


@pytest.fixture(scope="module")
def read(page: str) -> Page:
    """The demo's page, parsed."""
    return Page(page)


def test_the_page_is_well_formed_and_in_the_order_of_the_design(read: Page) -> None:
    """Everything opened is closed; one title, one first heading, the sections in their order."""
    assert read.unclosed == []
    assert len(read.of("h1")) == 1
    assert [one.attributes["id"] for one in read.of("section")] == SECTIONS


def test_the_page_needs_nothing_else(page: str, read: Page) -> None:
    """No script, no link to a file, no address but the names of XML vocabularies."""
    assert {"script", "link", "iframe", "object", "embed", "form"} & {
        element.name for element in read.elements
    } == set()
    assert set(re.findall(r"https?://[^\s\"'<>)]+", page)) <= NAMESPACES
    for element in read.elements:
        for name, value in element.attributes.items():
            assert not name.startswith("on")
            if name in {"src", "href", "xlink:href"}:
                assert value.startswith(("#", "data:image/"))
    assert "url(data:font/otf;base64," in page
    assert set(re.findall(r"url\((?!data:)([^)]*)\)", page)) == set(
        re.findall(r"url\((#[\w.-]+)\)", page)
    )


def test_each_id_is_used_once_and_each_reference_leads_somewhere(page: str, read: Page) -> None:
    """Figures side by side do not take each other's marks and clips."""
    ids = [one.attributes["id"] for one in read.elements if "id" in one.attributes]
    wanted = set(re.findall(r'(?:href="#|url\(#)([\w.-]+)', page))

    assert len(ids) == len(set(ids))
    assert wanted <= set(ids)


def test_each_picture_is_told_in_words(read: Page) -> None:
    """Drawings carry a role and a name, photos an alternative, figures a caption."""
    for drawing in read.of("svg"):
        named = bool(drawing.attributes.get("aria-label")) and drawing.attributes["role"] == "img"
        assert named or drawing.attributes.get("aria-hidden") == "true"
    assert all(photo.attributes["alt"] for photo in read.of("img"))
    assert len(read.of("figure")) == len(read.of("figcaption"))
    assert all(caption.text.strip() for caption in read.of("figcaption"))


def test_every_stop_and_every_entry_is_told(account: Account, read: Page) -> None:
    """Nothing that was noted is missing: each sighting, carrier, run, remark and photo."""
    articles = read.of("article", "stop")
    assert len(articles) == len(account.scenes)
    for scene, article in zip(account.scenes, articles, strict=True):
        words = " ".join(article.text.split())
        assert scene.stop.place_text in words
        for sighting in scene.sightings:
            assert words.count("Seen") == len(scene.sightings)
            assert sighting.bearing_deg is None or f"at {sighting.bearing_deg:.0f}° true" in words
        for reading in scene.readings:
            assert str(reading.mode) in words
            for carrier in reading.carriers:
                assert f"RSRP {number(carrier.rsrp_dbm)} dBm" in words
        for run in scene.speed_runs:
            assert f"Down {number(run.down_mbps, 0)} Mbit/s" in words
            assert run.server_place in words
        assert words.count("Down ") == len(scene.speed_runs)
        assert all(remark.text in words for remark in scene.remarks)
        assert all(photo.caption in words for photo in scene.photos)


def _plain(text: str) -> str:
    """Without what only holds words and figures together at a line's end."""
    return re.sub(r"\s*%", " %", " ".join(text.split()).replace("-", "−"))


def test_every_doubt_is_told(account: Account, read: Page) -> None:
    """Doubts are shown, never hidden, each with what would settle it."""
    told = next(one for one in read.of("section") if one.attributes["id"] == "doubts").text

    assert account.doubts
    for doubt in account.doubts:
        assert _plain(doubt.words) in _plain(told)


def test_every_panel_stands_beside_its_site(account: Account, read: Page) -> None:
    """A site's table has a row a panel, and a photo stands with the site it shows."""
    cards = read.of("article", "site-card")
    sites, sectors = account.record.of(Site), account.record.of(Sector)

    assert len(cards) == len(sites)
    for site, card in zip(sites, cards, strict=True):
        assert site.name in card.text
        for sector in (one for one in sectors if one.site_id == site.id):
            assert f"{sector.azimuth_deg:.0f}°" in card.text
    assert len(read.of("img")) == 4


def test_the_day_is_told_in_counts_taken_from_the_rows(account: Account, read: Page) -> None:
    """The first paragraph's numbers are those of the notebook."""
    lead = " ".join(read.of("p", "lead")[0].text.split())
    runs = [run for scene in account.scenes for run in scene.speed_runs]
    fastest = max(run.down_mbps or 0.0 for run in runs)

    assert f"{len(account.scenes)} stops" in lead
    assert f"{len(runs)} speed runs" in lead
    assert f"{fastest:.0f} Mbit/s" in lead
    assert f"{len(account.doubts)} doubts" in lead
    assert account.comparisons[0][0].sentence in lead


def test_invented_is_said_wherever_invented_data_show(read: Page) -> None:
    """Above the title, under every figure, over the stops, in the plan and at the end."""
    assert "Invented data" in read.of("p", "kind")[0].text
    for caption in read.of("figcaption"):
        assert "invented" in caption.text.casefold()
    assert "Invented data" in read.of("svg", "plan")[0].text
    assert "All operators, nodes, phones, servers and figures are invented" in read.words


def test_the_ground_is_attributed_in_the_picture_and_at_the_end(
    account: Account, read: Page
) -> None:
    """Who draws on somebody's data says whose they are, in the drawing itself."""
    attribution = account.record.ground.attribution

    assert "OpenStreetMap contributors" in attribution
    assert attribution in read.of("svg", "plan")[0].text
    assert read.words.count(attribution) >= 2


def test_a_survey_without_anything_is_told_all_the_same(tell: Callable[..., str]) -> None:
    """No stop, no site, no ground: each section says so."""
    read = Page(tell(Survey(title="Nothing yet")))

    assert read.unclosed == []
    for words in EMPTY:
        assert words in read.words
    assert "nvented" not in read.words


def test_a_stop_without_a_position_is_told_too(tell: Callable[..., str]) -> None:
    """It is listed with what was entered there, and is merely missing from the plan."""
    survey = Survey(title="Half a walk", time_zone="Europe/Vienna")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON)
    sighting = Sighting(stop_id=stop.id, site_id="gone", bearing_deg=20.0)

    words = Page(tell(survey, stop, sighting)).words

    assert "A place without a name 11:00 · no position" in words
    assert "A site, at 20° true" in words


def test_an_unknown_time_zone_counts_as_utc(tell: Callable[..., str]) -> None:
    """A name this machine does not know does not stop the report."""
    survey = Survey(title="Elsewhere", time_zone="Mars/Olympus")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=48.2, lon_deg=16.4)

    assert "09:00 · 48.20000, 16.40000" in Page(tell(survey, stop)).words


def test_a_doubt_that_was_accepted_says_so_and_stays(account: Account) -> None:
    """What the surveyor has looked at is told as such, and is not left out."""
    doubt = next(one for one in account.doubts if one.kind is DoubtKind.SERVERS)
    seen = replace(account, accepted=frozenset([acceptance_of(doubt)]))

    told = [one for kind in doubt_views(seen) for one in kind.doubts]
    (accepted,) = (one for one in told if one[2] == ACCEPTED)

    assert _plain(accepted[1]) == _plain(doubt.words)
    assert len(told) >= sum(len(kind.doubts) for kind in doubt_views(account))
    assert "1 of them accepted by the surveyor." in " ".join(day_facts(seen))
