"""The language of the screens, by GNU gettext catalogues that are read as text.

English is the source and always complete. Any other language is a file
`assets/languages/CODE.po`; it is compiled in memory, so a translator needs no tool but an editor.
What a catalogue lacks stays English.
Source: GNU gettext manual, "The Format of PO Files" and "The Format of GNU MO Files".
"""

from __future__ import annotations

import gettext
import io
import re
import struct
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from surveyapp.errors import FormatError, NotFound
from surveyapp.resources import shipped

SOURCE = "en"
MOST_BYTES = 4_000_000  # a screen's words come to a tenth of it
_MAGIC = 0x950412DE
_CONTEXT = "\x04"  # between a message's context and the message, in MO files
_LINE = re.compile(r'(msgctxt|msgid|msgid_plural|msgstr(?:\[[0-5]\])?)?[ \t]*"((?:[^"\\]|\\.)*)"')
_ESCAPE = re.compile(r"\\(.)")
_ESCAPES = {"n": "\n", "t": "\t", '"': '"', "\\": "\\"}
_OWN_NAME = re.compile(r"^X-Own-Name: *(.+)$", re.MULTILINE)


class Language(NamedTuple):
    """A language by its code ('de') and by its own name ('Deutsch')."""

    code: str
    name: str


def languages() -> tuple[Language, ...]:
    """Those there are: English, then the others by code."""
    others = sorted(shipped("assets", "languages").glob("*.po"))
    named = (Language(path.stem, own_name(path)) for path in others)
    return (Language(SOURCE, "English"), *named)


def own_name(path: Path) -> str:
    """A catalogue's language as its speakers call it, from its header."""
    found = _OWN_NAME.search(read_catalogue(path).get("", ""))
    return found[1] if found else path.stem


@lru_cache(maxsize=4)
def translations(code: str) -> gettext.NullTranslations:
    """What translates: its `gettext`, `ngettext` and `pgettext` take English.

    Raises NotFound for a language there is none of, FormatError for a broken catalogue.
    """
    if code == SOURCE:
        return gettext.NullTranslations()
    return gettext.GNUTranslations(io.BytesIO(compiled(read_catalogue(_path_of(code)))))


def messages(code: str) -> dict[str, str]:
    """A language's messages and their translations, without its header; English has none.

    Raises as `translations` does.
    """
    if code == SOURCE:
        return {}
    return {text: said for text, said in read_catalogue(_path_of(code)).items() if text}


def _path_of(code: str) -> Path:
    path = next((p for p in shipped("assets", "languages").glob("*.po") if p.stem == code), None)
    if path is None:
        known = ", ".join(language.code for language in languages())
        raise NotFound(f"There is no language '{code}': choose one of {known}.")
    return path


def read_catalogue(path: Path) -> dict[str, str]:
    """Messages and their translations as MO files hold them: context first, plurals by NUL.

    What is not translated, or marked fuzzy, is left out. Raises FormatError with the line.
    """
    messages: dict[str, str] = {}
    for number, parts, fuzzy in _entries(path):
        if "msgid" not in parts or not any(key.startswith("msgstr") for key in parts):
            raise _wrong(path, number, "holds no message with its translation")
        key = parts["msgid"]
        if "msgctxt" in parts:
            key = parts["msgctxt"] + _CONTEXT + key
        if "msgid_plural" in parts:
            key += "\0" + parts["msgid_plural"]
        translated = [parts[name] for name in sorted(parts) if name.startswith("msgstr")]
        if key in messages:
            raise _wrong(path, number, "repeats a message")
        if all(translated) and not (fuzzy and key):
            messages[key] = "\0".join(translated)
    return messages


def compiled(messages: Mapping[str, str]) -> bytes:
    """The same as a GNU MO file."""
    pairs = sorted((key.encode(), value.encode()) for key, value in messages.items())
    count = len(pairs)
    texts = [key for key, _ in pairs] + [value for _, value in pairs]
    place = 28 + 16 * count
    table = []
    for text in texts:
        table.append(struct.pack("<II", len(text), place))
        place += len(text) + 1
    header = struct.pack("<7I", _MAGIC, 0, count, 28, 28 + 8 * count, 0, 0)
    return b"".join((header, *table, *(text + b"\0" for text in texts)))


def _entries(path: Path) -> Iterator[tuple[int, dict[str, str], bool]]:
    """Each entry: the line it begins on, its parts by keyword, and whether it is fuzzy."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise FormatError(
                f"{path} is larger than {MOST_BYTES // 1_000_000} MB: that is no catalogue.",
                path=str(path),
            )
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise FormatError(f"{path} cannot be read as UTF-8 text.", path=str(path)) from error
    parts: dict[str, list[str]] = {}
    begun, last, fuzzy = 1, "", False
    for number, line in enumerate([*lines, ""], start=1):
        if not line.strip():
            if parts:
                yield begun, {name: "".join(held) for name, held in parts.items()}, fuzzy
            parts, last, fuzzy = {}, "", False
        elif line.startswith("#"):
            fuzzy |= line.startswith("#,") and "fuzzy" in line
        else:
            found = _LINE.fullmatch(line.strip())
            if found is None or not (found[1] or last) or found[1] in parts:
                raise _wrong(path, number, "is no part of a message")
            begun = begun if parts else number
            last = found[1] or last
            parts.setdefault(last, []).append(_unescaped(found[2], path, number))


def _unescaped(text: str, path: Path, number: int) -> str:
    def plain(found: re.Match[str]) -> str:
        if found[1] not in _ESCAPES:
            raise _wrong(path, number, f"has an escape that is unknown, '{found[0]}'")
        return _ESCAPES[found[1]]

    return _ESCAPE.sub(plain, text)


def _wrong(path: Path, number: int, what: str) -> FormatError:
    place = f"line {number}"
    return FormatError(
        f"{path.name}, {place}: it {what}. Mend it with a text editor.",
        path=str(path),
        place=place,
    )
