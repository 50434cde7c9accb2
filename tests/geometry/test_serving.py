"""The serving answer as a surveyor meets it: ranking, reasons, what would settle it, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.geodesy import destination
from surveyapp.geometry.information import azimuth_bits, information_bits
from surveyapp.geometry.serving import Candidate, Observation, ServingAnswer, serving
from surveyapp.geometry.serving_posterior import posterior
from surveyapp.geometry.serving_terms import class_eirp_dbm, resource_elements
from surveyapp.model import Rat, View
from surveyapp.radio.propagation import Scenario, path_loss_db

STOP = (60.1699, 24.9384)
TENTH_DB = 0.1


def sector(
    name: str, towards_deg: float, distance_m: float, azimuth_deg: float | None, **more: object
) -> Candidate:
    """A sector `distance_m` from the stop; the first word of its name is its site."""
    lat_deg, lon_deg = destination(*STOP, towards_deg, distance_m)
    values: dict[str, object] = {"mhz": 26900.0, "site_id": name.split()[0]} | more
    return Candidate(name=name, lat_deg=lat_deg, lon_deg=lon_deg, azimuth_deg=azimuth_deg, **values)  # type: ignore[arg-type]


def here(**more: object) -> Observation:
    """An observation at the stop."""
    return Observation(lat_deg=STOP[0], lon_deg=STOP[1], **more)  # type: ignore[arg-type]


def probability(answer: ServingAnswer, name: str) -> float:
    """The probability of an entry by its name."""
    return next(entry.probability for entry in answer.ranking if entry.name == name)


def test_the_ranking_falls_ends_with_none_and_sums_to_one() -> None:
    """Whatever its own probability, 'none' comes last and has no figures."""
    answer = serving(
        here(),
        [
            sector("Alder A", 10.0, 150.0, 10.0, view=View.BLOCKED),
            sector("Birch A", 120.0, 60.0, 300.0, view=View.CLEAR),
            sector("Cedar A", 200.0, 90.0, 20.0),
        ],
    )

    listed = [entry.probability for entry in answer.ranking[:-1]]
    assert listed == sorted(listed, reverse=True)
    assert answer.ranking[0].name == "Birch A"
    assert answer.ranking[-1].name == "none"
    assert answer.ranking[-1].sector_id is None
    assert answer.ranking[-1].distance_m is None
    assert sum(entry.probability for entry in answer.ranking) == pytest.approx(1.0, abs=1e-12)


def test_geometry_is_told_from_the_stop_and_from_the_boresight() -> None:
    """A panel 62 m to the east that looks 8 degrees past the stop is told as such."""
    answer = serving(here(), [sector("Alder A", 90.0, 62.0, 278.0, view=View.CLEAR)])

    best = answer.ranking[0]
    assert best.distance_m == pytest.approx(62.0, abs=0.001)
    assert best.bearing_deg == pytest.approx(90.0, abs=0.01)
    assert best.off_boresight_deg == pytest.approx(8.0, abs=0.01)
    assert answer.reasons[0] == ("Alder A: you stand 8° off its boresight at 62 m, in clear view.")


def test_the_predicted_rsrp_is_eirp_per_element_less_loss_and_pattern() -> None:
    """Worked by hand: 100 MHz at 120 kHz are 66 blocks (TS 38.101-2 table 5.3.2-1).

    On boresight and in clear view: EIRP - 10 lg(66 x 12) - TR 38.901 loss, and the pattern
    only loses what elevation and the azimuth's uncertainty take.
    """
    exact = {"azimuth_sigma_deg": 0.0, "position_sigma_m": 0.0, "downtilt_deg": 3.7}
    panel = sector("Alder A", 0.0, 100.0, 180.0, view=View.CLEAR, eirp_dbm=55.0, **exact)

    best = serving(here(position_sigma_m=0.0), [panel]).ranking[0]

    loss = path_loss_db(Scenario.UMI, 100.0, 26900.0, los=True, base_height_m=8.0)
    expected = 55.0 - 10.0 * math.log10(66 * 12) - float(loss)
    assert best.predicted_rsrp_dbm == pytest.approx(expected, abs=TENTH_DB)
    # shadow 4 dB, EIRP 3 dB, panel 3.5 dB, with no other uncertainty
    assert best.predicted_sigma_db == pytest.approx(math.sqrt(16.0 + 9.0 + 12.25), abs=0.01)


def test_within_a_site_the_pattern_decides() -> None:
    """Fading is common to a site's panels: 60 degrees apart, the aimed one nearly always wins."""
    panels = [
        sector("Alder A", 0.0, 120.0, 180.0, azimuth_sigma_deg=3.0),
        sector("Alder B", 0.0, 120.0, 120.0, azimuth_sigma_deg=3.0),
    ]
    apart = [panels[0], sector("Birch B", 0.0, 120.0, 120.0, azimuth_sigma_deg=3.0)]
    certain = here(unlisted_share=0.0)

    same_site = serving(certain, panels)
    two_sites = serving(certain, apart)

    assert probability(same_site, "Alder B") < 0.05
    assert probability(two_sites, "Birch B") > 3.0 * probability(same_site, "Alder B")


def test_an_unknown_frequency_is_taken_amid_the_known_ones() -> None:
    """A panel of unknown carrier among 26.9 GHz ones gets no advantage of 3.5 GHz."""
    like = {"view": View.CLEAR}
    known = [
        sector("Alder A", 0.0, 60.0, 180.0, **like),
        sector("Birch A", 90.0, 60.0, 270.0, **like),
    ]
    vague = [known[0], sector("Birch A", 90.0, 60.0, 270.0, mhz=None, **like)]

    assert probability(serving(here(), vague), "Birch A") == pytest.approx(
        probability(serving(here(), known), "Birch A"), abs=1e-9
    )


def test_turning_the_whole_scene_changes_nothing() -> None:
    """Azimuths and bearings turned by 77 degrees give the same probabilities."""
    scene = [(10.0, 60.0, 200.0), (120.0, 90.0, 320.0), (350.0, 45.0, 100.0)]

    def turned(by_deg: float) -> list[float]:
        panels = [
            sector(f"S{i} A", b + by_deg, d, (a + by_deg) % 360.0)
            for i, (b, d, a) in enumerate(scene)
        ]
        return [probability(serving(here(), panels), p.name) for p in panels]

    assert turned(77.0) == pytest.approx(turned(0.0), abs=1e-4)


def test_an_rsrp_no_listed_sector_explains_speaks_for_none() -> None:
    """-62 dBm where the only listed sector lies 300 m away out of view."""
    far = [sector("Alder A", 0.0, 300.0, 180.0, view=View.BLOCKED)]

    before = probability(serving(here(), far), "none")
    after = probability(serving(here(rsrp_dbm=-62.0), far), "none")

    assert before < 0.5 < after


def test_the_pci_read_outweighs_the_geometry() -> None:
    """A known PCI turns the answer to its sector, a strange one to none."""
    panels = [
        sector("Alder A", 0.0, 60.0, 180.0, pci=11),
        sector("Birch A", 90.0, 90.0, 300.0, pci=12),
    ]

    assert probability(serving(here(pci=12), panels), "Birch A") > 0.9
    assert probability(serving(here(pci=500), panels), "none") > 0.5


def test_a_phone_of_known_offset_tells_more_than_an_unknown_one() -> None:
    """A level that fits the hidden site speaks for it the more, the better the phone is known."""
    panels = [
        sector("Alder A", 0.0, 50.0, 180.0, view=View.CLEAR, on_air=0.8),
        sector("Birch A", 90.0, 160.0, 270.0, view=View.BLOCKED),
    ]

    def for_birch(**more: float) -> float:
        return probability(serving(here(unlisted_share=0.0, **more), panels), "Birch A")

    unread = for_birch()
    wide, known = (for_birch(rsrp_dbm=-112.0, phone_sigma_db=s) for s in (15.0, 0.5))
    assert unread < wide < known


def test_an_offset_phone_gives_the_answer_of_a_true_one() -> None:
    """A phone that shows 5 dB too much at -85 says what a true one says at -90."""
    panels = [
        sector("Alder A", 0.0, 60.0, 180.0),
        sector("Birch A", 90.0, 90.0, 300.0),
    ]

    offset = serving(here(rsrp_dbm=-85.0, phone_offset_db=5.0), panels)
    true = serving(here(rsrp_dbm=-90.0), panels)

    assert [e.probability for e in offset.ranking] == pytest.approx(
        [e.probability for e in true.ranking], abs=1e-6
    )


def test_without_any_sector_the_answer_is_none_for_certain() -> None:
    """None listed, or none within 5 km: 'none' at 100 %, and what to do."""
    nothing = serving(here(), [])
    far = serving(here(), [sector("Alder A", 0.0, 6000.0, 180.0)])

    for answer in (nothing, far):
        assert [entry.name for entry in answer.ranking] == ["none"]
        assert answer.ranking[0].probability == 1.0
        assert answer.settle.startswith("Look for the site")


def test_standing_right_beneath_a_site_is_answered() -> None:
    """At no distance at all no direction exists, and the answer still sums to 1."""
    beneath = Candidate(name="Alder A", lat_deg=STOP[0], lon_deg=STOP[1], azimuth_deg=0.0)

    answer = serving(here(position_sigma_m=0.0), [beneath])

    assert probability(answer, "Alder A") > 0.8
    assert all(math.isfinite(entry.probability) for entry in answer.ranking)


@pytest.mark.parametrize("rsrp_dbm", [-156.0, -29.0])
def test_the_weakest_and_strongest_readings_are_answered(rsrp_dbm: float) -> None:
    """The ends of TS 38.133's range give finite probabilities."""
    answer = serving(here(rsrp_dbm=rsrp_dbm), [sector("Alder A", 0.0, 60.0, 180.0)])

    assert sum(entry.probability for entry in answer.ranking) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("what", "value", "kind"),
    [
        ("rsrp_dbm", 84.0, OutOfRange),
        ("rsrp_dbm", 2147483647.0, OutOfRange),
        ("rsrp_dbm", math.nan, InvalidValue),
        ("pci", 1008, OutOfRange),
        ("mhz", 1.0, OutOfRange),
        ("position_sigma_m", -1.0, OutOfRange),
    ],
)
def test_impossible_observations_are_refused_in_one_sentence(
    what: str, value: float, kind: type[Exception]
) -> None:
    """The sentence names the quantity, the place and what would do."""
    with pytest.raises(kind, match=r"of the stop .*: give ") as refusal:
        here(**{what: value})

    assert str(refusal.value).count("\n") == 0


@pytest.mark.parametrize(
    ("what", "value"),
    [("azimuth_deg", 361.0), ("beamwidth_deg", 0.0), ("eirp_dbm", 300.0), ("height_m", 0.0)],
)
def test_impossible_sectors_are_refused_by_name(what: str, value: float) -> None:
    """The sentence names the sector."""
    values = {"name": "Alder A", "lat_deg": 60.0, "lon_deg": 24.0, "azimuth_deg": 0.0} | {
        what: value
    }
    with pytest.raises(OutOfRange, match="sector 'Alder A'"):
        Candidate(**values)  # type: ignore[arg-type]


def test_an_lte_carrier_takes_only_lte_pcis() -> None:
    """TS 36.211 knows 504 identities, TS 38.211 1008."""
    with pytest.raises(OutOfRange, match="0 to 503"):
        sector("Alder A", 0.0, 50.0, 0.0, rat=Rat.LTE, mhz=800.0, pci=504)


def test_resource_elements_follow_the_standards_blocks() -> None:
    """TS 38.101 tables 5.3.2-1: 273 blocks in 100 MHz at 30 kHz, 66 at 120 kHz; LTE 100 in 20."""
    assert resource_elements(Rat.NR, 3500.0, 100.0) == 273 * 12
    assert resource_elements(Rat.NR, 26900.0, 100.0) == 66 * 12
    assert resource_elements(Rat.LTE, 800.0, 20.0) == 100 * 12
    assert class_eirp_dbm(800.0, 25.0) > class_eirp_dbm(3500.0, 8.0)


def test_reading_the_pci_is_proposed_where_it_tells_most() -> None:
    """Two like contenders of known PCI: the cheapest full answer is the PCI."""
    panels = [
        sector("Alder A", 0.0, 60.0, 180.0, pci=11),
        sector("Birch A", 180.0, 60.0, 0.0, pci=12),
    ]

    settle = serving(here(rsrp_dbm=-95.0), panels).settle

    assert settle.startswith("Read the PCI: ")
    assert "11 is Alder A" in settle
    assert "12 is Birch A" in settle


def test_a_view_not_told_is_proposed_when_it_decides() -> None:
    """With the PCI known to nobody and the RSRP read, looking at the doubtful site tells most."""
    panels = [
        sector("Alder A", 0.0, 110.0, 180.0, view=View.BLOCKED, azimuth_sigma_deg=2.0),
        sector("Birch A", 8.0, 110.0, 188.0, los_probability=0.5, azimuth_sigma_deg=2.0),
    ]

    settle = serving(here(rsrp_dbm=-92.0, phone_sigma_db=8.0, unlisted_share=0.0), panels).settle

    assert settle.startswith("Sight Birch A from here")


def test_the_panel_itself_is_proposed_when_its_azimuth_decides() -> None:
    """A panel of unknown azimuth too far for a few steps to matter: look which way it faces."""
    panels = [
        sector("Alder A", 0.0, 200.0, None, view=View.CLEAR),
        sector("Birch A", 5.0, 200.0, 245.0, view=View.CLEAR),
    ]

    settle = serving(here(rsrp_dbm=-92.0, unlisted_share=0.0), panels).settle

    assert settle == "Sight the panel of Alder A: which way does it face?"


def test_a_known_azimuth_has_nothing_left_to_tell() -> None:
    """Bits of a panel's direction fall to nothing as its azimuth gets certain."""

    def bits(sigma_deg: float) -> float:
        panels = [
            sector("Alder A", 0.0, 90.0, 180.0, azimuth_sigma_deg=sigma_deg),
            sector("Birch A", 60.0, 90.0, 240.0),
        ]
        found = posterior(here(), panels)
        assert found is not None
        return azimuth_bits(found, 0)

    assert bits(0.0) < 1e-9 < bits(30.0) < bits(60.0)


def test_a_step_is_proposed_when_it_parts_the_contenders() -> None:
    """Opposite sites in clear view part by walking towards one of them."""
    panels = [
        sector("Alder A", 0.0, 40.0, 180.0, view=View.CLEAR),
        sector("Birch A", 180.0, 40.0, 0.0, view=View.CLEAR),
    ]

    settle = serving(here(rsrp_dbm=-80.0), panels).settle

    assert settle.startswith("Step ")
    assert "if Alder A serves" in settle
    assert "north" in settle or "south" in settle


def test_a_settled_answer_asks_for_nothing() -> None:
    """At 95 % and more nothing is proposed."""
    answer = serving(here(pci=11), [sector("Alder A", 0.0, 50.0, 180.0, pci=11)])

    assert answer.ranking[0].probability > 0.95
    assert answer.settle == "Settled: nothing more is needed here."


def test_information_is_that_of_a_textbook_channel() -> None:
    """A binary symmetric channel of error 0.11 carries 0.5001 bits (Shannon 1948)."""
    joint = 0.5 * np.array([[0.89, 0.11], [0.11, 0.89]])

    assert information_bits(joint) == pytest.approx(0.5001, abs=1e-4)


def test_views_weighed_by_their_odds_give_the_answer_without_a_view() -> None:
    """Total probability: the two conditional masses average to the unconditional one."""
    panels = [
        sector("Alder A", 0.0, 60.0, 180.0, los_probability=0.3),
        sector("Birch A", 90.0, 90.0, 300.0),
    ]
    found = posterior(here(rsrp_dbm=-95.0), panels)
    assert found is not None

    clear = found.mass(found.joint.given_los(0, clear=True))
    hidden = found.mass(found.joint.given_los(0, clear=False))

    assert 0.3 * clear + 0.7 * hidden == pytest.approx(found.mass(found.joint.everything), rel=1e-9)


def test_conditioning_on_a_view_is_as_telling_it() -> None:
    """The mass given a clear view is what the answer would be had the surveyor told it."""
    panels = [
        sector("Alder A", 0.0, 60.0, 180.0, los_probability=0.3),
        sector("Birch A", 90.0, 90.0, 300.0),
    ]
    told = [sector("Alder A", 0.0, 60.0, 180.0, view=View.CLEAR), panels[1]]
    found, expected = posterior(here(), panels), posterior(here(), told)
    assert found is not None
    assert expected is not None

    given = found.weigh(found.joint.given_los(0, clear=True))

    assert given == pytest.approx(expected.probability, abs=1e-4)
