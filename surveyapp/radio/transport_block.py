"""Size of one NR transport block: 3GPP TS 38.214 clause 5.1.3.2, in exact arithmetic."""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from functools import cache, lru_cache

from surveyapp.errors import OutOfRange
from surveyapp.radio.modulation import Modulation
from surveyapp.radio.tables import rows

LARGEST_TABLED = 3824  # bits: above it the formula takes over from table 5.1.3.2-1
MOST_ELEMENTS_PER_BLOCK = 156  # step 1 of the clause


@lru_cache(maxsize=1024)
def transport_block_bits(
    *,
    symbols: int,
    dmrs_elements: int,
    overhead_elements: int,
    modulation: Modulation,
    rate_x1024: float,
    layers: int,
    blocks: int,
    scaling: float = 1.0,
) -> int:
    """Bits of one transport block in a slot.

    `symbols` are those of the shared channel (1 to 14), `dmrs_elements` and
    `overhead_elements` the resource elements a resource block gives to reference signals and
    to the configured overhead (0, 6, 12 or 18), `rate_x1024` the target code rate times
    1024, `blocks` the resource blocks, `scaling` the factor S of table 5.1.3.2-2 (1, 0.5 or
    0.25). Raises OutOfRange for what the clause does not allow.
    """
    _check(symbols=symbols, layers=layers, blocks=blocks, overhead=overhead_elements)
    free = _free_elements(symbols, dmrs_elements, overhead_elements)
    rate = Fraction(str(rate_x1024)) / 1024
    if not 0 < rate < 1:
        raise OutOfRange(
            f"A code rate of {rate_x1024:g}/1024 makes no sense: give more than 0, below 1024.",
            value=rate_x1024,
            allowed="more than 0, below 1024",
        )
    elements = min(MOST_ELEMENTS_PER_BLOCK, free) * blocks
    wanted = Fraction(str(scaling)) * elements * rate * modulation.bits * layers
    if wanted <= LARGEST_TABLED:
        return _small(wanted)
    return _large(wanted, rate)


def _free_elements(symbols: int, dmrs_elements: int, overhead_elements: int) -> int:
    """Elements of one block left for data, refused where there are none."""
    most = 12 * symbols - overhead_elements - 1
    if not 0 <= dmrs_elements <= most:
        raise OutOfRange(
            f"{dmrs_elements} reference and {overhead_elements} other elements leave nothing of "
            f"{12 * symbols} in a resource block: give fewer.",
            value=dmrs_elements,
            allowed=f"0 to {most}",
        )
    return most + 1 - dmrs_elements


def _small(wanted: Fraction) -> int:
    """Step 3: quantised down, then the next size of the table."""
    step = 1 << max(3, _floor_log2(wanted) - 6)
    quantised = max(24, step * int(wanted / step))
    sizes = _sizes()
    return sizes[bisect_left(sizes, quantised)]


def _large(wanted: Fraction, rate: Fraction) -> int:
    """Step 4: quantised to nearest (ties up), then cut into equal code blocks."""
    step = 1 << (_floor_log2(wanted - 24) - 5)
    quantised = max(3840, step * int((wanted - 24) / step + Fraction(1, 2)))
    if rate <= Fraction(1, 4):
        parts = -(-(quantised + 24) // 3816)
    elif quantised > 8424:
        parts = -(-(quantised + 24) // 8424)
    else:
        parts = 1
    return 8 * parts * -(-(quantised + 24) // (8 * parts)) - 24


def _floor_log2(value: Fraction) -> int:
    """The whole part of the binary logarithm; anything below 1 counts as 0."""
    return max(int(value), 1).bit_length() - 1


@cache
def _sizes() -> tuple[int, ...]:
    """Table 5.1.3.2-1."""
    return tuple(int(row["bits"]) for row in rows("nr_transport_blocks"))


def _check(*, symbols: int, layers: int, blocks: int, overhead: int) -> None:
    """The plain limits of the clause, each refused with what is allowed."""
    limits = (
        ("symbols in a slot", symbols, 1, 14),
        ("layers", layers, 1, 8),
        ("resource blocks", blocks, 1, 275),
        ("overhead elements in a resource block", overhead, 0, 18),
    )
    for name, value, low, high in limits:
        if not low <= value <= high:
            raise OutOfRange(
                f"{value} {name} are not possible: take {low} to {high}.",
                value=value,
                allowed=f"{low} to {high}",
            )
