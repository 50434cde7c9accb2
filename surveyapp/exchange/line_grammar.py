"""The page that tells a surveyor what one line may say; each example on it is tested."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Example:
    """A line as typed or spoken, and the same written out in full."""

    typed: str
    means: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """A rule in one sentence or two, with examples."""

    rule: str
    examples: tuple[Example, ...]


CHAPTERS = (
    Chapter(
        "A reading: band, carriers by width, the LTE anchor, then the levels. Any order will do.",
        (
            Example(
                "n258 4x100 b20 10 rsrp -86 rsrq -12.5 sinr 14",
                "nsa; primary nr n258 4x100 MHz rsrp -86 dBm rsrq -12.5 dB sinr 14 dB; "
                "anchor lte B20 1x10 MHz",
            ),
            Example(
                "RSRP 86, RSRQ 12,5, SINR 14, 4 carriers N258",
                "primary nr n258 4 carriers rsrp -86 dBm rsrq -12.5 dB sinr 14 dB",
            ),
            Example("-86 -12.5 14", "primary nr rsrp -86 dBm rsrq -12.5 dB sinr 14 dB"),
        ),
    ),
    Chapter(
        "A speed run: down/up, ping, jitter, loss; or each with its word or unit.",
        (
            Example(
                "1480/96 17ms 2.4 0%",
                "down 1480 Mbit/s up 96 Mbit/s ping 17 ms jitter 2.4 ms loss 0 %",
            ),
            Example(
                "down 1480 up 96 ping 17 jitter 2.4 loss 0",
                "down 1480 Mbit/s up 96 Mbit/s ping 17 ms jitter 2.4 ms loss 0 %",
            ),
            Example("1480 down 96 up 17 ms ping", "down 1480 Mbit/s up 96 Mbit/s ping 17 ms"),
            Example("1.4/0.1 Gbps", "down 1400 Mbit/s up 100 Mbit/s"),
            Example(
                "dl 1480 ul 96 single stream server Porvoo",
                'down 1480 Mbit/s up 96 Mbit/s one stream server "Porvoo"',
            ),
        ),
    ),
    Chapter(
        "A reading and a run fit in one line.",
        (
            Example(
                "n78 100 rsrp -90 612/48 21ms",
                "primary nr n78 1x100 MHz rsrp -90 dBm down 612 Mbit/s up 48 Mbit/s ping 21 ms",
            ),
        ),
    ),
    Chapter(
        "Spoken numbers: 'minus 86', '12 point 5', '4 by 100', 'band 20', '1480 over 96'.",
        (
            Example(
                "band n258 4 by 100, anchor band 20, RSRP minus 86, RSRQ minus 12 point 5",
                "nsa; primary nr n258 4x100 MHz rsrp -86 dBm rsrq -12.5 dB; anchor lte B20",
            ),
        ),
    ),
    Chapter(
        "Several carriers: each begins with its band, 'nr', 'lte' or 'anchor'. A semicolon, '+' "
        "or a new line before it keeps the levels that follow with it; so does 'nr' or 'lte'. "
        "Else levels go to the first 5G carrier that has none.",
        (
            Example(
                "nr pci 262 rsrp -86; lte b3 20 rsrp -95",
                "nsa; primary nr pci 262 rsrp -86 dBm; anchor lte B3 1x20 MHz rsrp -95 dBm",
            ),
            Example(
                "sa n78 100 + n28 10", "sa; primary nr n78 1x100 MHz; secondary nr n28 1x10 MHz"
            ),
        ),
    ),
    Chapter(
        "Channels: 'arfcn' or 'earfcn' with a number, or a frequency with MHz or GHz. A width is "
        "at most 400 MHz unless 'bandwidth' is said.",
        (
            Example(
                "nr 2079167 27.75 GHz 100 MHz",
                "primary nr 1x100 MHz channel 2079167 frequency 27750 MHz",
            ),
            Example("earfcn 6300 bw 10", "mode lte; primary lte 1x10 MHz channel 6300"),
        ),
    ),
    Chapter(
        "Mode: 'nsa', 'sa', 'lte only'. Not said, it is NSA where 5G and LTE are both there.",
        (Example("5G SA n78 100", "sa; primary nr n78 1x100 MHz"),),
    ),
)
UNREAD = (
    Example("n78 100 rsrp -90 behind the big tree", "behind the big tree"),
    Example("lost 5G for 20 s, walked up 2 floors", "lost 5G for 20 s, walked up 2 floors"),
    Example("down 1,480 ping 17", "down 1,480"),
    Example("80 MB/s at 12:30", "80 MB/s at 12:30"),
)
"""What goes to the remark: plain words, what could be two numbers, bytes, times, ranges."""


def grammar() -> str:
    """The whole page as plain text."""
    lines = ["What one line may say", ""]
    for chapter in CHAPTERS:
        lines.append(chapter.rule)
        for example in chapter.examples:
            lines += [f"    {example.typed}", f"        = {example.means}"]
        lines.append("")
    lines.append(
        "Whatever is not understood goes to the remark, word for word: plain sentences, times, "
        "ranges, '1,480' (1480 or 1.48?), MB/s (bytes or bits?)."
    )
    for example in UNREAD:
        lines += [f"    {example.typed}", f"        remark: {example.means}"]
    lines += ["", "RSRP and RSRQ are negative unless a plus is said; SINR as it stands."]
    return "\n".join(lines) + "\n"
