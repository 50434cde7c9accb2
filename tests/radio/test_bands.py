"""Operating bands and their pairs."""

from __future__ import annotations

import nrarfcn
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.bands import Direction, Duplex, all_bands, band, bands_at

# Default transmit to receive separation, TS 38.101-1 table 5.4.4-1 (from memory), MHz
SEPARATION_MHZ = {"n1": 190, "n2": 80, "n3": 95, "n5": 45, "n7": 120, "n8": 45, "n20": -41,
                  "n25": 80, "n28": 55, "n66": 400, "n71": -46}  # fmt: skip


@pytest.mark.parametrize("mhz", [806.0, 1850.0, 2140.0, 3600.0, 3500.01, 26_500.08, 28_000.08])
def test_a_frequency_lies_in_all_the_bands_the_package_finds(mhz: float) -> None:
    """NR and LTE, uplink and downlink, against the lookup of the nrarfcn package."""
    names = {entry.name for entry in bands_at(mhz)}
    nr = set(nrarfcn.get_bands_by_frequency(mhz, release_3gpp=19))
    lte = set(nrarfcn.get_lte_bands_by_frequency(mhz)) if mhz < 6000.0 else set()

    assert names == nr | lte


def test_a_frequency_of_one_technology_only_gives_its_bands() -> None:
    """NR alone at 3600 MHz."""
    assert [entry.name for entry in bands_at(3600.0, Rat.NR)] == ["n48", "n77", "n78"]


@pytest.mark.parametrize(("name", "separation_mhz"), SEPARATION_MHZ.items())
def test_paired_bands_name_the_partner(name: str, separation_mhz: float) -> None:
    """Downlink minus uplink is the standard's default separation, either way round."""
    entry = band(name)
    assert entry.downlink_mhz is not None
    low_mhz = entry.downlink_mhz[0] + 5.0

    assert entry.partner_mhz(low_mhz) == pytest.approx(low_mhz - separation_mhz, abs=1e-9)
    assert entry.partner_mhz(low_mhz - separation_mhz) == pytest.approx(low_mhz, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "mhz"),
    [("n78", 3500.0), ("n75", 1450.0), ("n92", 1450.0), ("n66", 2190.0), ("n1", 900.0)],
)
def test_no_partner_is_invented(name: str, mhz: float) -> None:
    """Time division, downlink only, loose pairs, a downlink past the uplink, a stranger."""
    assert band(name).partner_mhz(mhz) is None


def test_bands_carry_their_kind_and_width() -> None:
    """One of each duplex, and the spectrum a band has in all."""
    kinds = {name: band(name).duplex for name in ("n1", "n78", "n75", "n80", "B29", "B40")}

    assert kinds == {
        "n1": Duplex.FDD,
        "n78": Duplex.TDD,
        "n75": Duplex.DOWNLINK_ONLY,
        "n80": Duplex.UPLINK_ONLY,
        "B29": Duplex.DOWNLINK_ONLY,
        "B40": Duplex.TDD,
    }
    assert band("n258").width_mhz == 3250.0
    assert band("n80").directions_at(1750.0) == (Direction.UP,)


def test_all_bands_of_the_release_are_there_once() -> None:
    """70 NR bands below 7.125 GHz, 7 above 24 GHz, and the LTE ones."""
    names = list(all_bands())

    assert len(names) == len(set(names))
    assert sum(name.startswith("n") for name in names) == 70 + 7


def test_an_unknown_band_and_a_frequency_in_none_are_refused_with_what_there_is() -> None:
    """The sentence names the bands there are, or the nearest one."""
    with pytest.raises(InvalidValue, match="NR bands run from n1 to n263") as caught:
        band("n999")
    assert "n258" in caught.value.allowed
    with pytest.raises(OutOfRange, match="nearest is n257, 26500 to 29500 MHz"):
        bands_at(30_000.0)
