"""`surveyapp compare`: what it prints, and what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.model import Device, Row, SpeedRun, Stop, Survey
from surveyapp.store.notebook import Notebook

Answer = Callable[..., dict[str, Any]]
Run = Callable[..., Result]
VISITS = ("First walk", "Second walk")
SERVERS = ("Near town", "Far town")
PHONES = ("--devices", "Phone A", "Phone B")
KEYS = {
    "first",
    "second",
    "quantity",
    "pairs",
    "ratio",
    "alike",
    "first_came_first",
    "second_came_first",
    "more_pairs",
    "winner",
    "shared",
    "dropouts",
    "left_out",
    "doubts",
    "sentence",
}


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two walks over the same four places, with two phones and two servers."""
    path = tmp_path_factory.mktemp("compare") / "walks.notebook"
    phones = (Device(label="Phone A"), Device(label="Phone B"))
    rows: list[Row] = [*phones]
    for walk, title in enumerate(VISITS):
        survey = Survey(title=title)
        rows.append(survey)
        for number in range(1, 5):
            begin = datetime(2026, 5, 4 + walk, 10 + 4 * walk, 6 * number, tzinfo=UTC)
            stop = Stop(survey_id=survey.id, number=number, time_utc=begin, lon_deg=24.94,
                        lat_deg=60.17 + 0.001 * number)  # fmt: skip
            rows.append(stop)
            for place, phone in enumerate(phones if number % 2 else phones[::-1]):
                for server in SERVERS:
                    rows.append(
                        SpeedRun(
                            stop_id=stop.id, device_id=phone.id, server_place=server,
                            time_utc=begin + timedelta(minutes=place),
                            down_mbps=100.0 * number + 17.0 * place + 5.0 * walk,
                            ping_ms=10.0 + number * (1.0 + 0.3 * place) + 20.0 * (server[0] == "F"),
                        )
                    )  # fmt: skip
    with Notebook.create(path) as made:
        made.save(*rows)
    return path


def test_phones_are_compared_with_the_promised_keys(answer: Answer, notebook: Path) -> None:
    """The object has every key, and its ratio lies inside both its intervals."""
    found = answer("compare", notebook, *PHONES)
    ratio = found["ratio"]

    assert set(found) == KEYS
    assert (found["first"], found["second"]) == ("Phone A", "Phone B")
    assert ratio["interval"]["low"] < ratio["ratio"] < ratio["interval"]["high"]
    assert ratio["rank"]["low"] <= ratio["typical"] <= ratio["rank"]["high"]
    assert found["winner"] is None or found["winner"] in ("Phone A", "Phone B")
    assert [item["pct"] for item in found["more_pairs"]] == [5.0, 10.0, 20.0]
    assert len(found["dropouts"]) == 2


def test_turning_the_phones_round_turns_the_ratio(answer: Answer, notebook: Path) -> None:
    """B against A is the inverse of A against B, with the same p."""
    one = answer("compare", notebook, *PHONES, "--quantity", "ping")
    other = answer("compare", notebook, "--devices", "Phone B", "Phone A", "--quantity", "ping")

    assert one["ratio"]["ratio"] * other["ratio"]["ratio"] == pytest.approx(1.0, abs=1e-9)
    assert one["ratio"]["p"] == pytest.approx(other["ratio"]["p"], abs=1e-9)


def test_options_change_what_is_compared(answer: Answer, notebook: Path) -> None:
    """A shorter time and a single survey leave fewer pairs."""
    every = len(answer("compare", notebook, *PHONES)["pairs"])

    assert every == 8
    assert len(answer("compare", notebook, *PHONES, "--within", "0.5")["pairs"]) < every
    assert len(answer("compare", notebook, *PHONES, "--survey", VISITS[1])["pairs"]) < every


@pytest.mark.parametrize(
    "asked",
    [
        ("--visits", *VISITS),
        ("--hours", "7-12", "12:30-24"),
        ("--servers", *SERVERS),
    ],
)
def test_visits_hours_and_servers_go_the_same_way(
    run: Run, notebook: Path, asked: tuple[str, ...]
) -> None:
    """Each prints a sentence first, then how many pairs there are."""
    result = run("compare", notebook, *asked)

    assert result.exit_code == 0, result.stderr
    assert result.stdout.splitlines()[0].endswith(".")
    assert "\npairs " in result.stdout


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        ((), "exactly one"),
        ((*PHONES, "--hours", "7-9", "9-11"), "exactly one"),
        (("--devices", "Phone A", "Phone A"), "twice"),
        (("--devices", "Phone A", "Phone Z"), "no device named 'Phone Z'"),
        (("--devices", "Phone A"), "2 arguments"),
        (("--hours", "7-9", "25-26"), "no span of time"),
        (("--hours", "7-9", "9"), "no span of time"),
        (("--servers", "Nowhere", "Elsewhere"), "No run was made against"),
        (("--visits", *VISITS, "--within", "5"), "--within"),
        (("--visits", *VISITS, "--survey", VISITS[0]), "--survey"),
        ((*PHONES, "--within", "soon"), "not a decimal number"),
        ((*PHONES, "--quantity", "jitter"), "down"),
    ],
)
def test_what_does_not_fit_is_refused(
    run: Run, notebook: Path, asked: tuple[str, ...], word: str
) -> None:
    """Exit code 2, one sentence, nothing on stdout."""
    result = run("compare", notebook, *asked)

    assert result.exit_code == 2
    assert result.stdout == ""
    assert word in result.stderr
