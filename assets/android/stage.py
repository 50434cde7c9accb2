"""Lays the files of the phone app, and nothing else, under build/android of this checkout.

    python assets/android/stage.py

python-for-android wants a `main.py` beside the package; it is written here.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = ROOT / "build" / "android"
FOLDERS = ("surveyapp", "assets", "sample_surveys")
LEFT_OUT = {
    "__pycache__", "_shipped",  # made anew on the phone; inside a wheel only
    "android", "pictures",  # of assets: this build, and the README's pictures
}  # fmt: skip
DESK_ONLY = {".pbf", ".md"}
MAIN = '''"""Starts the app on a phone."""

from surveyapp.ui.start import run_app

run_app()
'''


def stage(target: Path = TARGET) -> Path:
    """Lay the files afresh at `target`, and give it back."""
    if target.exists():
        shutil.rmtree(target)
    for name in FOLDERS:
        shutil.copytree(ROOT / name, target / name, ignore=_left_out)
    (target / "main.py").write_text(MAIN, encoding="utf-8")
    return target


def _left_out(folder: str, names: list[str]) -> set[str]:
    """What of a folder stays behind: scripts that made the data stay, the package's do not."""
    data = Path(folder).relative_to(ROOT).parts[0] != "surveyapp"
    return {
        name
        for name in names
        if name in LEFT_OUT
        or Path(name).suffix in DESK_ONLY
        or (data and name.endswith(".py"))
        or name.startswith(".")
    }


if __name__ == "__main__":
    print(stage(Path(sys.argv[1]).resolve()) if len(sys.argv) > 1 else stage())
