"""What was typed is shown as it was typed, and never becomes part of the page."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from surveyapp.model import (
    Carrier,
    Device,
    Ground,
    Photo,
    Reading,
    Remark,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Street,
    Survey,
)
from tests.report.conftest import NOON
from tests.report.reading_pages import Page

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style><script>alert(1)</script>",
    "</title></svg><a href=javascript:alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "$\\frac{1}{2}$ & 'quoted' \\N{x} 100 % ]]>",
)


def hostile_rows(text: str) -> list[object]:
    """A survey in which every text is the given one."""
    survey = Survey(title=text, place_text=text, purpose=text, text=text, time_zone=text)
    site = Site(name=text, operator=text, text=text, lat_deg=60.0, lon_deg=25.0)
    device, other = Device(label=text, model=text, operator=text), Device(label=f"{text} 2")
    sector = Sector(site_id=site.id, label=text, azimuth_deg=10.0)
    rows: list[object] = [survey, site, sector, device, other]
    for number in (1, 2):
        stop = Stop(survey_id=survey.id, number=number, time_utc=NOON, place_text=text,
                    lat_deg=60.0005 + 0.0003 * number, lon_deg=25.0)  # fmt: skip
        rows += [
            stop,
            Sighting(stop_id=stop.id, site_id=site.id, sector_id=sector.id, bearing_deg=180.0),
            Remark(stop_id=stop.id, time_utc=NOON, device_id=device.id, text=text),
            Photo(survey_id=survey.id, stop_id=stop.id, file=f"{text}.jpg", caption=text),
        ]
        for phone, rate in ((device, 100.0), (other, 120.0)):
            carrier = Carrier(band=text, rsrp_dbm=-80.0, sinr_db=10.0, bandwidth_mhz=100.0)
            rows.append(
                Reading(stop_id=stop.id, device_id=phone.id, time_utc=NOON, carriers=(carrier,))
            )
            rows.append(
                SpeedRun(
                    stop_id=stop.id,
                    device_id=phone.id,
                    time_utc=NOON,
                    server_place=text,
                    down_mbps=rate * number,
                )
            )
    return rows


@pytest.mark.parametrize("text", HOSTILE)
def test_a_name_never_becomes_part_of_the_page(tell: Callable[..., str], text: str) -> None:
    """Every text of every row is hostile: the page keeps its elements and shows the text."""
    street = Street(name=text, kind="primary", points_deg=((60.0, 24.99), (60.0, 25.01)))
    ground = Ground(streets=(street,), attribution=text)

    read = Page(tell(*hostile_rows(text), ground=ground))

    assert read.unclosed == []
    assert not read.of("script")
    assert not read.of("a", "") or all(
        link.attributes["href"].startswith("#") for link in read.of("a")
    )
    assert not read.of("img")
    assert not any(name.startswith("on") for one in read.elements for name in one.attributes)
    assert len(read.of("style")) == len(read.of("title")) - len(
        [one for one in read.of("title") if "svg" in one.parents]
    )
    assert read.words.count(" ".join(text.split())) > 15


def test_a_hostile_survey_has_the_elements_of_a_plain_one(tell: Callable[..., str]) -> None:
    """Element by element the page is the same, whatever the names are."""
    pages = [Page(tell(*hostile_rows(text))) for text in ("Plain", HOSTILE[1])]
    plain, hostile = ([one.name for one in page.elements if one.name != "path"] for page in pages)

    assert hostile == plain


def test_no_name_turns_the_words_after_it_round(tell: Callable[..., str]) -> None:
    """A site named with a right-to-left override once reversed the rest of its sentence, figures
    too; a name in a right-to-left script stays as it is."""
    page = tell(*hostile_rows("\u202e\u2067 \u05e8\u05d7\u05d5\u05d1"))

    assert not set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069") & set(page)
    assert "\u05e8\u05d7\u05d5\u05d1" in page
