"""One line in: the trade's words, in any order, with nothing lost."""

from __future__ import annotations

import re
import time
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.exchange.line_grammar import CHAPTERS, UNREAD, Example, grammar
from surveyapp.exchange.one_line import MOST_CHARACTERS, Line, Sheet, Speeds, read_line
from surveyapp.model import Carrier, Mode, Rat, Role, Streams
from tests.exchange.line_writing import reading_line, speeds_line

EXAMPLES = [example for chapter in CHAPTERS for example in chapter.examples]
QUICK = settings(max_examples=150, deadline=None)
TRADE = st.sampled_from(
    [
        "n258",
        "b20",
        "4x100",
        "rsrp",
        "rsrq",
        "sinr",
        "-86",
        "-12,5",
        "14",
        "down",
        "up",
        "ping",
        "17ms",
        "0%",
        "1480/96",
        "nr",
        "lte",
        "anchor",
        ";",
        "+",
        "/",
        ",",
        "nsa",
        "sa",
        "mode",
        "band",
        "server",
        "minus",
        "point",
        "by",
        "over",
        "MB/s",
        "12:30",
        "80-90",
        "1,480",
        "MHz",
        "GHz",
        "dBm",
        "pci",
        "5G",
        "x",
        "carriers",
        "one",
        "stream",
        "the",
        "tree",
        "\x00",
        "é",
        '"',
        "-",
        "–",
        "٣",
        "1e9",
        "ss-rsrp:",
        "=",
        "|",
        ".",
        "4cc",
        "earfcn",
        "6300",
        "°",
    ]
)


def said(line: Line) -> str:
    """All that a line says, written out in full."""
    parts = [reading_line(line.mode, line.carriers), speeds_line(line.speeds)]
    return " ".join(part for part in parts if part)


def assert_nothing_is_lost(text: str) -> Line:
    """Every character that is no white space lies in exactly one span."""
    line = read_line(text)
    spans = [*line.understood, *line.rest, *line.marks]
    held = sorted(place for span in spans for place in range(span.start, span.end))
    wanted = {place for place, sign in enumerate(text) if not sign.isspace()}

    assert len(held) == len(set(held))
    assert wanted <= set(held)
    assert all(text[span.start : span.end] in line.remark for span in line.rest)
    return line


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.typed)
def test_each_example_of_the_page_means_what_it_says(example: Example) -> None:
    """The typed line and the one written out in full are read alike, with nothing left."""
    line = assert_nothing_is_lost(example.typed)

    assert said(line) == said(read_line(example.means)) != ""
    assert line.remark == ""


@pytest.mark.parametrize("example", UNREAD, ids=lambda example: example.typed)
def test_what_is_not_understood_is_kept_word_for_word(example: Example) -> None:
    """Sentences, times, ranges and doubtful numbers go to the remark."""
    assert assert_nothing_is_lost(example.typed).remark == example.means


def test_the_page_shows_every_example() -> None:
    """The help page is whole."""
    page = grammar()

    assert all(example.typed in page and example.means in page for example in [*EXAMPLES, *UNREAD])


@pytest.mark.parametrize(
    "text",
    ["n258 4x100 rsrp -86", "N258 4X100 RSRP -86", "rsrp -86 4 x 100 n 258", "n258,4×100,rsrp:-86",
     "RSRP=−86dBm; n258 4*100MHz", "band n258 / four by 100 / rsrp minus 86", "n258 rsrp-86 4x100",
     "n258 4cc bw 100 ss-rsrp 86", "rsrp is - 86 , n258 with 4 carriers width 100 MHz"],
)  # fmt: skip
def test_order_case_spacing_and_marks_do_not_matter(text: str) -> None:
    """The same reading in other clothes."""
    line = assert_nothing_is_lost(text)

    assert line.carriers == (Carrier(band="n258", count=4, bandwidth_mhz=100.0, rsrp_dbm=-86.0),)
    assert line.sheet is Sheet.READING
    assert line.remark == ""


@pytest.mark.parametrize(
    "text",
    ["1480,5/96 17ms 2,4 0%", "down 1480.5 up 96 ping 17 jitter 2.4 loss 0", "↓1480,5 ↑96 17 2.4 0"
     .replace("17 2.4 0", "ping 17 2.4 0"), "loss 0 % jitter 2.4 ms ping 17 ms ul 96 dl 1480.5",
     "1480.5 Mbit/s 96 Mbit/s 17 ms 2,4 ms 0 percent", "1.480,5 / 96 / 17 / 2.4 / 0",
     "Download: 1,480.5 Mb/s, Upload: 96 Mb/s, latency 17, jit 2.4, packet loss zero"],
)  # fmt: skip
def test_a_speed_run_is_read_in_every_usual_shape(text: str) -> None:
    """Words, units, or the order all write them in; decimal point or comma."""
    line = assert_nothing_is_lost(text)

    assert line.speeds == Speeds(
        down_mbps=1480.5, up_mbps=96.0, ping_ms=17.0, jitter_ms=2.4, loss_pct=0.0
    )
    assert line.sheet is Sheet.SPEED_RUN
    assert line.remark == ""


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("1480 Mbps down, 96 Mbps up", "down 1480 Mbps up 96 Mbps"),
        ("17 ms ping 1480/96", "down 1480 Mbps up 96 Mbps ping 17 ms"),
        ("-86 dBm rsrp -12 dB rsrq b20 10", "mode lte; primary lte B20 1x10 MHz rsrp -86 rsrq -12"),
        ("b20 10 rsrp", "mode lte; primary lte B20 1x10 MHz"),
        ("b20 10 rsrp 95", "mode lte; primary lte B20 1x10 MHz rsrp -95"),
        ("100 MHz x 4 on n258", "primary nr n258 4x100 MHz"),
        ("band: n258, pci: 101", "primary nr n258 pci 101"),
        (
            "1480 down / 96 up, 17 ms, jitter 2,4, no loss",
            "down 1480 up 96 ping 17 jitter 2.4 loss 0",
        ),
        ("streams one, 900/70 no packet loss", "one stream down 900 up 70 loss 0"),
        ("server in Turku, 900 down", "server Turku down 900"),
    ],
)
def test_a_value_may_stand_before_its_word(text: str, means: str) -> None:
    """Told apart from a width that stands before the next word."""
    assert said(assert_nothing_is_lost(text)) == said(read_line(means))


def test_a_mark_between_understood_and_unread_belongs_to_neither() -> None:
    """The remark begins and ends with a word; marks inside it stay."""
    line = assert_nothing_is_lost("server at Porvoo, 30 km off: by ferry, slow, ping 17")

    assert line.remark == "30 km off: by ferry, slow"


@pytest.mark.parametrize(
    "text",
    ["lost 5g near the bridge, n258 gone", "no loss of view from the quay",
     "LTE only behind the tram shelter"],
)  # fmt: skip
def test_a_sentence_that_names_a_band_in_passing_stays_a_sentence(text: str) -> None:
    """It fills no reading, and no word of it is torn out of the remark."""
    line = assert_nothing_is_lost(text)

    assert (line.sheet, line.remark) == (Sheet.NONE, text)


def test_the_readmes_lines_are_understood() -> None:
    """Each line it shows in quotes fills a sheet and leaves nothing for the remark."""
    readme = (Path(__file__).parent.parent.parent / "README.md").read_text(encoding="utf-8")
    (told,) = re.findall(r"\*\*One line\.\*\*.*", readme)
    shown = re.findall(r"`([^`]*\d[^`]*)`", told)

    assert len(shown) >= 3
    for text in shown:
        assert read_line(text).sheet is not Sheet.NONE, text
        assert read_line(text).remark == "", text


def test_levels_follow_the_carrier_they_were_typed_with() -> None:
    """A second RSRP is the anchor's, and what follows it stays there."""
    line = read_line("n78 rsrp -86 b20 rsrp -95 sinr 10")

    assert [(c.rsrp_dbm, c.sinr_db) for c in line.carriers] == [(-86.0, None), (-95.0, 10.0)]
    assert [(u.name, u.carrier) for u in line.understood][-1] == ("sinr_db", 1)


def test_what_only_its_place_told_is_marked_for_a_second_look() -> None:
    """A width after its band is a guess, a value after its word is not."""
    line = read_line("b20 10 rsrp -86")

    assert {u.name: u.guessed for u in line.understood} == {
        "band": False, "bandwidth_mhz": True, "rsrp_dbm": False,
    }  # fmt: skip


def test_a_value_given_twice_is_not_overwritten() -> None:
    """The second goes to the remark."""
    line = assert_nothing_is_lost("ping 17 ping 21")

    assert line.speeds.ping_ms == 17.0
    assert line.remark == "ping 21"


def test_a_physical_impossibility_is_kept_as_typed() -> None:
    """Doubts are told elsewhere; the line is not the judge."""
    assert read_line("rsrp -300").carriers[0].rsrp_dbm == -300.0


def test_text_beyond_the_limit_is_kept_and_a_long_one_is_quick() -> None:
    """A page pasted by mistake is no trouble, whatever stands in it."""
    for piece in ("rsrp -86 ", "1" * 50, "1,", "a-", '"', "n", "- ", "/", "minus ", "4x"):
        text = piece * 40_000
        start = time.process_time()
        line = assert_nothing_is_lost(text[:6_000])

        assert time.process_time() - start < 2.0
        assert line.rest[-1].end == 6_000
        assert MOST_CHARACTERS in {span.start for span in line.rest}
        read_line(text)


@QUICK
@given(st.text(max_size=80))
def test_no_character_of_any_text_is_lost(text: str) -> None:
    """Any Unicode, NUL included."""
    assert_nothing_is_lost(text)


@QUICK
@given(st.lists(TRADE, max_size=14), st.sampled_from(["", " ", ", ", "\n"]))
def test_no_character_is_lost_amid_the_trades_own_words(pieces: list[str], gap: str) -> None:
    """Words that nearly make sense are where a reader would drop some."""
    assert_nothing_is_lost(gap.join(pieces))


def numbers(low: float, high: float, digits: int = 3) -> st.SearchStrategy[float | None]:
    """A number of so many decimals, or none."""
    scale = 10**digits
    whole = st.integers(int(low * scale), int(high * scale))
    return st.none() | whole.map(lambda value: value / scale)


def whole_numbers(high: int) -> st.SearchStrategy[int | None]:
    """A whole number, or none."""
    return st.none() | st.integers(0, high)


@st.composite
def carriers(draw: st.DrawFn) -> Carrier:
    """A carrier with at least one value."""
    rat = draw(st.sampled_from(Rat))
    letter = "n" if rat is Rat.NR else "B"
    band = draw(st.just("") | st.integers(1, 512).map(lambda number: f"{letter}{number}"))
    anchor = [Role.ANCHOR] if rat is Rat.LTE else []
    made = Carrier(
        role=draw(st.sampled_from([Role.PRIMARY, Role.SECONDARY, *anchor])),
        rat=rat,
        band=band,
        channel=draw(whole_numbers(3_279_165)),
        mhz=draw(numbers(400.001, 71_000)),
        bandwidth_mhz=draw(numbers(0.1, 2_000, 1)),
        count=draw(st.integers(1, 32)),
        pci=draw(whole_numbers(1007)),
        rsrp_dbm=draw(numbers(-156, 10, 2)),
        rsrq_db=draw(numbers(-43, 20, 1)),
        sinr_db=draw(numbers(-23, 40, 1)),
    )
    bare = Carrier(role=made.role, rat=made.rat)
    return made if made != bare else Carrier(role=made.role, rat=made.rat, pci=1)


@QUICK
@given(st.sampled_from(Mode), st.lists(carriers(), min_size=1, max_size=4))
def test_a_reading_written_as_a_line_is_read_back_equal(mode: Mode, made: list[Carrier]) -> None:
    """Every field, radio and role of up to four carriers, and nothing for the remark."""
    line = assert_nothing_is_lost(reading_line(mode, made))

    assert line.mode is mode
    assert line.carriers == tuple(made)
    assert line.remark == ""


@QUICK
@given(
    st.builds(
        Speeds,
        down_mbps=numbers(0, 20_000),
        up_mbps=numbers(0, 20_000),
        ping_ms=numbers(0, 10_000),
        jitter_ms=numbers(0, 10_000),
        loss_pct=numbers(0, 100),
        server_place=st.just("") | st.text("abcÄö 27;/-", min_size=1).filter(str.strip),
        streams=st.none() | st.sampled_from(Streams),
    )
)
def test_a_speed_run_written_as_a_line_is_read_back_equal(made: Speeds) -> None:
    """All seven values."""
    line = assert_nothing_is_lost(speeds_line(made))

    assert line.speeds == made
    assert line.remark == ""


def test_a_line_names_values_as_the_model_does() -> None:
    """So that a sheet can be filled without a table between."""
    line = read_line(
        "sa n258 4x100 arfcn 2079167 27.75 GHz pci 1 rsrp -86 rsrq -12 sinr 3 "
        "1/2 3ms 4 5% one stream server Porvoo"
    )
    known = {field.name for kind in (Carrier, Speeds) for field in fields(kind)} | {"mode"}

    assert {value.name for value in line.understood} == known - {"rat", "role"}
    assert line.sheet is Sheet.BOTH
