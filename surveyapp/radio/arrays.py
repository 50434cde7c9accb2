"""Numbers of the radio layer: one float or a numpy array of them, checked on the way in."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import InvalidValue, OutOfRange

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]
Values: TypeAlias = float | FloatArray
Flags: TypeAlias = bool | BoolArray


def finite(values: Values, name: str, unit: str) -> FloatArray:
    """The values as float64, refused with InvalidValue when one is no finite number."""
    array = np.asarray(values, dtype=np.float64)
    if not np.isfinite(array).all():
        raise InvalidValue(
            f"The {name} is not a number: give it in {unit or 'digits'}.",
            value=values,
            allowed=f"a finite number{f' of {unit}' if unit else ''}",
        )
    return array


def within(values: Values, low: float, high: float, name: str, unit: str) -> FloatArray:
    """The values as float64, refused with OutOfRange outside `low` to `high` (both allowed)."""
    array = finite(values, name, unit)
    outside = (array < low) | (array > high)
    if outside.any():
        worst = float(array[outside].flat[0]) if array.ndim else float(array)
        tail = f" {unit}" if unit else ""
        allowed = f"{low:.10g} to {high:.10g}{tail}"
        raise OutOfRange(
            f"The {name} {worst:.10g}{tail} is outside {allowed}: give one inside.",
            value=worst,
            allowed=allowed,
        )
    return array


def number(value: float, low: float, high: float, name: str, unit: str) -> float:
    """One float inside `low` to `high`, refused like `within`, at a fraction of its cost."""
    if low <= value <= high:
        return float(value)
    return float(within(value, low, high, name, unit))


def plain(array: FloatArray) -> FloatArray:
    """The array, or a numpy float (which is a Python float) where it holds a single value."""
    return array[()]
