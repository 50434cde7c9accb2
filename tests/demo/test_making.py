"""Making the demo: the same seed gives the same day, and nothing is ever overwritten."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from surveyapp.demo.air import shadowing_db
from surveyapp.demo.hand import Hand
from surveyapp.demo.scene import STANDS, draw_scene
from surveyapp.demo.town import Town
from surveyapp.demo.truth import keep_truth, read_truth
from surveyapp.demo.write import Demo, read_demo, write_demo
from surveyapp.errors import FormatError, NotebookError
from surveyapp.exchange.formats import read_ground
from surveyapp.model import Reading, Row, Sector, Sighting, Site, SpeedRun, Stop
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook

KINDS: tuple[type[Row], ...] = (Site, Sector, Stop, Sighting, Reading, SpeedRun)


def rows(demo: Demo) -> list[Row]:
    """Every row of the demo's notebook, stamps included."""
    with Notebook.open(demo.notebook_path) as notebook:
        return [row for kind in KINDS for row in notebook.all(kind)]


def test_the_same_seed_gives_the_same_demo(demo: Demo, tmp_path: Path) -> None:
    """Truth and rows, down to their identities and times."""
    again = write_demo(tmp_path / "again", demo.truth.seed)

    assert again.truth == demo.truth
    assert rows(again) == rows(demo)


@pytest.mark.parametrize("seed", [1, 2])
def test_another_seed_gives_another_scene(demo: Demo, seed: int) -> None:
    """Other places, the same scenario; any seed finds room for it."""
    ground = read_ground(shipped("sample_surveys", "quarter.osm.gz"))
    scene = draw_scene(Town(ground), Hand(np.random.default_rng(seed), 0.0))

    assert [site.name for site in scene.sites] == [site.name for site in demo.truth.sites]
    assert len(scene.stands) == STANDS
    assert scene.sites != demo.truth.sites


def test_the_truth_reads_back_as_it_was(demo: Demo, tmp_path: Path) -> None:
    """JSON loses nothing, and the demo is found again by its folder."""
    keep_truth(demo.truth, tmp_path / "truth.json")

    assert read_truth(tmp_path / "truth.json") == demo.truth
    assert read_demo(demo.notebook_path.parent) == demo


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"seed": 1, "sites": [{}]}'])
def test_a_file_that_holds_no_truth_is_refused(tmp_path: Path, text: str) -> None:
    """With its name, in one sentence."""
    path = tmp_path / "truth.json"
    path.write_text(text)

    with pytest.raises(FormatError, match=r"truth\.json"):
        read_truth(path)


def test_a_folder_in_use_is_left_alone(tmp_path: Path) -> None:
    """Nothing is written beside what is there."""
    (tmp_path / "letter.txt").write_text("Dear surveyor,")

    with pytest.raises(NotebookError, match="in use"):
        write_demo(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_demo_cut_short_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the last file cannot be written, no half demo is left."""

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("surveyapp.demo.write._visit", lambda *_: [])
    monkeypatch.setattr("surveyapp.demo.write.keep_truth", full_disk)

    with pytest.raises(OSError, match="No space"):
        write_demo(tmp_path / "survey_demo")
    assert list(tmp_path.iterdir()) == []


def test_shadow_fading_has_the_spread_and_the_ties_it_claims() -> None:
    """TR 38.901 table 7.4.1-1 (sigma 4 and 7.82 dB), 0.5 between sites, 1/e after 10 m."""
    rng = np.random.default_rng(7)
    # pairs of stands 10 m apart, each pair 500 m from the next
    east_m = np.repeat(500.0 * np.arange(100.0), 2)
    north_m = np.tile([0.0, 10.0], 100)
    clear = np.tile([True, False], (200, 1))
    draws_db = np.stack([shadowing_db(east_m, north_m, clear, rng) for _ in range(24)])
    ones, others = draws_db[:, 0::2, :], draws_db[:, 1::2, :]

    assert draws_db[..., 0].std() == pytest.approx(4.0, rel=0.05)
    assert draws_db[..., 1].std() == pytest.approx(7.82, rel=0.05)
    assert np.corrcoef(draws_db[..., 0].ravel(), draws_db[..., 1].ravel())[0, 1] == pytest.approx(
        0.5, abs=0.05
    )
    assert np.corrcoef(ones[..., 0].ravel(), others[..., 0].ravel())[0, 1] == pytest.approx(
        np.exp(-1.0), abs=0.06
    )
