"""The fields that place something on Earth, shared by the sheets of sites and stops."""

from __future__ import annotations

from typing import Any

from surveyapp.model import PositionFrom, Site, Stop
from surveyapp.ui.entries.field import Field, Sign
from surveyapp.ui.entries.form import Texts, amount, plain
from surveyapp.ui.session import Pick

HERE, ON_PLAN = "here", "on the plan"
TAPPED_WITHIN_M = 5.0  # a tap on the plan at walking scale; our estimate


def place_fields() -> tuple[Field, ...]:
    """Latitude, longitude and how sure they are; off the path, for a touch fills them."""
    return (
        Field(name="lat", label="Latitude", unit="°", sign=Sign.EITHER, decimals=6, low=-90,
              high=90, on_path=False, section="Place"),
        Field(name="lon", label="Longitude", unit="°", sign=Sign.EITHER, decimals=6, low=-180,
              high=180, on_path=False, section="Place"),
        Field(name="within", label="Sure within", unit="m", decimals=1, low=0, high=100_000,
              on_path=False, section="Place"),
    )  # fmt: skip


def place_texts(row: Site | Stop) -> Texts:
    """What stands in these fields for a row."""
    return {
        "lat": degrees_text(row.lat_deg),
        "lon": degrees_text(row.lon_deg),
        "within": plain(row.position_sigma_m),
        "placed": row.position_from.value if row.position_from else "",
    }


def place_of(row: Site | Stop, texts: Texts) -> dict[str, Any]:
    """The place as the fields of a row; a coordinate left as it was keeps all its digits."""
    shown = place_texts(row)
    fields = {"lat": "lat_deg", "lon": "lon_deg", "within": "position_sigma_m"}
    place: dict[str, Any] = {
        field: getattr(row, field) if texts.get(name, "") == shown[name] else amount(texts, name)
        for name, field in fields.items()
    }
    placed = texts.get("placed")
    return {**place, "position_from": PositionFrom(placed) if placed else None}


def degrees_text(value_deg: float | None) -> str:
    """A coordinate as it would have been typed, to a decimetre; '' where there is none."""
    return "" if value_deg is None else f"{value_deg:.6f}".rstrip("0").rstrip(".")


def place_from_plan(sheet: Any, title: str) -> None:
    """Ask for a tap on the plan and put the place into the sheet's fields."""
    sheet.session.ask_on_plan(
        Pick("position", title, lambda lat, lon: put_place(sheet, lat, lon, TAPPED_WITHIN_M))
    )


def put_place(sheet: Any, lat_deg: float, lon_deg: float, within_m: float) -> None:
    """Fill the fields with a place from the plan."""
    sheet.put("lat", degrees_text(lat_deg))
    sheet.put("lon", degrees_text(lon_deg))
    sheet.put("within", f"{within_m:.1f}")
    sheet.put("placed", PositionFrom.PLAN.value)
