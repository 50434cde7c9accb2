"""The report, the screens, and the commands `expect` and `serving` say the same of every stop."""

from __future__ import annotations

import json
import time
from dataclasses import replace

import pytest
from click.testing import CliRunner

from surveyapp.cli import cli
from surveyapp.demo.write import Demo
from surveyapp.model import Survey
from surveyapp.report.account import Account
from surveyapp.store.notebook import Notebook
from surveyapp.ui.answer_words import leg_views
from surveyapp.ui.session import Session
from surveyapp.ui.verdicts import verdicts

A_MILLIONTH = 1e-6
PATIENCE_S = 20.0


def looked_through(session: Session, survey: Survey) -> None:
    """Wait until the survey was looked through in the background."""
    session.reviewer.ask(survey.id)
    end = time.monotonic() + PATIENCE_S
    while not session.reviewer.is_fresh(survey.id):
        assert time.monotonic() < end
        time.sleep(0.02)


def test_the_stop_page_says_what_the_report_says(demo: Demo, account: Account) -> None:
    """Answers and verdicts of every stop; where one PCI was read at several stops, together."""
    with Notebook.open(demo.notebook_path) as notebook:
        survey = notebook.all(Survey)[0]
        session = Session(notebook, lambda: account.scenes[-1].stop.time_utc)
        looked_through(session, survey)
        joined = 0
        for scene, expected in zip(account.scenes, account.expectations, strict=True):
            session.go_to_stop(scene.stop.id)
            answers, _ = session.answers()
            told = session.verdicts()

            assert [one.answer for one in answers] == [one.answer for one in expected.answers]
            for row_id, verdict in verdicts(expected, ()).items():
                assert told[row_id].matters == verdict.matters
            for view in leg_views(session.scene, answers, told):
                own = [one.strip for verdict in told.values() for one in verdict.matters]
                assert (
                    view.strip is None
                    or view.strip.measured is None
                    or (replace(view.strip, text="") in [replace(one, text="") for one in own])
                )
            alone = session.expected._serving.alone(session.scene)[0]
            joined += sum(one != other for one, other in zip(answers, alone, strict=True))
        assert joined > 10
        session.reviewer.rest()


@pytest.mark.parametrize("number", [9, 13])
def test_the_commands_say_what_the_report_says(demo: Demo, account: Account, number: int) -> None:
    """`expect` and `serving` of a stop: sector, probability and reasons."""
    expected = next(
        one
        for scene, one in zip(account.scenes, account.expectations, strict=True)
        if scene.stop.number == number
    )
    common = ["--survey", account.record.survey.title, "--stop", str(number), "--json"]
    asked = [
        CliRunner().invoke(cli, [*command, str(demo.notebook_path), *common]).stdout
        for command in (["expect"], ["serving", "--notebook"])
    ]
    told, served = json.loads(asked[0])["readings"], json.loads(asked[1])

    assert [(one["sector"] or "", one["words"]) for one in told] == [
        (leg.sector, leg.words) for leg in expected.legs
    ]
    assert [[reason["words"] for reason in one["reasons"]] for one in told] == [
        [reason.words for reason in leg.reasons] for leg in expected.legs
    ]
    first = expected.answers[0].answer.ranking
    assert [one["probability"] for one in served["ranking"]] == pytest.approx(
        [one.probability for one in first], abs=A_MILLIONTH
    )
