"""The demo told once for all tests that only read it, and small surveys made by hand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from surveyapp.demo.write import Demo, write_demo
from surveyapp.exchange.privacy import NOTHING
from surveyapp.model import Row, Survey
from surveyapp.report.account import Account, account_of
from surveyapp.report.page import report_page
from surveyapp.report.record import record_of
from surveyapp.store.notebook import Notebook
from surveyapp.ui.telling import account_from

NOON = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo as shipped; tests leave it as it is."""
    return write_demo(tmp_path_factory.mktemp("report") / "survey_demo")


@pytest.fixture(scope="session")
def account(demo: Demo) -> Account:
    """The demo's first visit with everything that follows from it, nothing hidden."""
    with Notebook.open(demo.notebook_path) as notebook:
        return account_from(notebook, notebook.all(Survey)[0], NOTHING)


@pytest.fixture(scope="session")
def page(account: Account) -> str:
    """Its page."""
    return report_page(account)


@pytest.fixture
def tell() -> Callable[..., str]:
    """The page of a survey made of some rows."""

    def told(*rows: Row, **more: Any) -> str:
        return report_page(account_of(record_of(rows, **more)))

    return told
