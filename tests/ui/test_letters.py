"""Letters that our own font lacks are drawn in another; marks without a look are not drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from kivy.core.text import Label as CoreLabel

from surveyapp.resources import shipped
from surveyapp.ui.letters import drawable, letters_of
from surveyapp.ui.theme import FONT, WIDER, WIDEST, font_of
from tests.ui import harness
from tests.ui.harness import Pilot

NO_LETTER = "\U0010fffd"  # no font has this one: it is drawn as the font's box


def drawn(text: str, font: str) -> np.ndarray:
    """The ink of a text, as rows of opacities."""
    label = CoreLabel(text=text, font_name=font, font_size=32)
    label.refresh()
    width, height = label.texture.size
    pixels = np.frombuffer(label.texture.pixels, dtype=np.uint8)
    return pixels.reshape(height, width, 4)[:, :, 3]


@pytest.mark.parametrize(
    ("name", "font"),
    [
        ("Mill Street 3", FONT),
        ("Mühlstraße – 12,5 °", FONT),
        ("Řehoř", WIDER),
        ("Łódź, Szűcs, Ğ", WIDER),
        ("Київ", WIDER),
        ("שלום", WIDEST),
        ("Řehoř 🙂", WIDER),
    ],
)
def test_a_name_is_drawn_in_a_font_that_has_its_letters(name: str, font: str) -> None:
    """No letter of it looks like the box that stands for a missing one."""
    assert font_of(name) == font
    box = drawn(NO_LETTER, font)
    boxes = [letter for letter in set(name) - {" ", "🙂"} if same(drawn(letter, font), box)]
    assert boxes == []


def same(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two drawings are alike."""
    return one.shape == other.shape and bool((one == other).all())


def test_the_box_is_seen_where_a_letter_is_missing() -> None:
    """The check above can fail: in our own font 'ř' is the box."""
    assert same(drawn("ř", FONT), drawn(NO_LETTER, FONT))


@pytest.mark.parametrize("face", ["Regular", "Bold"])
def test_a_fonts_letters_are_those_fonttools_finds(face: str) -> None:
    """Reference: fontTools, `getBestCmap`, for both faces of our font."""
    path = shipped("assets", "fonts") / f"{FONT}-{face}.otf"
    theirs = set(TTFont(path).getBestCmap())
    ours = letters_of(path)
    assert {code for code in range(0x20000) if ours.has(chr(code))} == theirs


def test_a_font_of_format_12_is_read_as_well() -> None:
    """Reference: fontTools, for the widest of Kivy's fonts, beyond the first 65,536 too."""
    import kivy

    path = Path(kivy.kivy_data_dir) / "fonts" / f"{WIDEST}.ttf"
    theirs = set(TTFont(path).getBestCmap())
    ours = letters_of(path)
    assert {code for code in range(0x20000) if ours.has(chr(code))} == theirs
    assert max(theirs) > 0xFFFF


@given(st.text())
def test_what_is_drawn_holds_no_mark_without_a_look(text: str) -> None:
    """Whatever was pasted: no turning marks, joiners or controls, and the rest in order."""
    left = drawable(text)
    assert not set(left) & set("\u202e\u200f\u2066\u200d\ufe0f\x07\x1b\ufeff")
    assert drawable(left) == left
    rest = iter(text)
    assert all(letter in rest for letter in left)


def test_a_remark_of_turning_marks_and_emoji_stands_on_the_page(pilot: Pilot) -> None:
    """It is shown in its own words without the marks, within the page, and kept as typed."""
    from surveyapp.model import Remark

    pilot.touch("New stop") if pilot.says("New stop") else pilot.session.start_stop()
    words = "\u202eŘehoř\u200f stands by 🙂\u200d🙂 the wall" + "!" * 80
    pilot.session.save(
        Remark(stop_id=pilot.session.stop.id, time_utc=pilot.session.clock(), text=words),
        what="a remark",
    )
    harness.until(lambda: pilot.says("stands by"))
    shown = next(w for w in harness.shown(pilot.app.root) if "stands by" in getattr(w, "text", ""))
    label = next(w for w in harness.shown(shown) if hasattr(w, "texture_size") and w.text)
    assert "\u202e" not in label.text
    assert label.font_name.endswith(WIDER) or label.font_name == WIDER
    assert label.texture_size[0] <= label.width
    assert pilot.session.notebook.all(Remark)[0].text == words
