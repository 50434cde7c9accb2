"""A folder of pictures with time and place, as a camera would leave it. All invented."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from pathlib import Path

from PIL import Image

from surveyapp.exchange.photo_stamp import Stamp, stamped
from tests.ui import filled
from tests.ui.harness import Pilot

PLACES = {
    "at stop 1.jpg": (10, (filled.PLACE_DEG[0] - 0.0008, filled.PLACE_DEG[1])),
    "at no stop.jpg": (200, (filled.PLACE_DEG[0] + 0.02, filled.PLACE_DEG[1])),
    "beside it.jpg": (201, (filled.PLACE_DEG[0] + 0.02, filled.PLACE_DEG[1])),
}


def of(pilot: Pilot) -> Path:
    """The folder beside the pilot's notebook."""
    return pilot.session.notebook.path.parent / "camera"


def write(folder: Path) -> Path:
    """Three pictures: one at stop 1 in its time, two of one place where no stop was."""
    folder.mkdir(exist_ok=True)
    for at, (name, (minutes, place)) in enumerate(PLACES.items()):
        (folder / name).write_bytes(_picture(at, filled.NOW + timedelta(minutes=minutes), place))
    return folder


def _picture(shade: int, when: datetime, place: tuple[float, float]) -> bytes:
    plain = io.BytesIO()
    Image.new("L", (32, 24), 60 * shade).save(plain, "JPEG")
    return stamped(plain.getvalue(), Stamp(time_utc=when, lat_deg=place[0], lon_deg=place[1]))
