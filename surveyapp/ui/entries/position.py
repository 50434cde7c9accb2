"""The position sheet: where the surveyor stands, typed or tapped on the plan."""

from __future__ import annotations

from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.model import PositionFrom
from surveyapp.ui.entries.field import Choice, Field, Sign
from surveyapp.ui.entries.form import Form, Texts, amount, chips, plain
from surveyapp.ui.session import Pick, Session

ON_PLAN = "tap on the plan"
PLAN_SIGMA_M = 5.0  # a tap beside a known corner of a street plan; common practice
USUAL_SIGMAS_M = (3.0, 5.0, 8.0, 15.0)


class PositionForm(Form):
    """Latitude, longitude and how well they are known."""

    name = "position"
    title = "Position"

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """Decimal degrees, WGS84."""
        usual = chips(USUAL_SIGMAS_M)
        return (
            Field(name="lat", label="Latitude", unit="°", sign=Sign.EITHER, decimals=6,
                  low=-90, high=90, needed=True),
            Field(name="lon", label="Longitude", unit="°", sign=Sign.EITHER, decimals=6,
                  low=-180, high=180, needed=True),
            Field(name="sigma", label="Known to within", unit="m", decimals=1, low=0,
                  high=10_000, suggestions=usual),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """The position the stop has now."""
        stop = session.stop
        if stop is None:
            return {}
        values = (stop.lat_deg, stop.lon_deg, stop.position_sigma_m)
        return dict(zip(("lat", "lon", "sigma"), map(plain, values), strict=True))

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """How to type it."""
        if name == "sigma":
            return "One standard deviation. A phone among houses: 5 to 15 m (common practice)."
        return "Decimal degrees (WGS84); south and west are negative."

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The plan is quicker than typing."""
        return (Choice(value=ON_PLAN, label="Tap on the plan", icon="locate"),)

    def act(self, sheet: Any, action: str) -> None:
        """Ask the plan; the place tapped is kept at once."""

        def take(lat_deg: float, lon_deg: float) -> None:
            sheet.session.set_position(lat_deg, lon_deg, PLAN_SIGMA_M, PositionFrom.PLAN)
            sheet.drop()
            sheet.close()

        sheet.session.ask_on_plan(Pick("position", "Tap where you stand", take))

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Place the stop."""
        lat, lon = amount(texts, "lat"), amount(texts, "lon")
        if lat is None or lon is None:
            raise InvalidValue("Latitude and longitude are both needed.", value=(lat, lon))
        session.set_position(lat, lon, amount(texts, "sigma"), PositionFrom.TYPED, draft)
