"""Which parts of a building block a view from the street."""

from __future__ import annotations

from surveyapp.exchange.building_parts import Volume, standing
from surveyapp.model import Building, LatLon


def box(south: float, west: float, north: float, east: float) -> tuple[LatLon, ...]:
    """A closed rectangle."""
    return ((south, west), (south, east), (north, east), (north, west), (south, west))


def building(*edges: float, height_m: float | None = None, name: str = "") -> Building:
    """A rectangular building of the given edges (south, west, north, east)."""
    return Building(outline_deg=box(*edges), height_m=height_m, name=name)


def test_parts_that_cover_the_outline_replace_it() -> None:
    """The outline's height is that of its tower; the low wing must not inherit it."""
    whole = building(0, 0, 1, 3, height_m=60.0, name="Town Hall")
    wing = building(0, 0, 1, 2, height_m=9.0)
    tower = building(0, 2, 1, 3)

    buildings, hanging = standing(
        [Volume(whole), Volume(wing, is_part=True), Volume(tower, is_part=True)]
    )

    assert [(b.name, b.height_m) for b in buildings] == [("Town Hall", 9.0), ("Town Hall", 60.0)]
    assert hanging == 0


def test_an_outline_with_only_one_small_part_stays() -> None:
    """A roof structure told as a part does not make the rest of the house vanish."""
    whole = building(0, 0, 1, 3, height_m=15.0)
    turret = building(0.4, 0.4, 0.6, 0.6, height_m=25.0)

    buildings, _ = standing([Volume(whole), Volume(turret, is_part=True)])

    assert buildings == (whole, turret)


def test_a_part_over_another_stays_and_one_over_the_open_street_goes() -> None:
    """Upper storeys rest on lower ones; a bridge between two houses blocks no view beneath."""
    base = building(0, 0, 1, 1, height_m=6.0)
    upper = building(0.2, 0.2, 0.8, 0.8, height_m=30.0)
    bridge = building(0, 1.1, 1, 1.4, height_m=12.0)

    buildings, hanging = standing(
        [
            Volume(upper, base_m=6.0, is_part=True),
            Volume(base),
            Volume(bridge, base_m=6.0, is_part=True),
        ]
    )

    assert buildings == (upper, base)
    assert hanging == 1


def test_a_part_in_a_courtyard_does_not_rest_on_the_house_around_it() -> None:
    """What is hung over a courtyard hangs over open ground."""
    yard = box(0.3, 0.3, 0.7, 0.7)
    house = Building(outline_deg=box(0, 0, 1, 1), holes_deg=(yard,), height_m=12.0)
    walkway = building(0.4, 0.4, 0.6, 0.6, height_m=9.0)

    buildings, hanging = standing([Volume(house), Volume(walkway, base_m=6.0, is_part=True)])

    assert buildings == (house,)
    assert hanging == 1
