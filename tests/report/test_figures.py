"""The drawn figures: vectors in the page's colours, with letters as letters."""

from __future__ import annotations

import io
import re
import sys
from dataclasses import replace

import pytest
from PIL import Image

from surveyapp.errors import MissingPackage
from surveyapp.report.account import Account
from surveyapp.report.cover_figure import cover_caption
from surveyapp.report.figure_look import check_matplotlib
from surveyapp.report.figures import rate_ticks
from surveyapp.report.look import DAY
from surveyapp.report.picture import signs_told, summary_picture
from surveyapp.report.plan import lay_out
from surveyapp.report.told import picture_facts
from tests.report.reading_pages import Page


@pytest.fixture(scope="module")
def drawn(page: str) -> list[str]:
    """The source of each drawn figure."""
    return re.findall(r'<svg class="drawn".*?</svg>', page, flags=re.DOTALL)


def test_figures_are_vectors_with_letters(drawn: list[str]) -> None:
    """Nothing is a raster image, and words stay words that can be searched and read aloud."""
    assert len(drawn) == 3
    for figure in drawn:
        assert "<image" not in figure
        assert "<text" in figure


def test_figures_take_the_pages_colours(drawn: list[str]) -> None:
    """No colour of the day is fixed in them, so that they turn with day and night."""
    for figure in drawn:
        assert not {DAY.ink, DAY.paper, DAY.accent, DAY.soft, DAY.line} & set(
            re.findall(r"#[0-9a-f]{6}", figure)
        )
        assert "var(--" in figure


def test_every_pair_and_the_mean_are_marked(account: Account, drawn: list[str]) -> None:
    """The comparison's figure names each stop that gave a pair."""
    words = {
        text
        for one in Page(drawn[1]).of("text")
        for text in [one.text.strip()]
        if text.startswith("stop ")
    }

    pairs = account.comparisons[0][0].pairs
    assert len(words) == len(pairs)
    assert "all" in Page(drawn[1]).words


def test_the_chance_of_cover_carries_its_numbers(drawn: list[str]) -> None:
    """The colours of the map stand beside their percentages."""
    words = Page(drawn[2]).words

    assert "100 %" in words
    assert "chance of −100 dBm or more" in words


def test_the_summary_picture_has_its_size_and_no_metadata(account: Account) -> None:
    """1200 by 1500 pixels, and nothing in the file but the picture."""
    content = summary_picture(account)

    with Image.open(io.BytesIO(content)) as picture:
        assert picture.size == (1200, 1500)
        assert set(picture.info) <= {"dpi"}
        colours = picture.convert("RGB").getcolors(maxcolors=2_000_000)
    assert colours is not None
    assert len(colours) > 100
    assert b"tEXt" not in content
    assert b"tIME" not in content


def test_without_matplotlib_one_sentence_tells_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The phone's core lacks it; the desk's extra brings it."""
    monkeypatch.setitem(sys.modules, "matplotlib", None)

    with pytest.raises(MissingPackage, match=r"pip install 'surveyapp\[desk\]'"):
        check_matplotlib()


def test_the_map_of_cover_explains_the_signs_it_shows_and_no_others(account: Account) -> None:
    """A reader once looked for dots that no place had: what is not drawn is not explained."""
    plan = lay_out(account.record)
    assert plan is not None
    caption = cover_caption(account.cover, plan)
    assert account.cover.cover is not None
    unread = replace(account.cover, cover=replace(account.cover.cover, measured=()))

    assert "90 %" in caption
    assert ("dot" in caption) == bool(account.cover.cover.measured)
    assert cover_caption(unread, plan).endswith("This is a model; nothing of it was measured.")
    assert "dot" not in cover_caption(unread, plan)


def test_the_summary_picture_speaks_for_itself(account: Account) -> None:
    """Who meets it has no report: it tells its signs and how many doubts there are."""
    assert f"{len(account.doubts)} doubts are told in the report." in picture_facts(account)
    plan = lay_out(account.record)
    assert plan is not None
    assert signs_told(account, plan) == (
        "Diamond: a site, an arc each panel's beam; circle: a stop; thin line: a sighting."
    )


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [(30.0, 2100.0, [50, 100, 200, 500, 1000, 2000]), (190.0, 430.0, [200, 300, 400]),
     (90.0, 1100.0, [100, 200, 500, 1000]), (300.0, 360.0, [325, 350])],
)  # fmt: skip
def test_a_days_rates_stand_on_a_rule_one_can_read(
    low: float, high: float, ticks: list[float]
) -> None:
    """A day of like runs once had one figure at its rule: the nearer, the finer."""
    assert rate_ticks(low, high) == ticks
