"""Coding tables, block sizes, path loss and panel against the sionna-no-rt package, if installed.

An optional oracle, no dependency: skipped with this reason where it is missing.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from surveyapp.errors import InvalidValue
from surveyapp.radio.antenna import element_gain_dbi
from surveyapp.radio.modulation import Modulation, mcs_rows
from surveyapp.radio.propagation import Scenario, los_probability, path_loss_db
from surveyapp.radio.rates import LinkCarrier
from surveyapp.radio.transport_block import transport_block_bits

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    pytest.importorskip(
        "sionna.phy", reason="optional oracle: 'pip install sionna-no-rt' to compare with it"
    )
    import torch
    from sionna.phy.channel.tr38901 import Antenna, AntennaElement
    from sionna.phy.channel.tr38901.rma_scenario import RMaScenario
    from sionna.phy.channel.tr38901.uma_scenario import UMaScenario
    from sionna.phy.channel.tr38901.umi_scenario import UMiScenario
    from sionna.phy.nr.utils import calculate_tb_size, decode_mcs_index

pytestmark = pytest.mark.filterwarnings("ignore")

HUNDREDTH_DB = 0.01
MILLIONTH = 1e-6
THEIRS = {Scenario.UMI: UMiScenario, Scenario.UMA: UMaScenario, Scenario.RMA: RMaScenario}
# their name, base height in m, frequencies in MHz, metres along the ground
PLACES = {
    Scenario.UMI: (10.0, (700.0, 2130.0, 3600.0, 26_500.0, 39_000.0), (10.0, 3000.0)),
    Scenario.UMA: (25.0, (700.0, 2130.0, 3600.0, 26_500.0), (10.0, 3000.0)),
    Scenario.RMA: (35.0, (700.0, 2130.0, 3600.0), (10.0, 4900.0)),
}


@pytest.mark.parametrize("table", [1, 2, 3])
def test_the_coding_tables_are_those_of_the_package(table: int) -> None:
    """Modulation order and code rate of every index of a downlink table."""
    rows = mcs_rows(table)
    order, rate = decode_mcs_index(torch.arange(len(rows)), table_index=table, is_pusch=False)

    assert order.tolist() == [row.modulation.bits for row in rows]
    assert rate.numpy() == pytest.approx([row.rate_x1024 / 1024 for row in rows], abs=MILLIONTH)


@pytest.mark.parametrize("table", [1, 2, 3])
def test_every_block_has_exactly_the_bits_of_the_package(table: int) -> None:
    """All indexes, 1 to 4 layers, blocks of an allocation from one to a whole wide carrier."""
    for row in mcs_rows(table):
        for layers in (1, 2, 4):
            blocks = np.array([1, 2, 5, 11, 24, 51, 66, 106, 132, 217, 264, 273])
            bits = torch.full((len(blocks),), row.modulation.bits)
            theirs = calculate_tb_size(
                bits,
                torch.full((len(blocks),), row.rate_x1024 / 1024),
                num_prbs=torch.tensor(blocks),
                num_ofdm_symbols=12,
                num_dmrs_per_prb=12,
                num_layers=layers,
                return_cw_length=False,
            )[0]
            ours = [
                transport_block_bits(
                    symbols=12,
                    dmrs_elements=12,
                    overhead_elements=0,
                    modulation=row.modulation,
                    rate_x1024=row.rate_x1024,
                    layers=layers,
                    blocks=int(count),
                )
                for count in blocks
            ]

            assert theirs.tolist() == ours, (row, layers)


@pytest.mark.parametrize("scenario", list(Scenario))
@pytest.mark.parametrize("los", [True, False])
def test_path_loss_is_that_of_the_package(scenario: Scenario, los: bool) -> None:
    """Street canyon, urban and rural macro over distance and frequency, to 0.01 dB."""
    base_m, frequencies, (near_m, far_m) = PLACES[scenario]
    ground_m = np.geomspace(near_m, far_m, 120)
    for mhz in frequencies:
        theirs = _scenario(scenario, mhz, ground_m, base_m, los=los).basic_pathloss
        ours = path_loss_db(scenario, ground_m, mhz, los=los, base_height_m=base_m)

        assert theirs.numpy().ravel() == pytest.approx(ours, abs=HUNDREDTH_DB), mhz


@pytest.mark.parametrize("scenario", list(Scenario))
def test_the_chance_of_a_free_line_is_that_of_the_package(scenario: Scenario) -> None:
    """From a metre to kilometres."""
    ground_m = np.geomspace(1.0, 4000.0, 120)
    theirs = _scenario(scenario, 3600.0, ground_m, PLACES[scenario][0], los=True).los_probability

    assert theirs.numpy().ravel() == pytest.approx(
        los_probability(scenario, ground_m), abs=MILLIONTH
    )


def test_the_panel_is_that_of_the_package() -> None:
    """Gain of one element over the whole sphere."""
    zenith, azimuth = np.meshgrid(np.linspace(1.0, 179.0, 60), np.linspace(-179.0, 179.0, 120))
    element = AntennaElement("38.901", slant_angle=0.0, precision="double")
    theta, phi = element.field(torch.tensor(np.radians(zenith)), torch.tensor(np.radians(azimuth)))
    theirs = 10.0 * np.log10((theta**2 + phi**2).numpy())

    assert theirs == pytest.approx(element_gain_dbi(zenith, azimuth), abs=MILLIONTH)


def test_what_a_table_has_not_is_refused_by_both() -> None:
    """An index beyond table 2, and 256QAM with table 1."""
    with pytest.raises(ValueError, match="MCS"):
        decode_mcs_index(28, table_index=2, is_pusch=False)

    assert len(mcs_rows(2)) == 28
    with pytest.raises(InvalidValue, match="no 256QAM"):
        LinkCarrier(bandwidth_mhz=100, spacing_khz=30, modulation=Modulation.QAM256, mcs_table=1)


def _scenario(
    scenario: Scenario, mhz: float, ground_m: np.ndarray, base_m: float, *, los: bool
) -> UMiScenario:
    """Their scenario with one site, and users at 1.5 m that far away."""
    hertz = mhz * 1e6
    array = Antenna("single", "V", "omni", hertz, precision="double")
    kind = {} if scenario is Scenario.RMA else {"o2i_model": "low"}
    made = THEIRS[scenario](
        hertz, ut_array=array, bs_array=array, direction="downlink", precision="double", **kind
    )
    users = np.zeros((1, len(ground_m), 3))
    users[0, :, 0], users[0, :, 2] = ground_m, 1.5
    nowhere = torch.zeros((1, len(ground_m), 3), dtype=torch.float64)
    made.set_topology(
        ut_loc=torch.tensor(users),
        bs_loc=torch.tensor([[[0.0, 0.0, base_m]]], dtype=torch.float64),
        ut_orientations=nowhere,
        bs_orientations=torch.zeros((1, 1, 3), dtype=torch.float64),
        ut_velocities=nowhere,
        in_state=torch.zeros((1, len(ground_m)), dtype=torch.bool),
        los=los,
    )
    return made
