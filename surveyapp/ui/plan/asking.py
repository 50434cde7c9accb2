"""Questions put from the plan: started, waited for, and handed back as answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import LatLon, Sector, Site, Stop
from surveyapp.ui.plan.answers import Answer
from surveyapp.ui.plan.work import Question, Work
from surveyapp.ui.session import Session

THRESHOLD = "plan_threshold_dbm"
USUAL_DBM = -100.0


class Asking:
    """Asks for a page: `wait(title)`, `answered(answer)`, `refused(sentence)`
    and `wanted()` are its own."""

    def __init__(
        self,
        session: Session,
        router: Any,
        wait: Callable[[str], None],
        answered: Callable[[Answer], None],
        refused: Callable[[str], None],
        wanted: Callable[[], bool],
    ) -> None:
        self.session = session
        self.router = router
        self.plane: Plane | None = None
        self.work = Work(wanted)
        self._wait, self._answered, self._refused = wait, answered, refused

    @property
    def threshold_dbm(self) -> float:
        """The level that counts as covered, kept from one time to the next."""
        return float(self.session.notebook.setting(THRESHOLD, USUAL_DBM))

    def keep_threshold(self, threshold_dbm: float) -> None:
        """Ask at this level from now on."""
        self.session.notebook.keep_setting(THRESHOLD, threshold_dbm)

    def where_to_sight(self, site: Site) -> None:
        """What shrinks the fix of a site most."""
        from surveyapp.ui.plan.stand_questions import where_to_sight

        title = f"Where to sight {site.name} from"
        self._start(title, where_to_sight(self.session, self._plane(), site))

    def what_would_settle(self, stop: Stop) -> None:
        """What tells apart what may serve at a stop."""
        from surveyapp.ui.plan.stand_questions import what_would_settle

        title = f"What would settle stop {stop.number}"
        self._start(title, what_would_settle(self.session, self._plane(), stop))

    def sectors_left(self) -> None:
        """Which sectors nobody stood in."""
        from surveyapp.ui.plan.stand_questions import sectors_left

        self._start("Sectors nobody stood in", sectors_left(self.session, self._plane()))

    def choose_cover(self, site: Site, sectors: Sequence[Sector]) -> None:
        """Open the sheet where panel and level are chosen."""
        from surveyapp.ui.plan.cover_sheet import CoverSheet

        sheet = CoverSheet(
            session=self.session, router=self.router, site=site, sectors=list(sectors), asking=self
        )
        self.router.open(sheet)

    def cover(self, site: Site, sector: Sector) -> None:
        """How far a panel covers."""
        from surveyapp.ui.plan.cover_questions import cover_of

        title = f"Cover of {site.name} {sector.label}".strip()
        question = cover_of(self.session, self._plane(), site, sector, self.threshold_dbm)
        self._start(title, question)

    def gaps(self, one: Site, other: Site) -> None:
        """Where cover breaks between two sites."""
        from surveyapp.ui.plan.way_questions import gaps_from_to

        title = f"Gaps from {one.name} to {other.name}"
        question = gaps_from_to(self.session, self._plane(), one, other, self.threshold_dbm)
        self._start(title, question)

    def gaps_along(self, street: str, near_deg: LatLon) -> None:
        """Where cover breaks along a street."""
        from surveyapp.ui.plan.way_questions import gaps_along_street

        self._start(
            f"Gaps along {street}",
            gaps_along_street(self.session, self._plane(), street, near_deg, self.threshold_dbm),
        )

    def walk(self) -> None:
        """A short way to all the leads."""
        from surveyapp.analysis.leads import open_leads
        from surveyapp.ui.plan.way_questions import walk_to_leads

        leads = open_leads(self.session.sites)
        self._start("Walk to the leads", walk_to_leads(self.session, self._plane(), leads))

    def drop(self) -> None:
        """The answer is not wanted any more."""
        self.work.drop()

    def _start(self, title: str, question: Question[Answer]) -> None:
        self._wait(title)
        self.work.start(question, self._answered, self._refused)

    def _plane(self) -> Plane:
        assert self.plane is not None
        return self.plane
