"""Whatever comes to the screen is said in every language there is, and nothing else is listed."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from surveyapp.languages import languages, messages
from surveyapp.ui.sentences import Sentences
from tests.languages.screen_texts import (
    PACKAGE,
    PLACE,
    is_prose,
    texts_of_look,
    texts_of_module,
)

OTHERS = [language.code for language in languages() if language.code != "en"]
COMPLETE = ("ui", "analysis", "geometry", "sensors")  # all they say is said in each language
NOT_SAID = {
    "ui/plan/shaders.py", "ui/sentences.py", "ui/speech.py", "ui/theme.py", "ui/tokens.py",
    # answers to a programmer: the screens never ask so
    "analysis/cover_grid.py", "analysis/intervals.py", "analysis/outlines.py",
    "analysis/paired_statistics.py", "analysis/student_t.py", "analysis/visits.py",
    "geometry/chi_square.py",
}  # fmt: skip
TECHNICAL = re.compile(
    r"RSRP|RSRQ|TS 3[68]\.\d+|SINR|RSSI|PCI|EIRP|LTE|NR-ARFCN|EARFCN|5G|NSA|UTC|US|MHz"
    r"|Mbit/s|dBm|dB|km|ft|mi|m|mm/h|ABCD|NS|EW|TR 38\.901|ITU-R|table 7\.3-1|P\.\d+(?:-3)?|QPSK"
)
PLAIN_VALUES = ("7", "7 m", "12:30", "NR", "x")  # one kind or another that a place may hold


def written(path: Path) -> list[str]:
    """What a file says, as messages; words for the machine are left out."""
    read = texts_of_look if path.suffix == ".kv" else texts_of_module
    return [text.strip() for text in read(path) if is_prose(text)]


def files_of(layer: str) -> list[Path]:
    """The files of a layer that speak."""
    found = [*(PACKAGE / layer).rglob("*.py"), *(PACKAGE / layer).rglob("*.kv")]
    return [path for path in sorted(found) if str(path.relative_to(PACKAGE)) not in NOT_SAID]


def is_known(text: str, language: Sentences, words: dict[str, str]) -> bool:
    """Whether a text is said in the language, whatever values stand in its places."""
    if text in words or not is_prose(TECHNICAL.sub("", text)):
        return True
    before = "7" if text[:1] in ",;:" else ""
    filled = {before + text.replace(PLACE, value) for value in PLAIN_VALUES}
    return any(language.said(one) != one for one in filled)


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("layer", COMPLETE)
def test_every_text_is_said_in_every_language(layer: str, code: str) -> None:
    """A text added to the screens or below them fails here until the catalogue has it."""
    words = messages(code)
    language = Sentences(words)
    lacking = {
        f"{path.relative_to(PACKAGE)}: {text}"
        for path in files_of(layer)
        for text in written(path)
        if text not in LEFT_OUT and not is_known(text, language, words)
    }
    assert sorted(lacking) == []


LEFT_OUT = {  # words for the machine, examples of typing, and bare joints of what is said
    "XDG_CONFIG_HOME", "SDK_INT", "ScrollEffect", "double tap", "Cc", "Cf", "Cs", "Co", "Cn",
    "n258 4x100 rsrp -86 sinr 14", "60.1699, 24.9384 or 60,1699; 24,9384 or 60°10'11.6\"N "
    "24°56'18.2\"E",
    "surveyapp-notebook/1 (site survey notebook; asks for single places on request)",
    "What lies within 300 m of {} home place{} is cut out.", "The {} {}",
    "{} from {}", "{} and {}", "and {}", "{} and {} {}", "{} and {}{}{}{}{}.",
    "{} on {}", "{} against {}", "{} of {}", "{} for {}", "{} for {}: {}",
    "{} noted{}", "All · {}", "panel {}", "stop {}", "{}, {} changed,", "{}{} known already.",
    "{} MB", "{} kB", "{} layer{}", "{} place{}", "degrees, below 360",
    "The {} was better {} {} than {} {}: {}; were they alike, chance would part them as far in {}.",
    "over {} pairs the {} {} {} was {} times that {} {} (95 % interval {} to {})",
}  # fmt: skip


def test_a_text_that_nobody_translated_is_seen() -> None:
    """The check above can fail."""
    words = {"Stop {number} has no position yet.": "Halt {number} hat noch keinen Ort."}
    assert is_known("Stop {} has no position yet.", Sentences(words), words)
    assert not is_known("Stop {} has a position.", Sentences(words), words)


@cache
def sources() -> set[str]:
    """All that the program says, its places nameless; sentences also one by one."""
    read = [*files_of("model"), PACKAGE / "wording.py"]
    read += [path for layer in SAID_BY for path in files_of(layer)]
    found = {
        part.strip()
        for path in read
        for text in (texts_of_look if path.suffix == ".kv" else texts_of_module)(path)
        for part in (text, *re.split(r" · |\n|(?<=[.!?:;]) ", text))
    }
    return found | {text[:1].upper() + text[1:] for text in found}


def could_say(message: str, templates: dict[str, list[str]]) -> bool:
    """Whether a message is one of the things an f-string with open choices may say."""
    plain = re.sub(r"\{\w+\}", "7", message)
    return any(
        re.fullmatch(".*?".join(map(re.escape, template.split(PLACE))), plain)
        for surest, ones in templates.items()
        if surest in plain
        for template in ones
    )


SAID_BY = {*COMPLETE, "store", "exchange", "radio"}
COUNTED = re.compile(r"(?:\{n\}|no) (.+)")  # '3 stops', put together by `counted`
PUT_TOGETHER = re.compile(r"\{n2?\}|(?:rise|fall) by|unusual|\{weekday\}|.* on \{phone\}")


@pytest.mark.parametrize("code", OTHERS)
def test_every_message_of_a_catalogue_is_said_somewhere(code: str) -> None:
    """A text that was changed in the program must be changed in the catalogue too."""
    texts, lost = sources(), []
    templates: dict[str, list[str]] = {}
    for text in texts:
        if PLACE in text and len(text) > 6:
            templates.setdefault(max(text.split(PLACE), key=len), []).append(text)
    for message in (one.removeprefix("{before}") for one in messages(code)):
        counted = COUNTED.fullmatch(message)
        if re.sub(r"\{\w+\}", PLACE, message) in texts or PUT_TOGETHER.match(message):
            continue
        if counted and {counted[1], counted[1].removesuffix("s")} & texts:
            continue
        if not could_say(message, templates):
            lost.append(message)
    assert lost == []


LABELS = ("Text", "SoftText", "Heading", "Value", "Label", "FootNote", "Aside")
TYPED = {("field_cell.kv", "Value"), ("overlays.kv", "Label"), ("pad.kv", "Label")}
_RULE = re.compile(r"^(\s*)<?([A-Z]\w+)(?:@\w+)?>?:\s*$")
_TEXT = re.compile(r"^(\s+)(?:text|hint_text): (.+)$")


def test_no_words_reach_a_label_past_the_language() -> None:
    """Each label of a .kv file says its text through `theme.tr`, but for values typed in."""
    past = [f"{look.name}: {line}" for look in (PACKAGE / "ui").rglob("*.kv") for line in by(look)]
    assert past == []


def by(look: Path) -> list[str]:
    """The labels' texts in a .kv file that go by the language."""
    owners: list[tuple[int, str]] = []
    past = []
    for line in look.read_text(encoding="utf-8").splitlines():
        rule, text = _RULE.match(line), _TEXT.match(line)
        if rule:
            owners = [*(o for o in owners if o[0] < len(rule[1])), (len(rule[1]), rule[2])]
        if text and "theme.tr(" not in line:
            owner = [name for depth, name in owners if depth < len(text[1])][-1]
            if owner in LABELS and (look.name, owner) not in TYPED:
                past.append(line.strip())
    return past
