"""Rain, air and free space against the itur package, where it is installed.

An optional oracle, no dependency: skipped with this reason where it is missing.
"""

from __future__ import annotations

import warnings

import pytest

from surveyapp.radio.gas import gas_db_per_km
from surveyapp.radio.rain import rain_db_per_km

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    pytest.importorskip("itur", reason="optional oracle: 'pip install itur' to compare with it")
    from itur.models import itu676, itu838

MILLIONTH_DB = 1e-6


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("ghz", [1.0, 3.5, 10.0, 26.5, 28.0, 39.0, 60.0, 100.0])
def test_rain_agrees_with_the_package(ghz: float) -> None:
    """P.838-3 over frequency, rain rate, elevation and polarisation, to 1e-6 dB/km."""
    for rate in (0.5, 5.0, 25.0, 100.0):
        for elevation in (0.0, 20.0, 60.0):
            for tilt in (0.0, 45.0, 90.0):
                theirs = itu838.rain_specific_attenuation(rate, ghz, elevation, tilt).value
                ours = rain_db_per_km(1000 * ghz, rate, elevation_deg=elevation, tilt_deg=tilt)

                assert ours == pytest.approx(float(theirs), abs=MILLIONTH_DB)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("ghz", [1.0, 2.13, 3.6, 22.3, 26.55, 28.0, 39.1, 57.1, 60.0, 95.2])
def test_air_agrees_with_the_package_between_the_rows_of_the_table_too(ghz: float) -> None:
    """P.676 line by line: 1 % between rows, which is below a thousandth of a dB on a street."""
    theirs = itu676.gamma_exact(ghz, 1013.25, 7.5, 288.15).value

    assert gas_db_per_km(1000 * ghz) == pytest.approx(float(theirs), rel=0.01)
