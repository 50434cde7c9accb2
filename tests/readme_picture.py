"""The README's picture: the demo's Stop and Plan pages on a phone, side by side.

`python -m tests.readme_picture` draws it anew, offscreen, into assets/pictures/phone.png.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from PIL import Image

from surveyapp.demo.write import write_demo
from surveyapp.model import Stop, Survey
from surveyapp.store.notebook import Notebook
from tests.ui import harness

PICTURE = Path(__file__).resolve().parent.parent / "assets" / "pictures" / "phone.png"
SIZE_PX = (412, 915)
GAP_PX = 16
GREY = (128, 128, 128)
STOP_NUMBER = 3  # of the first visit: an answer that is not settled yet
COLOURS = 64


def seen(folder: Path, name: str) -> Image.Image:
    """What the window shows now."""
    from kivy.core.window import Window

    with Image.open(Window.screenshot(name=str(folder / f"{name}.png"))) as picture:
        return picture.convert("RGB")


def main() -> None:
    """Draw both pages and keep them as one picture."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        demo = write_demo(folder / "survey_demo")
        with Notebook.open(demo.notebook_path) as notebook:
            first = min(notebook.all(Survey), key=lambda survey: survey.title)
            stop = notebook.all(Stop, survey_id=first.id, number=STOP_NUMBER)[0]
            notebook.keep_setting("cautions_read", True)
        pilot = harness.start(demo.notebook_path, size=SIZE_PX, draw=True)
        pilot.session.go_to_stop(stop.id)
        harness.wait(1.0)
        pages = [seen(folder, "stop")]
        pilot.router.go("plan")
        harness.wait(1.0)
        pages.append(seen(folder, "plan"))
        harness.stop(pilot)
    both = Image.new("RGB", (2 * SIZE_PX[0] + GAP_PX, SIZE_PX[1]), GREY)
    for place, page in enumerate(pages):
        both.paste(page, (place * (SIZE_PX[0] + GAP_PX), 0))
    PICTURE.parent.mkdir(exist_ok=True)
    both.quantize(COLOURS).save(PICTURE, optimize=True)


if __name__ == "__main__":
    main()
