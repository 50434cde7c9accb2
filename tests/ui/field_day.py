"""A surveyor's hands: a whole stop entered touch by touch, for several tests to watch.

Places, nodes, phones and figures are invented.
"""

from __future__ import annotations

from PIL import Image

from surveyapp.model import Device, Sector, Site
from tests.ui.harness import Pilot

PLACE_DEG = (60.1662, 24.9400)
PHONES = ("Phone A", "Phone B")
BEARING = "351"
READING = ("258", "4", "100", "86", "12.5", "14", "20", "", "10")  # band ... SINR, anchor's three
LATER_LEVELS = ("88", "12.5", "11")  # RSRP, RSRQ, SINR on the same carriers
RUNS = (("1480", "96", "17", "2.4", "0"), ("1310", "88", "18", "3.1", "0"))


def prepare(pilot: Pilot) -> None:
    """Two phones, a site 60 m north with two panels, and a picture to choose."""
    site = Site(name="Mill Street 3", lat_deg=60.16674, lon_deg=24.9400, height_m=8.0)
    south = Sector(site_id=site.id, label="South", azimuth_deg=180.0, pci=101)
    north = Sector(site_id=site.id, label="North", azimuth_deg=0.0, pci=102)
    phones = [Device(label=label) for label in PHONES]
    pilot.session.save(site, south, north, *phones, what="what the test begins with")
    folder = pilot.session.notebook.path.parent / "pictures"
    folder.mkdir(exist_ok=True)
    Image.new("RGB", (64, 48), "gray").save(folder / "panel.jpg")
    pilot.session.notebook.keep_setting("last_folder", str(folder))


def place(pilot: Pilot) -> None:
    """Type the position of the stop."""
    pilot.touch("No position yet")
    for value in map(str, PLACE_DEG):
        pilot.type(value)
        pilot.touch("Next")
    keys(pilot, "5", "Save")


def keys(pilot: Pilot, text: str, then: str = "Next") -> None:
    """Touch the keys of the pad, then Next or Save."""
    for sign in text:
        pilot.touch_key(sign)
    pilot.touch_key(then)


def sighting(pilot: Pilot) -> None:
    """One sighting of the node, with view and facing."""
    pilot.touch("Sighting")
    pilot.touch("Mill Street 3")
    keys(pilot, BEARING)
    pilot.touch("Clear")
    pilot.touch("Looks at me")
    pilot.touch("Save")


def reading(pilot: Pilot) -> None:
    """One reading of the phone whose turn it is, all of it typed."""
    pilot.touch("Reading")
    for value in READING[:-1]:
        keys(pilot, value)
    keys(pilot, READING[-1], "Save")


def later_reading(pilot: Pilot) -> None:
    """A reading with the carriers of the last one."""
    pilot.touch("Reading")
    pilot.touch("As last")
    for value in LATER_LEVELS:
        keys(pilot, value)
    pilot.touch("Save")


def speed_run(pilot: Pilot, values: tuple[str, ...]) -> None:
    """One speed run of the phone whose turn it is."""
    pilot.touch("Speed run")
    for value in values[:-1]:
        keys(pilot, value)
    keys(pilot, values[-1], "Save")


def photo(pilot: Pilot) -> None:
    """The picture in the folder, with a caption."""
    pilot.touch("Photo")
    pilot.touch("panel.jpg")
    pilot.type("The south panel")
    pilot.touch("Save")


def remark(pilot: Pilot) -> None:
    """A bus stood in the way."""
    pilot.touch("Remark")
    pilot.touch("Obstruction")
    pilot.type("Bus in the beam")
    pilot.touch("Save")


def short_remark(pilot: Pilot) -> None:
    """A remark by its kind alone."""
    pilot.touch("Remark")
    pilot.touch("Obstruction")
    pilot.touch("Save")


def whole_stop(pilot: Pilot) -> None:
    """Position, sighting, two phones' readings, four speed runs, photo, remark."""
    prepare(pilot)
    place(pilot)
    sighting(pilot)
    reading(pilot)
    later_reading(pilot)
    for values in (*RUNS, *RUNS):
        speed_run(pilot, values)
    photo(pilot)
    remark(pilot)


SHOWN_AFTER = (
    "60.1662, 24.94 ± 5 m",
    "Mill Street 3",
    "Phone A · 5G NSA · n258 4 × 100 MHz",
    "Phone B · 5G NSA · n258 4 × 100 MHz",
    "Phone A · 1480 down, 96 up Mbit/s",
    "Phone B · 1310 down, 88 up Mbit/s",
    "The south panel",
    "Bus in the beam",
)
