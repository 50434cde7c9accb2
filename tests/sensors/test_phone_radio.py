"""The phone's own radio, against a fake of Android's classes with the documented ranges.

Ranges: Android reference, CellSignalStrengthNr, CellIdentityNr and CellSignalStrengthLte, as of
November 2026.
"""

from __future__ import annotations

from typing import Any

import pytest

from surveyapp.errors import SensorUnavailable
from surveyapp.model import Carrier, Mode, Rat, Role
from surveyapp.sensors.phone_radio import AndroidPhoneRadio, FakePhoneRadio, RadioReport
from tests.sensors.fake_android import (
    SECONDARY,
    UNAVAILABLE,
    JavaList,
    Phone,
    SecurityError,
    cell,
    getters,
    lte,
    nr,
)

NR_IDENTITY = {"Nrarfcn": 2079167, "Pci": 101, "Bands": [258]}
NR_SIGNAL = {"SsRsrp": -86, "SsRsrq": -12, "SsSinr": 14}
LTE_IDENTITY = {"Earfcn": 6300, "Pci": 12, "Bands": [20], "Bandwidth": 10_000}
LTE_SIGNAL = {"Rsrp": -95, "Rsrq": -11, "Rssnr": 9}
NONE_NR = dict.fromkeys(NR_SIGNAL, UNAVAILABLE)


def read(phone: Phone, *cells: Any) -> RadioReport:
    """What the adapter makes of the phone's cells."""
    phone.services["phone"] = getters(AllCellInfo=JavaList(cells))
    return AndroidPhoneRadio().read()


def test_a_phone_on_nsa_gives_its_5g_leg_and_its_anchor(phone: Phone) -> None:
    """The 5G cell is not registered but serves as secondary; neighbours are left out."""
    neighbour = nr({"Nrarfcn": 1, "Pci": 2, "Bands": []}, NR_SIGNAL, registered=False, status=0)
    report = read(
        phone,
        lte(LTE_IDENTITY, LTE_SIGNAL, millis=7_500),
        nr(NR_IDENTITY, NR_SIGNAL, registered=False, status=SECONDARY),
        neighbour,
    )

    assert report.mode is Mode.NSA
    assert report.carriers == (
        Carrier(role=Role.PRIMARY, rat=Rat.NR, band="n258", channel=2079167, pci=101,
                rsrp_dbm=-86.0, rsrq_db=-12.0, sinr_db=14.0),
        Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="B20", channel=6300, bandwidth_mhz=10.0,
                pci=12, rsrp_dbm=-95.0, rsrq_db=-11.0, sinr_db=9.0),
    )  # fmt: skip
    assert report.age_s == 2.5
    assert report.left_out == ()


def test_a_registered_5g_cell_is_sa_and_lte_alone_is_lte(phone: Phone) -> None:
    """The mode follows what the phone is registered on."""
    assert read(phone, nr(NR_IDENTITY, NR_SIGNAL)).mode is Mode.SA
    alone = read(phone, lte(LTE_IDENTITY, LTE_SIGNAL))

    assert (alone.mode, alone.carriers[0].role) == (Mode.LTE, Role.PRIMARY)


def test_further_serving_cells_are_secondary(phone: Phone) -> None:
    """Two 5G cells and two LTE cells at once."""
    report = read(
        phone,
        lte(LTE_IDENTITY, LTE_SIGNAL, registered=False, status=SECONDARY),
        lte({**LTE_IDENTITY, "Pci": 13}, LTE_SIGNAL),
        *[nr(NR_IDENTITY, NR_SIGNAL, registered=False, status=SECONDARY)] * 2,
    )

    assert [(c.rat, c.role) for c in report.carriers] == [
        (Rat.NR, Role.PRIMARY), (Rat.NR, Role.SECONDARY),
        (Rat.LTE, Role.ANCHOR), (Rat.LTE, Role.SECONDARY),
    ]  # fmt: skip
    assert report.carriers[2].pci == 13


def test_unavailable_values_become_empty_and_are_no_fault(phone: Phone) -> None:
    """CellInfo.UNAVAILABLE stands for 'not known'."""
    identity = {"Nrarfcn": UNAVAILABLE, "Pci": UNAVAILABLE, "Bands": []}
    report = read(phone, nr(identity, NONE_NR))

    assert report.carriers == (Carrier(rat=Rat.NR),)
    assert report.left_out == ()


@pytest.mark.parametrize(
    ("method", "field", "low", "high"),
    [
        ("SsRsrp", "rsrp_dbm", -156, -31),
        ("SsRsrq", "rsrq_db", -43, 20),
        ("SsSinr", "sinr_db", -23, 40),
        ("Pci", "pci", 0, 1007),
        ("Nrarfcn", "channel", 0, 3_279_165),
    ],
)
def test_5g_values_are_taken_up_to_their_documented_ends(
    phone: Phone, method: str, field: str, low: int, high: int
) -> None:
    """The ends are in, one beyond is left out and named."""
    for value, kept in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        held = {**NR_IDENTITY, **NR_SIGNAL, method: value}
        report = read(phone, nr(held, held))

        assert getattr(report.carriers[0], field) == (value if kept else None)
        assert len(report.left_out) == (0 if kept else 1)
        assert kept or f"{value} cannot be" in report.left_out[0]


@pytest.mark.parametrize(
    ("method", "field", "low", "high"),
    [("Rsrp", "rsrp_dbm", -140, -43), ("Rssnr", "sinr_db", -20, 30)],
)
def test_lte_values_are_taken_up_to_their_documented_ends(
    phone: Phone, method: str, field: str, low: int, high: int
) -> None:
    """Likewise for LTE."""
    for value, kept in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        report = read(phone, lte(LTE_IDENTITY, {**LTE_SIGNAL, method: value}))

        assert getattr(report.carriers[0], field) == (value if kept else None)


def test_getdbm_is_never_used(phone: Phone) -> None:
    """The fake's getDbm says -44, as API 29's did with another quantity."""
    assert read(phone, nr(NR_IDENTITY, NONE_NR)).carriers[0].rsrp_dbm is None


def test_several_bands_are_no_answer(phone: Phone) -> None:
    """A frequency lies in more than one band; the hand decides."""
    several = read(phone, nr({**NR_IDENTITY, "Bands": [77, 78]}, NR_SIGNAL))
    older = read(phone, nr({"Nrarfcn": 1, "Pci": 2}, NR_SIGNAL))

    assert several.carriers[0].band == older.carriers[0].band == ""


def test_the_age_comes_from_nanoseconds_before_api_30_and_may_be_unknown(phone: Phone) -> None:
    """8 s after boot, read 10 s after boot; a stamp from the future is no age."""
    assert read(phone, nr(NR_IDENTITY, NR_SIGNAL, millis=None)).age_s == 2.0
    assert read(phone, nr(NR_IDENTITY, NR_SIGNAL, millis=11_000)).age_s is None
    assert read(phone, nr(NR_IDENTITY, NR_SIGNAL, millis=0)).age_s is None


def test_a_phone_that_tells_nothing_leaves_it_to_the_hand(phone: Phone) -> None:
    """No list, an empty one, another radio, a refusal, no service, no phone."""
    for cells in ((), (cell("CellInfoWcdma", None, None),)):
        with pytest.raises(SensorUnavailable, match="type the reading"):
            read(phone, *cells)
    phone.services["phone"] = getters(AllCellInfo=None)
    with pytest.raises(SensorUnavailable, match="no serving"):
        AndroidPhoneRadio().read()

    def refused() -> None:
        raise SecurityError("requires ACCESS_FINE_LOCATION")

    phone.services["phone"].getAllCellInfo = refused
    with pytest.raises(SensorUnavailable, match="allow the location"):
        AndroidPhoneRadio().read()
    del phone.services["phone"]
    with pytest.raises(SensorUnavailable, match="no phone service"):
        AndroidPhoneRadio().read()


def test_a_desk_has_no_radio() -> None:
    """And a fake says what it was told."""
    with pytest.raises(SensorUnavailable, match="no Android phone"):
        AndroidPhoneRadio().read()
    report = RadioReport(mode=Mode.SA, carriers=(), age_s=None)

    assert FakePhoneRadio(report).read() is report
    with pytest.raises(SensorUnavailable):
        FakePhoneRadio(SensorUnavailable("None.")).read()
