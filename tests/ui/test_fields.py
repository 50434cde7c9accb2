"""Fields and keys of the entry sheets, without a screen."""

from __future__ import annotations

import pytest

from surveyapp.model import Rat, Role
from surveyapp.ui.entries.carrier_fields import carrier_fields
from surveyapp.ui.entries.channel_offers import offered_widths
from surveyapp.ui.entries.field import Choice, Field, Kind, Sign
from surveyapp.ui.entries.state import pressed

RSRP = Field(name="rsrp", label="RSRP", unit="dBm", sign=Sign.MINUS, decimals=1, low=-156, high=-29)
SINR = Field(name="sinr", label="SINR", unit="dB", sign=Sign.EITHER, decimals=1, low=-23, high=40)
PCI = Field(name="pci", label="PCI", low=0, high=1007)
BAND = Field(name="band", label="Band", before="n", low=1, high=512)


def typed(field: Field, *keys: str) -> str:
    """What stands in a field after these keys."""
    text = ""
    for key in keys:
        text = pressed(text, key, field)
    return text


@pytest.mark.parametrize(
    ("field", "keys", "text"),
    [
        (RSRP, "86", "-86"),  # negative by itself
        (RSRP, ["8", "6", "erase"], "-8"),
        (RSRP, ["8", "erase"], ""),  # no sign is left behind
        (RSRP, ["8", "6", ".", "5", "5"], "-86.5"),  # one decimal and no more
        (RSRP, ["8", "6", "sign"], "-86"),
        (RSRP, [".", "5"], "-0.5"),
        (SINR, ["4", "sign"], "-4"),
        (SINR, ["sign", "4"], "-4"),
        (SINR, ["sign", "4", "sign"], "4"),
        (SINR, ["4", ",", "5"], "4.5"),  # either decimal mark
        (PCI, ["1", ".", "0"], "10"),  # a whole number has no mark
        (PCI, ["0", "7"], "7"),
        (PCI, ["1"] * 30, "1" * 10),
    ],
)
def test_a_key_does_what_the_field_allows(field: Field, keys: list[str], text: str) -> None:
    """Sign, decimal mark and length follow the field."""
    assert typed(field, *keys) == text


@pytest.mark.parametrize(
    ("field", "text", "problem"),
    [
        (RSRP, "-86", ""),
        (RSRP, "-156", ""),
        (RSRP, "-29", ""),
        (RSRP, "-286", "RSRP −286 cannot be: −156 to −29 dBm."),
        (RSRP, "84", "RSRP 84 cannot be: −156 to −29 dBm."),
        (RSRP, "2147483647", "RSRP 2147483647 cannot be: −156 to −29 dBm."),
        (RSRP, "-", "RSRP is not a number yet."),
        (PCI, "1007", ""),
        (PCI, "1008", "PCI 1008 cannot be: 0 to 1007."),
        (PCI, "", ""),
    ],
)
def test_an_impossible_value_is_told_in_one_sentence(field: Field, text: str, problem: str) -> None:
    """The sentence names the value and the range; the ends of the range are possible."""
    assert field.problem(text) == problem


def test_a_field_that_is_needed_says_so() -> None:
    """An empty field is a problem only where it must be filled."""
    assert Field(name="x", label="Site", needed=True).problem(" ") == "Site is needed."


def test_values_are_shown_as_a_person_writes_them() -> None:
    """A true minus, the letter of a band, the label of a choice."""
    view = Field(
        name="view", label="View", kind=Kind.CHOICE, choices=(Choice(value="c", label="Clear"),)
    )

    assert RSRP.shown("-86") == "−86"
    assert BAND.shown("258") == "n258"
    assert view.shown("c") == "Clear"


def looked_up(rat: Rat, name: str, **texts: str) -> list[str]:
    """What the cursor in a carrier's field is offered, as shown."""
    typed_texts = {f"primary_{key}": text for key, text in texts.items()}
    fields = carrier_fields("primary", Role.PRIMARY, rat, "", [], typed_texts)
    field = next(one for one in fields if one.name == f"primary_{name}")
    return [choice.label for choice in field.offered]


def test_a_channel_typed_with_no_band_offers_the_bands_that_hold_it() -> None:
    """TS 38.104 table 5.2-1 for 3600 MHz, TS 36.101 table 5.7.3-1 for EARFCN 6300."""
    assert looked_up(Rat.NR, "band", channel="640000") == ["n48", "n77", "n78"]
    assert looked_up(Rat.LTE, "band", channel="6300") == ["B20"]
    assert looked_up(Rat.NR, "band", channel="640000", band="78") == []
    assert looked_up(Rat.LTE, "band", channel="262000") == []


def test_a_width_no_table_has_is_doubted_and_the_bands_widths_are_offered() -> None:
    """'B3 1 MHz' was once saved without a word. Widths: TS 36.101 table 5.6-1, TS 38.101-2
    table 5.3.2-1."""
    assert [one.value for one in offered_widths(Rat.LTE, "3")] == [
        "1.4", "3", "5", "10", "15", "20",
    ]  # fmt: skip
    assert [one.label for one in offered_widths(Rat.NR, "258")] == [
        "50 MHz", "100 MHz", "200 MHz", "400 MHz",
    ]  # fmt: skip
    assert offered_widths(Rat.LTE, "") == ()
    fields = carrier_fields("anchor", Role.ANCHOR, Rat.LTE, "", (), {"anchor_band": "3"})
    width = next(field for field in fields if field.name == "anchor_width")
    assert width.problem("1") == ("No carrier in B3 is 1 MHz wide: 1.4, 3, 5, 10, 15, 20 MHz are.")
    assert width.problem("1.4") == ""
    assert [field.name for field in fields if field.on_path] == [
        "anchor_band", "anchor_count", "anchor_width",
    ]  # fmt: skip


def test_a_band_typed_with_no_channel_offers_its_usual_numbers() -> None:
    """Lowest, middle and highest place of a carrier that wide; B20 is 791 to 821 MHz."""
    assert looked_up(Rat.LTE, "channel", band="20", width="10") == [
        "6200 · 796 MHz", "6300 · 806 MHz", "6400 · 816 MHz",
    ]  # fmt: skip
    assert looked_up(Rat.LTE, "channel", band="20", channel="6300") == []
    assert looked_up(Rat.NR, "channel", band="999") == []
