"""A real process killed at any moment loses nothing it had acknowledged."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

from surveyapp.model import Photo, Reading, Stop
from surveyapp.store import Notebook

ROUNDS = 10

SURVEYOR = """
import io, os, sys
from datetime import UTC, datetime
from PIL import Image
from surveyapp.model import Carrier, Device, Draft, Reading, Stop, Survey
from surveyapp.store import Notebook

def acknowledge(*words):
    os.write(1, (" ".join(map(str, words)) + "\\n").encode())

notebook = Notebook.open(sys.argv[1])
survey, device = notebook.save(Survey(title="killed"), Device(label="A"))
acknowledge("ready")
count = 0
while True:
    now = datetime.now(UTC)
    stop = notebook.save(Stop(survey_id=survey.id, number=count, time_utc=now))[0]
    acknowledge("stop", stop.id)
    for typed in ("-", "-8", "-86"):
        notebook.keep_draft(Draft(sheet="kill", fields={"rsrp": typed, "count": str(count)}))
        acknowledge("draft", count, typed)
    carriers = (Carrier(rsrp_dbm=-86.0), Carrier(band="b20"))
    reading = notebook.save(Reading(stop_id=stop.id, device_id=device.id, time_utc=now,
                                    carriers=carriers))[0]
    acknowledge("reading", reading.id)
    held = io.BytesIO()
    Image.new("RGB", (8, 8), (count % 256, count // 256, os.getpid() % 256)).save(held, "PNG")
    photo = notebook.add_photo(held.getvalue(), survey_id=survey.id, stop_id=stop.id)
    acknowledge("photo", photo.id)
    count += 1
"""


def killed_after(path: Path, count: int, seconds: float) -> list[list[str]]:
    """Let the surveyor acknowledge `count` things and work on for some moments, kill it with
    SIGKILL, and read all that it acknowledged."""
    with subprocess.Popen(
        [sys.executable, "-c", SURVEYOR, str(path)], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        lines = [process.stdout.readline() for _ in range(count)]
        time.sleep(seconds)
        process.kill()
        lines += process.stdout.read().splitlines(keepends=True)
    return [line.split() for line in lines if line.endswith("\n")]


def test_nothing_acknowledged_is_lost_to_a_kill(tmp_path: Path) -> None:
    """Ten kills between and within saves, keystrokes and pictures, one notebook: whole after
    each, with every acknowledged row, its carriers, its picture and the last keystroke."""
    path = tmp_path / "street.survey"
    Notebook.create(path).close()
    moments = random.Random(20260504)
    kinds = {"stop": Stop, "reading": Reading, "photo": Photo}
    acknowledged = 0
    for _round in range(ROUNDS):
        told = killed_after(path, moments.randrange(1, 40), moments.uniform(0.0, 0.004))
        acknowledged += len(told)
        with Notebook.open(path) as notebook:
            assert notebook.check() == []
            for kind, *words in told:
                if kind != "draft":
                    found = notebook.get(kinds[kind], words[0])

                    assert kind != "reading" or len(found.carriers) == 2
            typed = [words for kind, *words in told if kind == "draft"]
            if typed:
                fields = notebook.drafts()[0].fields
                last = (int(typed[-1][0]), len(typed[-1][1]))

                assert (int(fields["count"]), len(fields["rsrp"])) >= last, json.dumps(fields)

    assert acknowledged > ROUNDS


def test_what_is_acknowledged_is_on_disk(notebook: Notebook) -> None:
    """Write-ahead log, a flush at each commit (FULL is 2), references kept (sqlite.org/pragma)."""
    held = [
        notebook._connection.one(f"PRAGMA {name}")
        for name in ("journal_mode", "synchronous", "foreign_keys")
    ]

    assert held == [("wal",), (2,), (1,)]
