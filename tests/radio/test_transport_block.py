"""Transport block sizes against published vectors."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import OutOfRange
from surveyapp.radio.modulation import Modulation
from surveyapp.radio.transport_block import transport_block_bits
from tests.radio.published import rows

SCALING = {"0": 1.0, "1": 0.5, "2": 0.25}
ONE_SLOT = {"symbols": 12, "dmrs_elements": 6, "overhead_elements": 0, "rate_x1024": 340.0,
            "modulation": Modulation.QAM16, "layers": 1, "blocks": 6}  # fmt: skip


def test_every_published_block_has_exactly_its_bits() -> None:
    """Small and large, all modulations, scaled and not, and whole carriers."""
    table = rows("nr_transport_blocks.csv")

    assert len(table) == 42
    for row in table:
        bits = transport_block_bits(
            symbols=int(row["symbols"]),
            dmrs_elements=int(row["dmrs_re_per_prb"]),
            overhead_elements=int(row["overhead"]),
            modulation=Modulation(row["modulation"]),
            rate_x1024=float(row["rate_x1024"]),
            layers=int(row["layers"]),
            blocks=int(row["prb"]),
            scaling=SCALING[row["scaling"]],
        )

        assert bits == int(row["tbs_bits"]), row


@given(
    blocks=st.integers(1, 275),
    layers=st.integers(1, 8),
    rate_x1024=st.floats(30.0, 948.0),
    modulation=st.sampled_from(list(Modulation)),
)
def test_a_block_is_whole_bytes_and_near_what_the_elements_hold(
    blocks: int, layers: int, rate_x1024: float, modulation: Modulation
) -> None:
    """Quantising moves it by less than one part in sixteen, or to the smallest size."""
    bits = transport_block_bits(
        symbols=12,
        dmrs_elements=12,
        overhead_elements=0,
        modulation=modulation,
        rate_x1024=rate_x1024,
        layers=layers,
        blocks=blocks,
    )
    held = 132 * blocks * layers * modulation.bits * rate_x1024 / 1024

    assert bits % 8 == 0
    assert bits == pytest.approx(held, rel=1 / 16, abs=24)


@pytest.mark.parametrize(
    ("change", "allowed"),
    [
        ({"layers": 1008}, "1 to 8"),
        ({"symbols": 15}, "1 to 14"),
        ({"blocks": 0}, "1 to 275"),
        ({"overhead_elements": 24}, "0 to 18"),
        ({"dmrs_elements": 144}, "0 to 143"),
        ({"rate_x1024": 1024.0}, "more than 0, below 1024"),
        ({"rate_x1024": 0.0}, "more than 0, below 1024"),
    ],
)
def test_impossible_slots_are_refused(change: dict[str, float], allowed: str) -> None:
    """With what is allowed, as an attribute too."""
    with pytest.raises(OutOfRange) as caught:
        transport_block_bits(**(ONE_SLOT | change))  # type: ignore[arg-type]

    assert caught.value.allowed == allowed
