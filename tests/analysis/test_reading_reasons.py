"""Each likely reason behind a level, made on purpose on a straight street."""

from __future__ import annotations

from dataclasses import replace

import pytest

from surveyapp.analysis.expectation import expectations_at
from surveyapp.analysis.expected import Cause, Expected
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.reading_expectation import LegExpectation
from surveyapp.geometry.geodesy import destination
from surveyapp.model import Furniture, FurnitureKind, Ground, Sighting, StopScene, Survey, View
from surveyapp.radio.rain import rain_loss_db
from surveyapp.radio.vegetation import foliage_db
from tests.analysis.street import LTE, NODE_DEG, NR, node, reading, scene, stop

A_TENTH_DB = 0.1


def leg(given: StopScene, offsets: dict[str, PhoneOffset] | None = None) -> LegExpectation:
    """The 5G leg's expectation."""
    return next(one for one in expectations_at(given, offsets).legs if one.leg == "5G leg")


def read(rsrp_dbm: float, **changes: object) -> StopScene:
    """A scene whose 5G leg shows a level."""
    return scene(readings=(reading(replace(NR, rsrp_dbm=rsrp_dbm), LTE),), **changes)


def named(found: LegExpectation, cause: Cause) -> float:
    """Decibels a cause moved the level by; fails where it is not named."""
    return next(reason.effect for reason in found.reasons if reason.cause is cause)


def test_a_level_as_foreseen_is_said_to_be_so() -> None:
    """Within one sigma; the sentence holds both numbers."""
    found = leg(read(-75.0))

    assert found.sector == "Node S1"
    assert found.headline == "As expected"
    assert found.words.startswith("-75 dBm is")


def test_a_view_noted_as_blocked_comes_first() -> None:
    """And costs what TR 38.901 puts between with and without sight."""
    hidden = Sighting(id="seen", stop_id="stop", site_id="node", view=View.BLOCKED)
    found = leg(read(-98.0, sightings=(hidden,)))

    assert found.reasons[0].cause is Cause.BLOCKED
    assert found.reasons[0].words.startswith("You noted the view to Node as blocked")
    assert -30.0 < found.reasons[0].effect < -10.0


def test_far_too_weak_without_a_word_on_the_view_points_to_something_in_between() -> None:
    """The level itself tells that the line is blocked."""
    found = leg(read(-105.0, sightings=()))

    assert found.reasons[0].cause is Cause.BLOCKED
    assert found.reasons[0].probability > 0.9


def test_behind_the_panel_is_named_so() -> None:
    """The stop lies south of a panel that looks north: 30 dB, the floor of the pattern."""
    found = leg(read(-104.0, stop=stop(bearing_deg=180.0)))

    assert found.reasons[0].cause is Cause.BEHIND
    assert found.reasons[0].effect == pytest.approx(-30.0, abs=0.5)
    assert "behind the panel" in found.reasons[0].words


def test_too_strong_behind_a_panel_means_its_azimuth_or_the_sector_is_wrong() -> None:
    """Nobody reads -72 dBm in the back of a panel."""
    found = leg(read(-72.0, stop=stop(bearing_deg=180.0)))
    causes = [reason.cause for reason in found.reasons[:2]]

    assert set(causes) == {Cause.WRONG_AZIMUTH, Cause.UNLISTED}
    assert all(reason.effect > 0.0 for reason in found.reasons)


def test_one_sighting_of_the_panel_makes_a_wrong_azimuth_about_even() -> None:
    """Noted as looking south, seen looking at the surveyor in the north: or the wrong panel."""
    seen = Sighting(id="seen", stop_id="stop", site_id="node", sector_id="panel",
                    bearing_deg=180.0, facing_deg=0.0, view=View.CLEAR)  # fmt: skip
    site, sector = node(azimuth_deg=180.0)
    found = leg(read(-75.0, sites=(site,), sectors=(sector,), sightings=(seen,)))
    reason = next(one for one in found.reasons if one.cause is Cause.WRONG_AZIMUTH)

    assert 0.3 < reason.probability < 0.7
    assert "180° is noted" in reason.words


def test_heavy_rain_counts_with_its_own_decibels() -> None:
    """ITU-R P.838-3 over the path, at 100 mm/h."""
    wet = Survey(id="survey", title="Street", rain_mm_h=100.0)
    found = leg(read(-80.0, survey=wet))

    assert named(found, Cause.RAIN) == pytest.approx(
        -float(rain_loss_db(60.0, 25_875.0, 100.0)), abs=A_TENTH_DB
    )
    assert any(line.term == "rain" for line in found.budget)


def test_a_tree_on_the_line_is_suspected_where_the_level_is_low() -> None:
    """One crown of 6 m in the middle of the way; a tree aside is not named."""
    middle, aside = destination(*NODE_DEG, 0.0, 30.0), destination(*NODE_DEG, 30.0, 30.0)

    def with_tree(place: tuple[float, float]) -> LegExpectation:
        tree = Furniture(kind=FurnitureKind.TREE, lat_deg=place[0], lon_deg=place[1])
        return leg(read(-84.0, ground=Ground(furniture=(tree,))))

    assert named(with_tree(middle), Cause.FOLIAGE) == pytest.approx(
        -float(foliage_db(6.0, 25_875.0)), abs=A_TENTH_DB
    )
    assert Cause.FOLIAGE not in {reason.cause for reason in with_tree(aside).reasons}


def test_the_phones_own_offset_is_part_of_what_is_expected() -> None:
    """A phone known to show 6 dB less is expected to, and told as the reason."""
    known = {"a": PhoneOffset(offset_db=-6.0, sigma_db=1.0, pairs=20)}
    plain, own = leg(read(-80.0)), leg(read(-80.0), known)

    assert (plain.rsrp.mean or 0.0) - (own.rsrp.mean or 0.0) == pytest.approx(6.0, abs=A_TENTH_DB)
    assert named(own, Cause.PHONE) == -6.0


def test_what_is_left_over_is_shared_between_eirp_and_fading() -> None:
    """In clear view and in the beam a low level leaves only these, fading last."""
    found = leg(read(-88.0))

    assert found.reasons[0].cause is Cause.WRONG_EIRP
    assert found.reasons[-1].cause is Cause.FADING
    assert "assumed, as none is noted" in found.reasons[0].words


def test_without_a_listed_sector_it_cannot_tell() -> None:
    """The strip shows the reading alone, the words say what to do about it."""
    found = leg(read(-80.0, sites=(), sectors=()))

    assert found.sector == ""
    assert found.rsrp == replace(found.rsrp, mean=None, sigma=None)
    assert found.words.startswith("Cannot tell what to expect")


@pytest.mark.parametrize("rsrp_dbm", [84.0, 2147483647.0, -1000.0])
def test_an_impossible_level_is_shown_but_not_judged_by(rsrp_dbm: float) -> None:
    """It stays as typed, the sentence says that it cannot be, and no reason is made up for it."""
    found, unread = leg(read(rsrp_dbm)), leg(scene(readings=(reading(replace(NR, rsrp_dbm=None)),)))

    assert found.rsrp.measured == rsrp_dbm
    assert "cannot be an RSRP" in found.words
    assert [one.cause for one in found.reasons] == [one.cause for one in unread.reasons]
    assert "no RSRP is noted" in unread.words


def test_a_band_on_the_strip_stays_within_the_physical_range() -> None:
    """Two sigmas beyond the end of the scale are cut off there."""
    strip = Expected(quantity="RSRP", unit="dBm", low=-156.0, high=-31.0, mean=-150.0, sigma=8.0)

    assert strip.band(1.0) == (-156.0, -142.0)
    assert strip.sigmas is None
    assert strip.band(2.0) == (-156.0, -134.0)
