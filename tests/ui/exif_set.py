"""A set of pictures whose EXIF data exiftool wrote: true, magnetic, missing and absurd."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from surveyapp.geometry.geodesy import destination
from tests.ui import filled

STOP_1_DEG = (filled.PLACE_DEG[0] - 0.0008, filled.PLACE_DEG[1])
WHEN = {  # in the survey's own zone, Helsinki: stops 1 to 3 began at 12:40, 12:50 and 13:00
    1: "2026:06:10 12:43:00", 2: "2026:06:10 12:52:00", 3: "2026:06:10 13:20:00",
}  # fmt: skip
SET: dict[str, tuple[str, ...]] = {}


def _at(east_m: float) -> tuple[str, ...]:
    lat_deg, lon_deg = destination(*STOP_1_DEG, 90.0, east_m)
    return (f"-GPSLatitude={lat_deg}", "-GPSLatitudeRef=N", f"-GPSLongitude={lon_deg}",
            "-GPSLongitudeRef=E")  # fmt: skip


def _time(stop: int) -> tuple[str, ...]:
    return (f"-DateTimeOriginal={WHEN[stop]}", "-OffsetTimeOriginal=+03:00")


SET = {
    "a true.jpg": (*_at(12), *_time(1), "-GPSImgDirection=98.5", "-GPSImgDirectionRef=T"),
    "b magnetic.jpg": (*_at(10), *_time(1), "-GPSImgDirection=90", "-GPSImgDirectionRef=M"),
    "c no direction.png": (*_at(8), *_time(1)),
    "d no place.jpg": _time(2),
    "e nothing.jpg": (),
    "f absurd place.jpg": ("-GPSLatitude=0", "-GPSLatitudeRef=N", "-GPSLongitude=0",
                           "-GPSLongitudeRef=E", *_time(3)),
    "g absurd direction.jpg": (*_at(9), *_time(1), "-GPSImgDirection=400",
                               "-GPSImgDirectionRef=T"),
    "h clock never set.jpg": (*_at(9), "-DateTimeOriginal=1970:01:01 00:00:00"),
    "i wrong clock.jpg": (*_at(9), *_time(3)),
    "j far away.jpg": (*_at(5_000), *_time(1)),
}  # fmt: skip


def write(folder: Path) -> Path:
    """The set in a folder, and beside it a copy, a torn picture and a HEIC; needs exiftool."""
    if shutil.which("exiftool") is None:
        pytest.skip("needs exiftool")
    folder.mkdir()
    told = []
    for shade, (name, tags) in enumerate(SET.items()):
        Image.new("RGB", (32, 24), (20 * shade, 9, 9)).save(folder / name)
        if tags:
            told += ["-n", "-overwrite_original", *tags, str(folder / name), "-execute"]
    argument_file = folder / ".arguments"
    argument_file.write_text("\n".join(told[:-1]))
    subprocess.run(["exiftool", "-q", "-@", str(argument_file)], check=True)
    argument_file.unlink()
    shutil.copy(folder / "a true.jpg", folder / "k copy of a.jpg")
    torn = folder / "l torn.jpg"
    Image.effect_noise((160, 120), 60).save(torn)
    torn.write_bytes(torn.read_bytes()[: torn.stat().st_size // 2])
    (folder / "m new.heic").write_bytes(b"\0\0\0\x18ftypheic" + bytes(40))
    return folder
