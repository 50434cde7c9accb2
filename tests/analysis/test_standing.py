"""From a stop's rows to serving answers: legs, phones, gaps and impossible values."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from surveyapp.analysis.candidates import candidates_at
from surveyapp.analysis.standing import LegAnswer, PhoneOffset, serving_at
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import destination
from surveyapp.model import (
    Building,
    Carrier,
    Device,
    Ground,
    Mode,
    Rat,
    Reading,
    Role,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    Stop,
    StopScene,
    Survey,
    View,
)

WHEN = datetime(2025, 5, 4, 10, 0, tzinfo=UTC)
STANDS = (60.1699, 24.9384)
SURVEY = Survey(title="Harbour, an invented survey")
STOP = Stop(
    survey_id=SURVEY.id,
    number=7,
    time_utc=WHEN,
    lat_deg=STANDS[0],
    lon_deg=STANDS[1],
    position_sigma_m=6.0,
)
NR_CARRIER = SectorCarrier(rat=Rat.NR, band="n258", channel=2054166, bandwidth_mhz=100.0, count=4)
LTE_CARRIER = SectorCarrier(rat=Rat.LTE, band="B20", channel=6300, bandwidth_mhz=10.0)


def site(name: str, towards_deg: float, distance_m: float, **more: object) -> Site:
    """A live site on a lamp post, `distance_m` from the stop."""
    lat_deg, lon_deg = destination(*STANDS, towards_deg, distance_m)
    values = {"kind": SiteKind.LAMP_POST, "status": SiteStatus.LIVE} | more
    return Site(name=name, lat_deg=lat_deg, lon_deg=lon_deg, **values)  # type: ignore[arg-type]


KELP = site("Kelp post", 0.0, 60.0)
QUAY = site("Quay wall", 110.0, 90.0)
ROOF = site("Dock roof", 200.0, 250.0, kind=SiteKind.ROOF)
KELP_A = Sector(site_id=KELP.id, label="A", azimuth_deg=180.0, pci=11, carriers=(NR_CARRIER,))
QUAY_A = Sector(site_id=QUAY.id, label="A", azimuth_deg=300.0, pci=12, carriers=(NR_CARRIER,))
ROOF_A = Sector(site_id=ROOF.id, label="A", azimuth_deg=20.0, pci=301, carriers=(LTE_CARRIER,))
PHONE = Device(label="One")
OTHER = Device(label="Two")


def nr(**more: object) -> Carrier:
    """A 5G carrier as a phone reports it."""
    values: dict[str, object] = {"rat": Rat.NR, "band": "n258", "channel": 2054166} | more
    return Carrier(**values)  # type: ignore[arg-type]


def lte(**more: object) -> Carrier:
    """An LTE anchor as a phone reports it."""
    values: dict[str, object] = {"rat": Rat.LTE, "band": "B20", "channel": 6300} | more
    return Carrier(role=Role.ANCHOR, **values)  # type: ignore[arg-type]


def reading(*carriers: Carrier, device: Device = PHONE) -> Reading:
    """A reading at the stop."""
    return Reading(
        stop_id=STOP.id, device_id=device.id, time_utc=WHEN, mode=Mode.NSA, carriers=carriers
    )


def scene(**more: object) -> StopScene:
    """The invented harbour with three sites and two phones."""
    values: dict[str, object] = {
        "sites": (KELP, QUAY, ROOF),
        "sectors": (KELP_A, QUAY_A, ROOF_A),
        "devices": (PHONE, OTHER),
    } | more
    return StopScene(survey=SURVEY, stop=STOP, **values)  # type: ignore[arg-type]


def names(leg: LegAnswer) -> list[str]:
    """The entries of an answer by falling probability."""
    return [entry.name for entry in leg.answer.ranking]


def probability(leg: LegAnswer, name: str) -> float:
    """The probability of an entry."""
    return next(e.probability for e in leg.answer.ranking if e.name == name)


def test_each_leg_is_asked_for_the_sectors_that_hold_such_a_carrier() -> None:
    """The 5G leg ranks the street's nodes, the LTE leg the roof alone."""
    first = reading(nr(rsrp_dbm=-88.0), lte(rsrp_dbm=-95.0))

    legs = serving_at(scene(readings=(first,)))

    assert [leg.leg for leg in legs] == ["5G leg", "LTE leg"]
    assert {leg.device_id for leg in legs} == {PHONE.id}
    assert {leg.reading_id for leg in legs} == {first.id}
    assert set(names(legs[0])) == {"Kelp post A", "Quay wall A", "none"}
    assert set(names(legs[1])) == {"Dock roof A", "none"}
    assert names(legs[0])[0] == "Kelp post A"


def test_two_phones_are_answered_one_by_one() -> None:
    """One answer for each leg of each reading, in the readings' order."""
    pair = (reading(nr(rsrp_dbm=-88.0)), reading(nr(rsrp_dbm=-84.0, pci=12), device=OTHER))

    legs = serving_at(scene(readings=pair))

    assert [leg.device_id for leg in legs] == [PHONE.id, OTHER.id]
    assert probability(legs[0], "Kelp post A") > 0.5
    assert probability(legs[1], "Quay wall A") > 0.9


def test_before_any_reading_there_is_one_answer_from_position_alone() -> None:
    """It belongs to no phone, is about the 5G leg, and proposes a measurement or the PCI."""
    (leg,) = serving_at(scene())

    assert (leg.leg, leg.device_id, leg.reading_id) == ("5G leg", None, None)
    assert names(leg)[0] == "Kelp post A"
    assert leg.answer.settle.startswith("Read the ")


def test_a_stop_without_a_position_is_told_in_one_sentence() -> None:
    """The sentence names the stop and the way out."""
    lost = replace(scene(), stop=replace(STOP, lat_deg=None))

    with pytest.raises(NoAnswer, match=r"^Stop 7 has no position.*set it on the plan"):
        serving_at(lost)


def test_without_sectors_the_answer_is_none_and_what_to_do() -> None:
    """An empty notebook answers 'none' at 100 %."""
    (leg,) = serving_at(scene(sites=(), sectors=()))

    assert names(leg) == ["none"]
    assert leg.answer.ranking[0].probability == 1.0
    assert "lists no sector" in leg.answer.reasons[0]
    assert leg.answer.settle.startswith("Look for the site")


def test_a_site_without_a_position_is_left_out_and_named() -> None:
    """The reasons say so."""
    adrift = Site(name="Cove pole")
    aboard = Sector(site_id=adrift.id, label="A", azimuth_deg=0.0)

    (leg,) = serving_at(scene(sites=(KELP, adrift), sectors=(KELP_A, aboard)))

    assert "Cove pole A" not in names(leg)
    assert "Left out, as they have no position yet: Cove pole." in leg.answer.reasons


def test_a_sector_without_an_azimuth_is_averaged_over_all_directions() -> None:
    """It stays in the ranking, below the same panel aimed here, above it turned away."""

    def share(azimuth_deg: float | None) -> float:
        panel = replace(QUAY_A, azimuth_deg=azimuth_deg)
        (leg,) = serving_at(scene(sectors=(KELP_A, panel)))
        return probability(leg, "Quay wall A")

    assert share(110.0) < share(None) < share(290.0)


def test_the_panel_seen_from_here_lends_its_azimuth() -> None:
    """A sighting with bearing 110 and facing 0 tells of a panel that looks back along 290."""
    panel = replace(QUAY_A, azimuth_deg=None)
    looked = Sighting(
        stop_id=STOP.id, site_id=QUAY.id, sector_id=panel.id, bearing_deg=110.0, facing_deg=0.0
    )

    candidates = candidates_at(scene(sectors=(panel,), sightings=(looked,)), Rat.NR, None, "")

    assert candidates[0].azimuth_deg == pytest.approx(290.0, abs=1e-9)
    assert candidates[0].azimuth_sigma_deg > 15.0


def test_what_the_surveyor_saw_decides_the_view() -> None:
    """A clear view to the far site and none to the near one turn the answer."""
    looked = (
        Sighting(stop_id=STOP.id, site_id=KELP.id, view=View.BLOCKED),
        Sighting(stop_id=STOP.id, site_id=QUAY.id, view=View.CLEAR),
    )

    (before,) = serving_at(scene())
    (after,) = serving_at(scene(sightings=looked))

    assert names(before)[0] == "Kelp post A"
    assert names(after)[0] == "Quay wall A"
    assert "in clear view" in after.answer.reasons[0]


def test_a_building_between_lowers_the_odds_of_a_sector() -> None:
    """Without a word of the surveyor the ground's buildings tell the view."""
    corners = [(10.0, 60.0), (30.0, 20.0), (330.0, 20.0), (350.0, 60.0)]
    ring = [destination(*STANDS, towards, far * 0.7) for towards, far in corners]
    house = Building(outline_deg=(*ring, ring[0]), height_m=12.0)

    (open_street,) = serving_at(scene())
    (built,) = serving_at(scene(ground=Ground(buildings=(house,))))

    assert probability(built, "Kelp post A") < 0.5 * probability(open_street, "Kelp post A")
    told = " ".join(built.answer.reasons)
    assert "Kelp post A" in told
    assert "with a building between" in told


def test_a_sector_of_another_channel_or_operator_hardly_counts() -> None:
    """A phone on n258 of one operator is not served by n78, nor by the other operator's site."""
    mid_band = SectorCarrier(rat=Rat.NR, band="n78", mhz=3600.0, bandwidth_mhz=100.0)
    theirs = replace(KELP, operator="Osprey Net")
    phone = replace(PHONE, operator="Heron Mobile")
    quay = replace(QUAY, operator="Heron Mobile")
    measured = (reading(nr()),)

    (other_band,) = serving_at(
        scene(sectors=(replace(KELP_A, carriers=(mid_band,)), QUAY_A), readings=measured)
    )
    (other_operator,) = serving_at(
        scene(sites=(theirs, quay), devices=(phone,), sectors=(KELP_A, QUAY_A), readings=measured)
    )

    assert names(other_band)[0] == "Quay wall A"
    assert names(other_operator)[0] == "Quay wall A"


def test_unknown_carriers_are_allowed_with_less_weight() -> None:
    """A sector whose carriers nobody noted may serve both legs."""
    blank = replace(KELP_A, carriers=(), pci=None)
    both = (reading(nr(), lte()),)

    legs = serving_at(scene(sectors=(blank, ROOF_A), readings=both))

    known = serving_at(scene(sectors=(KELP_A, ROOF_A), readings=both))
    assert "Kelp post A" in names(legs[0])
    assert "Kelp post A" in names(legs[1])
    assert probability(legs[0], "Kelp post A") < probability(known[0], "Kelp post A")


def test_a_site_taken_down_does_not_serve() -> None:
    """Gone sites leave the ranking; dark ones fall far behind."""
    (gone,) = serving_at(scene(sites=(replace(KELP, status=SiteStatus.GONE), QUAY)))
    (dark,) = serving_at(scene(sites=(replace(KELP, status=SiteStatus.DARK), QUAY)))

    assert "Kelp post A" not in names(gone)
    assert names(dark)[0] == "Quay wall A"


@pytest.mark.parametrize("rsrp_dbm", [84.0, 2147483647.0, float("nan")])
def test_an_impossible_rsrp_is_left_out_and_told(rsrp_dbm: float) -> None:
    """The answer is that without a level, and says why."""
    (with_it,) = serving_at(scene(readings=(reading(nr(rsrp_dbm=rsrp_dbm)),)))
    (without,) = serving_at(scene(readings=(reading(nr()),)))

    assert [e.probability for e in with_it.answer.ranking] == pytest.approx(
        [e.probability for e in without.answer.ranking], abs=1e-12
    )
    assert "cannot be, so it was left out" in with_it.answer.reasons[-1]


def test_an_impossible_pci_is_left_out_and_told() -> None:
    """A PCI of 1008 does not exist in NR, one of 504 not in LTE."""
    both = (reading(nr(pci=1008), lte(pci=504)),)

    legs = serving_at(scene(readings=both))

    assert legs[0].answer.reasons[-1] == "The PCI 1008 does not exist, so it was left out."
    assert legs[1].answer.reasons[-1] == "The PCI 504 does not exist, so it was left out."


def test_a_learned_offset_is_taken_off_the_reading() -> None:
    """A phone known to show 6 dB too much at -82 answers as a true one at -88."""
    exact = {PHONE.id: PhoneOffset(offset_db=6.0, sigma_db=1.0, pairs=12)}
    true = {PHONE.id: PhoneOffset(offset_db=0.0, sigma_db=1.0, pairs=12)}

    (high,) = serving_at(scene(readings=(reading(nr(rsrp_dbm=-82.0)),)), exact)
    (level,) = serving_at(scene(readings=(reading(nr(rsrp_dbm=-88.0)),)), true)

    assert [e.probability for e in high.answer.ranking] == pytest.approx(
        [e.probability for e in level.answer.ranking], abs=1e-6
    )


def test_typed_nonsense_in_the_book_counts_as_not_recorded() -> None:
    """A beamwidth of 0, a height of -3 m and an EIRP of 999 dBm do not stop the answer."""
    odd = replace(KELP_A, beamwidth_deg=0.0, height_m=-3.0, eirp_dbm=999.0, azimuth_deg=400.0)

    (candidate, *_) = candidates_at(scene(sectors=(odd,)), Rat.NR, None, "")

    assert candidate.beamwidth_deg == 65.0
    assert candidate.height_m == 8.0
    assert candidate.eirp_dbm is None
    assert candidate.azimuth_deg is None


def test_the_panel_that_faces_the_stop_is_named_at_a_new_site_without_carriers() -> None:
    """A site noted a minute ago holds the leg or does not: no panel behind it wins by absence."""
    panels = tuple(
        Sector(site_id=KELP.id, label=label, azimuth_deg=azimuth_deg)
        for label, azimuth_deg in (("A", 175.0), ("B", 295.0), ("C", 55.0))
    )
    sighted = Sighting(stop_id=STOP.id, site_id=KELP.id, view=View.CLEAR)
    read = reading(nr(rsrp_dbm=-84.0))

    (leg,) = serving_at(
        scene(sites=(KELP,), sectors=panels, sightings=(sighted,), readings=(read,))
    )

    assert names(leg)[0] == "Kelp post A"
    assert probability(leg, "Kelp post A") > 0.6
    assert probability(leg, "Kelp post B") + probability(leg, "Kelp post C") < 0.05


def test_a_panel_noted_without_carriers_holds_what_its_siblings_hold() -> None:
    """Beside a panel of the other radio kind alone it is no candidate for this leg."""
    bare = Sector(site_id=KELP.id, label="B", azimuth_deg=60.0)

    beside = candidates_at(scene(sectors=(KELP_A, bare)), Rat.NR, None, "")
    other = candidates_at(scene(sectors=(KELP_A, bare)), Rat.LTE, None, "")

    assert [c.name for c in beside] == ["Kelp post A", "Kelp post B"]
    assert beside[1].on_air == pytest.approx(0.9 * beside[0].on_air)
    assert beside[1].site_on_air == beside[0].site_on_air
    assert other == ()
