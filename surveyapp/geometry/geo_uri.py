"""Places as geo: URIs (RFC 5870), as maps and messages hand them over."""

from __future__ import annotations

import re

from surveyapp.errors import InvalidValue, OutOfRange

SCHEME = "geo:"
LONGEST = 200
_NUMBER = r"-?\d+(?:\.\d+)?"
_URI = re.compile(
    rf"geo:(?P<lat>{_NUMBER}),(?P<lon>{_NUMBER})(?:,{_NUMBER})?"
    r"(?:;crs=(?P<system>[\w-]+))?(?:;u=\d+(?:\.\d+)?)?(?:;(?!crs=|u=)[\w-]+(?:=[^;?#\s]+)?)*",
    re.ASCII | re.IGNORECASE,
)


def parse_geo_uri(text: str) -> tuple[float, float]:
    """(lat_deg, lon_deg) of a geo: URI, RFC 5870 section 3.3; height, uncertainty and further
    parameters are passed over.

    Raises InvalidValue for anything else, a query after '?' and any coordinate system but WGS 84,
    and OutOfRange for what is no place on Earth.
    """
    found = _URI.fullmatch(text.strip()) if len(text) <= LONGEST else None
    if found is None:
        raise InvalidValue(
            f"'{text[:60]}' is not plainly a place: give it like geo:60.1699,24.9384.",
            value=text,
            allowed="geo:LAT,LON",
        )
    system = found["system"] or "wgs84"
    if system.lower() != "wgs84":
        raise InvalidValue(
            f"'{text[:60]}' counts in {system}, which cannot be read: give degrees of WGS 84.",
            value=system,
            allowed="wgs84",
        )
    lat_deg, lon_deg = float(found["lat"]), float(found["lon"])
    if abs(lat_deg) > 90.0 or abs(lon_deg) > 180.0:
        raise OutOfRange(
            f"'{text[:60]}' is no place on Earth: latitudes go to 90 degrees, longitudes to 180.",
            value=(lat_deg, lon_deg),
            allowed="latitudes -90 to 90, longitudes -180 to 180 degrees",
        )
    return lat_deg, lon_deg
