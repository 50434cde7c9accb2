"""Positions written in two usual forms, to see that `parse_position` reads them back."""

from __future__ import annotations


def format_position(lat_deg: float, lon_deg: float, decimals: int = 5) -> str:
    """Decimal degrees, '60.16990, 24.93840'; five decimals are a metre or less."""
    return f"{_fixed(lat_deg, decimals)}, {_fixed(lon_deg, decimals)}"


def format_sexagesimal(lat_deg: float, lon_deg: float, decimals: int = 1) -> str:
    """Degrees, minutes and seconds, 60°10'11.6"N 24°56'18.2"E. `parse_position` reads it."""
    return f"{_sexagesimal(lat_deg, 'NS', decimals)} {_sexagesimal(lon_deg, 'EW', decimals)}"


def _fixed(value: float, decimals: int) -> str:
    """A decimal number from its whole smallest units; a minus only where one is left."""
    units = round(value * 10**decimals)
    return f"{'-' if units < 0 else ''}{_shifted(abs(units), decimals)}"


def _shifted(units: int, decimals: int) -> str:
    """Whole units written with the point `decimals` digits from the right."""
    whole, rest = divmod(units, 10**decimals)
    return f"{whole}.{rest:0{decimals}d}" if decimals else str(whole)


def _sexagesimal(value_deg: float, letters: str, decimals: int) -> str:
    """Degrees, minutes and seconds with the letter of the side."""
    units = round(value_deg * 3600 * 10**decimals)
    minutes, seconds_units = divmod(abs(units), 60 * 10**decimals)
    degrees, minutes = divmod(minutes, 60)
    seconds = _shifted(seconds_units, decimals).zfill(3 + decimals if decimals else 2)
    return f"{degrees}°{minutes:02d}'{seconds}\"{letters[units < 0]}"
