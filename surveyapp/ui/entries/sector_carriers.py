"""The carriers in the sheet of a panel: their fields, and what was typed as carriers."""

from __future__ import annotations

from collections.abc import Sequence

from surveyapp.model import Rat, SectorCarrier
from surveyapp.ui.entries.carrier_fields import (
    CHANNEL_NAME,
    LAST_BAND,
    LAST_CHANNEL,
    LAST_PCI,
    LETTER,
)
from surveyapp.ui.entries.channel_offers import look_up
from surveyapp.ui.entries.field import Field, Kind
from surveyapp.ui.entries.form import Texts, amount, chips, choices_of, plain, whole

MOST_CARRIERS = 6
NAMES = ("rat", "band", "count", "width", "pci", "channel", "mhz")


def sector_carrier_fields(texts: Texts, earlier: Sequence[SectorCarrier]) -> tuple[Field, ...]:
    """The fields of as many carriers as the sheet has room for now."""
    count = min(whole(texts, "carriers") or 1, MOST_CARRIERS)
    return tuple(
        field
        for at in range(1, count + 1)
        for field in _fields_of(at, Rat(texts.get(f"rat_{at}") or Rat.NR), earlier, texts)
    )


def sector_carriers(texts: Texts) -> tuple[SectorCarrier, ...]:
    """The carriers that were filled in; one whose fields are all empty is none."""
    count = min(whole(texts, "carriers") or 1, MOST_CARRIERS)
    made = (_carrier_of(at, texts) for at in range(1, count + 1))
    return tuple(carrier for carrier in made if carrier is not None)


def carrier_texts(carriers: Sequence[SectorCarrier]) -> Texts:
    """What stands in these fields for a panel's carriers."""
    texts = {"carriers": str(max(len(carriers), 1))}
    for at, carrier in enumerate(carriers, start=1):
        texts |= {
            f"rat_{at}": carrier.rat.value,
            f"band_{at}": "".join(sign for sign in carrier.band if sign.isdigit()),
            f"count_{at}": plain(carrier.count),
            f"width_{at}": plain(carrier.bandwidth_mhz),
            f"pci_{at}": plain(carrier.pci),
            f"channel_{at}": plain(carrier.channel),
            f"mhz_{at}": plain(carrier.mhz),
        }
    return texts


def _carrier_of(at: int, texts: Texts) -> SectorCarrier | None:
    if not any(texts.get(f"{name}_{at}", "") for name in NAMES[1:]):
        return None
    rat = Rat(texts.get(f"rat_{at}") or Rat.NR)
    band = texts.get(f"band_{at}", "")
    return SectorCarrier(
        rat=rat,
        band=f"{LETTER[rat]}{band}" if band else "",
        count=max(whole(texts, f"count_{at}") or 1, 1),
        bandwidth_mhz=amount(texts, f"width_{at}"),
        pci=whole(texts, f"pci_{at}"),
        channel=whole(texts, f"channel_{at}"),
        mhz=amount(texts, f"mhz_{at}"),
    )


def _fields_of(
    at: int, rat: Rat, earlier: Sequence[SectorCarrier], texts: Texts
) -> tuple[Field, ...]:
    section = f"Carrier {at}"
    alike = [carrier for carrier in earlier if carrier.rat is rat]
    bands = chips("".join(sign for sign in c.band if sign.isdigit()) for c in alike)
    band, channel = texts.get(f"band_{at}", ""), texts.get(f"channel_{at}", "")
    width_mhz = amount(texts, f"width_{at}")
    return (
        Field(name=f"rat_{at}", label="Kind", kind=Kind.CHOICE, choices=choices_of(Rat),
              section=section, on_path=False),
        Field(name=f"band_{at}", label="Band", before=LETTER[rat], low=1, high=LAST_BAND[rat],
              section=section, suggestions=bands,
              looked_up=look_up("band", rat, band, channel, width_mhz)),
        Field(name=f"count_{at}", label="Carriers", low=1, high=32, section=section,
              suggestions=chips(carrier.count for carrier in alike)),
        Field(name=f"width_{at}", label="Width of each", unit="MHz", decimals=1, low=1, high=2000,
              section=section, suggestions=chips(carrier.bandwidth_mhz for carrier in alike)),
        Field(name=f"pci_{at}", label="PCI of this carrier", low=0, high=LAST_PCI[rat],
              section=section, on_path=False),
        Field(name=f"channel_{at}", label=CHANNEL_NAME[rat], low=0, high=LAST_CHANNEL[rat],
              section=section, on_path=False,
              looked_up=look_up("channel", rat, band, channel, width_mhz)),
        Field(name=f"mhz_{at}", label="Frequency", unit="MHz", decimals=3, low=400, high=71_000,
              section=section, on_path=False),
    )  # fmt: skip
