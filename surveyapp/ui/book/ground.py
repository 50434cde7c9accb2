"""The ground: which streets and buildings the notebook has, and how to bring some in."""

from __future__ import annotations

from pathlib import Path

from kivy.properties import StringProperty

from surveyapp.exchange.formats import GROUND_FORMATS, read_ground_with_report
from surveyapp.store.tiles import TileFile
from surveyapp.ui.book.section import Section
from surveyapp.ui.sheets.file_sheet import FileSheet
from surveyapp.ui.theme import load_kv

PICTURE = "plan_picture"
KINDS = sorted({Path(f"x{suffix}").suffix for f in GROUND_FORMATS for suffix in f.suffixes})
FORMATS = "; ".join(f"{known.name} ({', '.join(known.suffixes)})" for known in GROUND_FORMATS)


class GroundSection(Section):
    """One ground at a time; a new one takes the place of the old."""

    title = StringProperty("Ground")
    source = StringProperty("")
    attribution = StringProperty("")
    formats = StringProperty(FORMATS)
    skipped = StringProperty("")
    picture = StringProperty("")

    def refresh(self) -> None:
        """Which ground there is."""
        ground = self.session.notebook.ground
        self.source, self.attribution = ground.source, ground.attribution
        self.picture = Path(self.session.notebook.setting(PICTURE, "")).name

    def choose(self) -> None:
        """Choose a file in the folders of this machine."""
        files = FileSheet(
            session=self.session,
            router=self.router,
            take=self.bring_in,
            title="Choose the ground",
            kinds=KINDS,
            file_icon="ground",
            nothing="No file of streets in this folder.",
        )
        self.router.open(files)

    def choose_picture(self) -> None:
        """Choose a picture of the ground to lie below the plan."""
        files = FileSheet(
            session=self.session,
            router=self.router,
            take=self.take_picture,
            title="Choose the picture",
            kinds=[".mbtiles"],
            file_icon="ground",
            nothing="No MBTiles file in this folder.",
        )
        self.router.open(files)

    def take_picture(self, path: Path) -> None:
        """Keep it for the plan, if it can be read."""
        self.session.attempt(lambda: self._keep_picture(path))

    def leave_picture(self) -> None:
        """The plan without a picture again."""
        self.session.notebook.keep_setting(PICTURE, "")
        self.refresh()

    def _keep_picture(self, path: Path) -> None:
        TileFile.open(path).close()
        self.session.notebook.keep_setting(PICTURE, str(path))
        self.session.say(f"{path.name} lies below the plan now.")
        self.refresh()

    def bring_in(self, path: Path) -> None:
        """Read a file and put it in the place of the ground there was."""
        self.session.attempt(lambda: self._bring_in(path))
        self.refresh()

    def _bring_in(self, path: Path) -> None:
        found = read_ground_with_report(path)
        self.session.notebook.ground.replace(found.ground, path.name)
        self.skipped = "; ".join(found.skipped)
        self.session.say(f"Brought in {path.name}.")
        self.session.changed.fire()


load_kv(__file__)
