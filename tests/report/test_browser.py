"""The page in a real browser (headless Chromium): on a phone, by night, and printed."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from surveyapp.model import Ground, Stop, Street
from surveyapp.report.account import Account
from surveyapp.report.look import DAY, NIGHT
from tests.report.test_escaping import hostile_rows

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
NEEDS_BROWSER = pytest.mark.skipif(BROWSER is None, reason="needs Chromium (apt: chromium)")
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--hide-scrollbars", "--virtual-time-budget=3000",
)  # fmt: skip
ONE_POINT = 1.0
LETTER_PT, A4_PT = (612.0, 792.0), (595.28, 841.89)
PARTS = "The day|The plan|Sites|Stop by stop|Phones compared|Cover and gaps|Doubts|Method.*"
ASK = """<!doctype html><title>waiting</title><iframe id="f" src="{page}" style="width:{width}px;
height:780px;border:0"></iframe><script>document.getElementById("f").onload = (event) => {{
const seen = event.target.contentDocument.documentElement;
document.title = [seen.scrollWidth, seen.clientWidth, seen.querySelectorAll("script").length,
event.target.contentDocument.fonts.check("16px B612")].join(" ");
}};</script>"""


def browse(folder: Path, *arguments: str) -> str:
    """Run the browser with a profile of its own; what it prints."""
    assert BROWSER
    done = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    return done.stdout


@pytest.fixture(scope="module")
def at(page: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's page as a file."""
    path = tmp_path_factory.mktemp("browser") / "report.html"
    path.write_text(page, encoding="utf-8")
    return path


@NEEDS_BROWSER
def test_nothing_sticks_out_on_a_phone_and_the_letters_are_ours(at: Path, tmp_path: Path) -> None:
    """At 360 pixels the page is no wider than the screen, and B612 is loaded from within it."""
    frame = tmp_path / "frame.html"
    frame.write_text(ASK.format(page=at.as_uri(), width=360))

    printed = browse(tmp_path, "--allow-file-access-from-files", "--dump-dom", frame.as_uri())

    found = re.search(r"<title>(\d+) (\d+) (\d+) (\w+)</title>", printed)
    assert found, printed[:300]
    assert int(found[1]) <= int(found[2]) == 360
    assert (found[3], found[4]) == ("0", "true")


@NEEDS_BROWSER
@pytest.mark.parametrize(("scheme", "colour"), [("1", DAY.paper), ("0", NIGHT.paper)])
def test_the_page_follows_day_and_night(at: Path, tmp_path: Path, scheme: str, colour: str) -> None:
    """The reader's own choice of a light or dark screen decides the paper's colour."""
    shot = tmp_path / "shot.png"

    browse(tmp_path, f"--blink-settings=preferredColorScheme={scheme}", "--window-size=600,500",
           f"--screenshot={shot}", at.as_uri())  # fmt: skip

    with Image.open(shot) as seen:
        red, green, blue = seen.convert("RGB").getpixel((2, 2))  # type: ignore[misc]
    assert f"#{red:02x}{green:02x}{blue:02x}" == colour


def _place(stop: Stop) -> str:
    """Where a stop is, as the line below its name says it."""
    return f"{stop.lat_deg:.5f}, {stop.lon_deg:.5f}"


@NEEDS_BROWSER
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext (poppler-utils)")
@pytest.mark.parametrize(("paper", "size_pt"), [("Letter", LETTER_PT), ("A4", A4_PT)])
def test_the_page_prints_whole_on_either_paper(
    account: Account, at: Path, tmp_path: Path, paper: str, size_pt: tuple[float, float]
) -> None:
    """Every stop stands whole on one sheet, each sheet is numbered, and no heading ends one."""
    sized, printed = tmp_path / "sized.html", tmp_path / "printed.pdf"
    sized.write_text(at.read_text().replace("</style>", f"@page {{ size: {paper} }}</style>", 1))

    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={printed}", sized.as_uri())

    told = subprocess.run(["pdfinfo", printed], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(
        ["pdftotext", "-layout", printed, "-"], capture_output=True, text=True, check=True
    ).stdout
    width, height = (float(v) for v in re.findall(r"Page size:\s+([\d.]+) x ([\d.]+)", told)[0])
    sheets = text.split("\f")[:-1]
    assert (width, height) == pytest.approx(size_pt, abs=ONE_POINT)
    assert 10 <= len(sheets) <= 30
    for number, sheet in enumerate(sheets, start=1):
        assert f"{number} / {len(sheets)}" in sheet
        assert "Invented data" in sheet
        last = [line.strip() for line in sheet.splitlines() if line.strip()][-2]
        assert not re.fullmatch(rf"\d +({PARTS})|.* ± \d+ m", last), last  # a stop's place
    for scene in account.scenes:
        (sheet,) = (one for one in sheets if f" {_place(scene.stop)}" in one)
        below = sheet[sheet.index(_place(scene.stop)) :]
        runs = [run for run in scene.speed_runs if run.down_mbps is not None]
        assert all(f"Down {run.down_mbps:.0f} Mbit/s" in below for run in runs)
    plan = next(sheet for sheet in sheets if "The plan" in sheet)
    assert "A diamond is a site" in plan


LIVE = "document.title='LIVE'"


@NEEDS_BROWSER
def test_no_name_comes_alive_in_a_browser(tell: Callable[..., str], tmp_path: Path) -> None:
    """Scripts, images, links and plan labels that would rename the page: its name stays."""
    texts = (
        f"<script>{LIVE}</script>",
        f'"><img src=x onerror="{LIVE}">',
        f"'><svg onload={LIVE}>",
        f"</style></title></text></svg><script>{LIVE}</script>",
        f"javascript:{LIVE}",
    )
    hostile = "".join(texts)
    street = Street(name=hostile, kind="primary", points_deg=((60.0, 24.99), (60.0, 25.01)))
    path = tmp_path / "hostile.html"
    ground = Ground(streets=(street,), attribution=hostile)
    path.write_text(tell(*hostile_rows(hostile), ground=ground), encoding="utf-8")
    plain = tmp_path / "plain.html"
    plain.write_text(f"<title>x</title><script>{LIVE}</script>")

    assert "<title>LIVE</title>" in browse(tmp_path, "--dump-dom", plain.as_uri())
    assert "<title>LIVE</title>" not in browse(tmp_path, "--dump-dom", path.as_uri())
