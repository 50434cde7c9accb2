"""What the export costs beside the bare writers of the standard library, as ratios of one run.

`python -m tests.benchmarks.export_speed` writes 100,000 readings as GeoJSON beside json.dumps of
the same objects, and as CSV beside csv.writer of the same cells.
"""

from __future__ import annotations

import csv
import json
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from surveyapp.exchange.content import Content
from surveyapp.exchange.survey_csv import write_survey_csv
from surveyapp.exchange.survey_geojson import features, write_survey_geojson
from surveyapp.model import Carrier, Device, Mode, Rat, Reading, Role, Row, Stop, Survey

READINGS = 100_000
A_STOP = 20
START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


def content_of(readings: int) -> Content:
    """A survey of that many readings with two carriers each, twenty a stop."""
    survey, phone = Survey(id="survey", title="Long walk"), Device(id="phone", label="Phone A")
    rows: list[Row] = [survey, phone]
    for count in range(readings):
        stop_id = f"stop {count // A_STOP}"
        time_utc = START + timedelta(seconds=5 * count)
        if count % A_STOP == 0:
            rows.append(
                Stop(id=stop_id, survey_id="survey", number=count // A_STOP + 1,
                     time_utc=time_utc, lat_deg=60.17 + 1e-6 * count, lon_deg=24.94)
            )  # fmt: skip
        carriers = (
            Carrier(band="n258", bandwidth_mhz=100.0, count=4, pci=15, rsrp_dbm=-80.0 - count % 30,
                    rsrq_db=-11.0, sinr_db=14.5),
            Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="b20", bandwidth_mhz=10.0, pci=201,
                    rsrp_dbm=-90.0 - count % 20),
        )  # fmt: skip
        rows.append(
            Reading(id=f"reading {count}", stop_id=stop_id, device_id="phone", time_utc=time_utc,
                    mode=Mode.NSA, carriers=carriers)
        )  # fmt: skip
    return Content(rows=rows)


def best_s(work: Callable[[], object], times: int = 2) -> float:
    """The shortest of a few runs, seconds."""
    found = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        found.append(time.perf_counter() - begin)
    return min(found)


def ratios(readings: int, folder: Path) -> dict[str, float]:
    """Export over the bare writer, by format."""
    content = content_of(readings)
    geojson, table, bare = folder / "x.geojson", folder / "x.csv", folder / "bare"
    objects = list(features(content))
    bare_json_s = best_s(lambda: bare.write_text(json.dumps(objects), encoding="utf-8"))
    json_s = best_s(lambda: write_survey_geojson(content, geojson))
    write_survey_csv(content, table)
    with open(table, encoding="utf-8", newline="") as file:
        cells = list(csv.reader(file))

    def plain() -> None:
        with open(bare, "w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(cells)

    return {
        "GeoJSON / json.dumps": json_s / bare_json_s,
        "CSV / csv.writer": best_s(lambda: write_survey_csv(content, table)) / best_s(plain),
    }


def main() -> None:
    """Print the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        for name, ratio in ratios(READINGS, Path(folder)).items():
            print(f"{name:<22} {ratio:5.2f}")


if __name__ == "__main__":
    main()
