"""Languages by gettext, held against GNU's own compiler."""

from __future__ import annotations

import gettext
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.errors import FormatError, NotFound
from surveyapp.languages import compiled, languages, own_name, read_catalogue, translations
from surveyapp.resources import shipped

CATALOGUES = sorted(shipped("assets", "languages").glob("*.po"))
HEADER = (
    'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n'
    '"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n'
)
HARD = HEADER + (
    'msgid "one"\nmsgstr "eins"\n\n'
    '#, fuzzy\nmsgid "unsure"\nmsgstr "unsicher"\n\n'
    'msgid "open"\nmsgstr ""\n\n'
    'msgctxt "door"\nmsgid "open"\nmsgstr "auf"\n\n'
    'msgid "%d stop"\nmsgid_plural "%d stops"\nmsgstr[0] "%d Halt"\nmsgstr[1] "%d Halte"\n\n'
    '# a comment\nmsgid "two "\n"lines\\n\\"said\\" \\\\ \\t"\nmsgstr ""\n"zwei\\n"\n"Zeilen ü"\n'
)


def catalogue(folder: Path, text: str) -> Path:
    """A catalogue of this text."""
    path = folder / "xx.po"
    path.write_text(text, encoding="utf-8")
    return path


def test_english_is_the_source_and_german_the_proof() -> None:
    """English gives back what it gets; German has its own name and words."""
    assert [language.code for language in languages()] == ["en", "de"]
    assert languages()[1].name == "Deutsch"
    assert translations("en").gettext("Speed run") == "Speed run"
    assert translations("de").gettext("Speed run") == "Messlauf"
    assert translations("de").gettext("not in it") == "not in it"
    with pytest.raises(NotFound, match="en, de"):
        translations("../de")


def test_context_plurals_escapes_and_several_lines_are_read(tmp_path: Path) -> None:
    """What is fuzzy or empty stays English."""
    made = compiled(read_catalogue(catalogue(tmp_path, HARD)))
    (tmp_path / "xx.mo").write_bytes(made)
    with (tmp_path / "xx.mo").open("rb") as file:
        words = gettext.GNUTranslations(file)

    assert words.gettext("one") == "eins"
    assert words.gettext("unsure") == "unsure"
    assert words.gettext("open") == "open"
    assert words.pgettext("door", "open") == "auf"
    assert words.ngettext("%d stop", "%d stops", 1) == "%d Halt"
    assert words.ngettext("%d stop", "%d stops", 2) == "%d Halte"
    assert words.gettext('two lines\n"said" \\ \t') == "zwei\nZeilen ü"


@pytest.mark.skipif(shutil.which("msgfmt") is None, reason="needs GNU gettext")
@pytest.mark.parametrize("source", [*CATALOGUES, None], ids=lambda p: p.stem if p else "hard")
def test_gnu_msgfmt_finds_the_same_messages(source: Path | None, tmp_path: Path) -> None:
    """Its strict check passes, and its file holds what ours does."""
    path = source or catalogue(tmp_path, HARD)
    theirs = tmp_path / "theirs.mo"
    subprocess.run(["msgfmt", "-c", "-o", str(theirs), str(path)], check=True, capture_output=True)
    ours = tmp_path / "ours.mo"
    ours.write_bytes(compiled(read_catalogue(path)))
    with theirs.open("rb") as one, ours.open("rb") as other:
        assert (
            gettext.GNUTranslations(one)._catalog  # type: ignore[attr-defined]
            == gettext.GNUTranslations(other)._catalog  # type: ignore[attr-defined]
        )


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.text("abcé\n\"'ü漢", min_size=1), st.text("abcé\n\"'ü漢", min_size=1), max_size=8
    )
)
def test_a_compiled_catalogue_gives_back_what_went_in(words: dict[str, str]) -> None:
    """Any text, in any number, as Python's own reader finds it."""
    import io

    header = {"": "Content-Type: text/plain; charset=UTF-8\n"}
    made = gettext.GNUTranslations(io.BytesIO(compiled(header | words)))

    assert {word: made.gettext(word) for word in words} == words


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("nonsense\n", "line 7: it is no part"),
        ('"text alone"\n', "line 7: it is no part"),
        ('msgid "a"\nmsgid "b"\n', "line 8: it is no part"),
        ('msgid "a"\n', "line 7: it holds no message"),
        ('msgid "a\\q"\nmsgstr "b"\n', "escape that is unknown"),
        ('msgid "a"\nmsgstr "b"\n\nmsgid "a"\nmsgstr "c"\n', "line 10: it repeats"),
    ],
)
def test_a_broken_catalogue_is_told_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    """A translator works with an editor and needs to know where."""
    with pytest.raises(FormatError, match=said):
        read_catalogue(catalogue(tmp_path, HEADER.rstrip("\n") + "\n\n\n" + text))


def test_a_catalogue_that_is_no_text_is_told(tmp_path: Path) -> None:
    """Other bytes, or no file; without its own name a language shows its code."""
    path = tmp_path / "xx.po"
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(FormatError, match="UTF-8"):
        read_catalogue(path)
    with pytest.raises(FormatError):
        read_catalogue(tmp_path / "yy.po")
    assert own_name(catalogue(tmp_path, HEADER)) == "xx"
