"""The position sheet: where the surveyor stands, typed or tapped on the plan."""

from __future__ import annotations

from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.geometry.position_text import parse_position
from surveyapp.model import PositionFrom
from surveyapp.ui.entries.field import Choice, Field, Kind, Sign
from surveyapp.ui.entries.form import Form, Texts, amount, chips, plain
from surveyapp.ui.entries.places import degrees_text
from surveyapp.ui.session import Pick, Session
from surveyapp.ui.words import number

ON_PLAN, PASTE = "tap on the plan", "paste"
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
            Field(name="written", label="In any form", kind=Kind.TEXT, on_path=False,
                  hint="60°10'11.6\"N 24°56'18.2\"E"),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """The position the stop has now."""
        stop = session.stop
        if stop is None:
            return {}
        values = (stop.lat_deg, stop.lon_deg, stop.position_sigma_m)
        return dict(zip(("lat", "lon", "sigma"), map(plain, values), strict=True))

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """A position written in another form stands in the fields as decimal degrees."""
        if name in ("lat", "lon"):
            return {"written": ""}
        if name != "written":
            return {}
        try:
            lat_deg, lon_deg = parse_position(texts["written"])
        except InvalidValue:
            return {}
        return {"lat": degrees_text(lat_deg), "lon": degrees_text(lon_deg)}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """How to type it, and how what was written in another form is read."""
        if name == "written":
            return _read(texts.get("written", ""))
        if name == "sigma":
            return "One standard deviation. A phone among houses: 5 to 15 m (common practice)."
        return "Decimal degrees (WGS84); south and west are negative."

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The plan is quicker than typing; a place may have come in a message."""
        return (
            Choice(value=ON_PLAN, label="Tap on the plan", icon="locate"),
            Choice(value=PASTE, label="Paste", icon="text"),
        )

    def act(self, sheet: Any, action: str) -> None:
        """Ask the plan; the place tapped is kept at once. What is pasted is shown for review."""
        if action == PASTE:
            from kivy.core.clipboard import Clipboard

            sheet.put("written", " ".join((Clipboard.paste() or "").split()))
            sheet.move_to("written")
            return

        def take(lat_deg: float, lon_deg: float) -> None:
            sheet.session.set_position(lat_deg, lon_deg, PLAN_SIGMA_M, PositionFrom.PLAN)
            sheet.drop()
            sheet.close()

        sheet.session.ask_on_plan(Pick("position", "Tap where you stand", take))

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Place the stop; not while what was written elsewhere says no place."""
        if texts.get("written", "").strip():
            parse_position(texts["written"])
        lat, lon = amount(texts, "lat"), amount(texts, "lon")
        if lat is None or lon is None:
            raise InvalidValue("Latitude and longitude are both needed.", value=(lat, lon))
        session.set_position(lat, lon, amount(texts, "sigma"), PositionFrom.TYPED, draft)


def _read(written: str) -> str:
    if not written.strip():
        return "Degrees, minutes and seconds, a decimal comma or a geo: link; latitude first."
    try:
        lat_deg, lon_deg = parse_position(written)
    except InvalidValue as trouble:
        return str(trouble)
    return f"Read as {number(lat_deg, 6)}, {number(lon_deg, 6)}."
