"""Transport block sizes against published vectors."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
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


# (code rate x 1024, modulation, layers, blocks) -> bits, worked by hand from the clause for a
# slot of 156 elements in a block, at the edges of its cases
BY_HAND = {
    # 41603.25 wanted, 41984 quantised, rate below 1/4: ceil(42008 / 3816) = 12 code blocks
    (251.0, Modulation.QPSK, 4, 136): 96 * 438 - 24,
    # 6118.1 wanted, 6144 quantised, rate below 1/4: 2 code blocks
    (251.0, Modulation.QPSK, 1, 80): 16 * 386 - 24,
    # 6006 wanted, 6016 quantised, rate above 1/4 and not above 8424: one code block
    (308.0, Modulation.QPSK, 1, 64): 8 * 755 - 24,
    # 142744.875 wanted, 143360 quantised: ceil(143384 / 8424) = 18 code blocks
    (658.0, Modulation.QAM16, 4, 89): 144 * 996 - 24,
}


@pytest.mark.parametrize(("case", "bits"), BY_HAND.items())
def test_blocks_at_the_edges_of_the_cases_are_cut_as_the_clause_says(
    case: tuple[float, Modulation, int, int], bits: int
) -> None:
    """Low rates in parts of 3816 bits, others in parts of 8424, small ones whole."""
    rate_x1024, modulation, layers, blocks = case
    sizes = {
        transport_block_bits(
            symbols=14,
            dmrs_elements=dmrs_elements,
            overhead_elements=0,
            modulation=modulation,
            rate_x1024=rate_x1024,
            layers=layers,
            blocks=blocks,
        )
        for dmrs_elements in (0, 6, 12)  # no block counts for more than 156 elements
    }

    assert sizes == {bits}


@settings(deadline=None)
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
