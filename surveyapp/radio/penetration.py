"""Loss into buildings and cars: 3GPP TR 38.901 V19.4.0, tables 7.4.3-1 and 7.4.3-2."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from surveyapp.errors import InvalidValue
from surveyapp.radio.arrays import FloatArray, Values, plain, within


class Shell(StrEnum):
    """What stands around the phone."""

    OUTDOORS = "outdoors"
    LOW_LOSS = "building, plain glass"
    HIGH_LOSS = "building, coated glass"
    CAR = "car"


# TR 38.901 table 7.4.3-2, sigma_P; a car's from clause 7.4.3.2
_SIGMA_DB = {Shell.OUTDOORS: 0.0, Shell.LOW_LOSS: 4.4, Shell.HIGH_LOSS: 6.5, Shell.CAR: 5.0}
CAR_DB = 9.0  # TR 38.901 clause 7.4.3.2; 20 dB with metal-coated windows


def penetration_db(shell: Shell, mhz: Values, *, indoor_depth_m: Values = 0.0) -> FloatArray:
    """Mean loss in dB into the shell, and 0.5 dB more for each metre inside a building.

    Arguments broadcast. Valid 0.5 to 100 GHz (a car 0.6 to 60 GHz) and up to 25 m inside;
    refused outside with OutOfRange. The standard leaves open which kind a building is.
    """
    kind = _shell(shell)
    low, high = (600.0, 60_000.0) if kind is Shell.CAR else (500.0, 100_000.0)
    ghz = within(mhz, low, high, "frequency", "MHz") / 1000.0
    inside = 0.5 * within(indoor_depth_m, 0.0, 25.0, "way inside the building", "m")
    if kind is Shell.OUTDOORS:
        return plain(np.zeros_like(ghz))
    if kind is Shell.CAR:
        return plain(np.full_like(ghz, CAR_DB))
    return plain(_wall_db(kind, ghz) + inside)


def penetration_sigma_db(shell: Shell) -> float:
    """Standard deviation in dB of the loss into the shell."""
    return _SIGMA_DB[_shell(shell)]


def _wall_db(kind: Shell, ghz: FloatArray) -> FloatArray:
    """Loss through the outer wall, glass and concrete weighed by the table."""
    concrete = 5.0 + 4.0 * ghz
    if kind is Shell.LOW_LOSS:
        glass, part_of_glass = 2.0 + 0.2 * ghz, 0.3
    else:
        glass, part_of_glass = 25.4 + 0.11 * ghz, 0.7  # coated glass as revised in release 19
    through = part_of_glass * 10.0 ** (-glass / 10.0)
    through = through + (1.0 - part_of_glass) * 10.0 ** (-concrete / 10.0)
    return np.asarray(5.0 - 10.0 * np.log10(through))


def _shell(shell: Shell) -> Shell:
    """The shell, refused with the allowed ones where it is none."""
    try:
        return Shell(shell)
    except ValueError:
        allowed = ", ".join(Shell)
        raise InvalidValue(
            f"There is no surrounding '{shell}': take one of {allowed}.",
            value=shell,
            allowed=allowed,
        ) from None
