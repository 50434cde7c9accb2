"""Leads as GeoJSON points (RFC 7946); lines and areas are listed as no leads."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from surveyapp.exchange.geojson_text import features, load_geojson
from surveyapp.exchange.leads import LeadGatherer, LeadRow, LeadsRead
from surveyapp.exchange.leads_csv import COLUMNS


def read_leads_geojson(path: Path) -> LeadsRead:
    """The points of a file, with the properties that the columns of a table may have.

    Raises FormatError for a file that is no GeoJSON in WGS84.
    """
    gatherer = LeadGatherer(path)
    for number, feature in enumerate(features(load_geojson(path), path), start=1):
        _take(gatherer, f"feature {number}", feature)
    return gatherer.finish()


def _take(gatherer: LeadGatherer, place: str, feature: Any) -> None:
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    if not isinstance(geometry, dict):
        gatherer.refuse(place, "it has no position")
        return
    if geometry.get("type") != "Point":
        gatherer.refuse(place, f"it is a {str(geometry.get('type'))[:30]}, and a lead is a Point")
        return
    coordinates = geometry.get("coordinates")
    if not (
        isinstance(coordinates, list)
        and len(coordinates) >= 2
        and all(isinstance(v, int | float) and not isinstance(v, bool) for v in coordinates[:2])
    ):
        gatherer.refuse(place, "its position is not two numbers, longitude first")
        return
    lon, lat = (_decimal(value) for value in coordinates[:2])
    gatherer.take(place, LeadRow(**(_parts(feature.get("properties")) | {"lat": lat, "lon": lon})))


def _decimal(value: float) -> str:
    """The number without an exponent, or as it stands where it is no angle anyhow."""
    return f"{value:.9f}" if abs(value) <= 360.0 else str(value)


def _parts(properties: Any) -> dict[str, str]:
    """The properties that tell something of a lead, as text."""
    held: Mapping[str, Any] = properties if isinstance(properties, dict) else {}
    named = {str(name).strip().casefold(): value for name, value in held.items()}
    return {
        part: str(named[name])
        for part, names in COLUMNS.items()
        if part not in {"lat", "lon", "position"}
        for name in reversed(names)
        if isinstance(named.get(name), str | int | float) and not isinstance(named[name], bool)
    }
