"""What mail, forums, terminals and logs do to a text changes nothing of what is read from it."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from slotfit.read.lspci_text import parse_text
from slotfit.read.pasted import decode, lines_of
from slotfit.read.seen import Where
from slotfit.read.sources import readings_of

MACHINE = """00:03.1 PCI bridge: A port (prog-if 00 [Normal decode])
\tBus: primary=00, secondary=65, subordinate=65, sec-latency=0
\tPhysical Slot: 7-1
\tCapabilities: [58] Express (v2) Root Port (Slot+), MSI 00
\t\tLnkCap:\tPort #1, Speed 16GT/s, Width x16, ASPM L1, Exit Latency L1 <64us
\t\tLnkSta:\tSpeed 8GT/s, Width x4
\t\tSltCap:\tAttnBtn- PwrCtrl- MRL- AttnInd- PwrInd- HotPlug+ Surprise-
\t\t\tSlot #12, PowerLimit 75W; Interlock- NoCompl+

65:00.0 Non-Volatile memory controller [0108]: A drive [1234:5678] (rev 01)
\tNUMA node: 1
\tIOMMU group: 14
\tKernel driver in use: nvme
"""


def mailed(text: str) -> str:
    """Quoted-printable, with soft breaks in the middle of words (RFC 2045 6.7)."""
    text = text.replace("=", "=3D")
    for word in ("NUMA", "Kernel", "Physical"):
        text = text.replace(word, f"{word[:3]}=\n{word[3:]}")
    return text


def numbered(text: str, number: str) -> str:
    """Each line with its number in front."""
    return "\n".join(number.format(no) + line for no, line in enumerate(text.split("\n"), 1))


def terminal(text: str, columns: int) -> str:
    """As a copied screen: tabs are gone, and what was too long goes on in the next line."""
    rows = (line.expandtabs(8) for line in text.split("\n"))
    cut = (row[at : at + columns] for row in rows for at in range(0, max(len(row), 1), columns))
    return "\n".join(cut)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("windows line ends", lambda text: text.replace("\n", "\r\n")),
        ("no indentation", lambda text: re.sub(r"(?m)^\s+", "", text)),
        ("two spaces", lambda text: re.sub(r"(?m)^\t+", "  ", text)),
        ("spaces before tabs", lambda text: text.replace("\t", " \t")),
        ("all of it indented", lambda text: re.sub(r"(?m)^", "    ", text)),
        ("quoted", lambda text: re.sub(r"(?m)^", "> ", text)),
        ("quoted twice", lambda text: re.sub(r"(?m)^", "> > ", text)),
        ("blank lines inside", lambda text: text.replace("\tLnkSta", "\n\tLnkSta")),
        ("no blank line between", lambda text: text.replace("\n\n", "\n")),
        ("in a fence after chatter", lambda text: f"Hi, see:\n$ lspci -vvv\n```\n{text}\n```\n"),
        ("wrapped by mail", lambda text: text.replace("8GT/s, Width", "8GT/s,\nWidth")),
        ("mail escapes", mailed),
        ("web page", lambda text: text.replace("<", "&lt;").replace(">", "&gt;")),
        ("coloured", lambda text: text.replace("PCI", "\x1b[1;31mPCI\x1b[0m")),
        ("colours without escapes", lambda text: text.replace("Lnk", "[01;31m[KLnk[m[K")),
        ("quoted without a space", lambda text: re.sub(r"(?m)^", ">", text)),
        ("a page's source", lambda text: f"<pre><code>{html.escape(text)}</code></pre>"),
        ("breaks of a page", lambda text: html.escape(text).replace("\n", "<br>")),
        (
            "paragraphs of a page",
            lambda text: "<p>" + text.replace("\n", "<br />\n") + "</p>",
        ),
        ("forum marks", lambda text: f"[CODE]{text}[/CODE]"),
        ("old line ends", lambda text: text.replace("\n", "\r")),
        ("line separators", lambda text: text.replace("\n", "\u2028")),
        ("a bar before each line", lambda text: re.sub(r"(?m)^", "| ", text)),
        ("numbered by grep", lambda text: numbered(text, "{}:")),
        ("numbered by cat", lambda text: numbered(text, "{:6}\t")),
        ("timed", lambda text: re.sub(r"(?m)^", "2024-05-01T10:11:12.1234567Z ", text)),
        ("from a system log", lambda text: re.sub(r"(?m)^", "May  1 10:11:12 box sh[9]: ", text)),
        ("named by a parallel shell", lambda text: re.sub(r"(?m)^", "node-7: ", text)),
        ("a string in a report", lambda text: json.dumps({"lspci": text})),
        ("wrapped by a terminal", lambda text: terminal(text, 61)),
    ],
)
def test_pasting_changes_nothing(name: str, change: Callable[[str], str]) -> None:
    expected, got = (
        [replace(f, where=Where("t")) for f in parse_text(text, "t").functions]
        for text in (MACHINE, change(MACHINE))
    )
    assert len(expected) == 2
    assert got == expected, name


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-8-sig", "latin-1"])
def test_encodings(encoding: str) -> None:
    assert [line for _, line in lines_of(decode(MACHINE.encode(encoding)))] == MACHINE.split("\n")


# Each has a column of digits or an `=` at line ends that is the text's own.
@pytest.mark.parametrize(
    "text",
    [
        "\n".join(f"{domain}:00:00.0 0200: 1111:2222" for domain in ("0001", "0002", "0003") * 3),
        "\n".join(f"000{domain}:00:00.0 0200: 1111:2222" for domain in range(1, 9)),
        "\tBus: primary=\n00, secondary=\n01, sec-latency=\n0\n\tStatus: D0 DSel=0 DScale=0",
        "00:1c.0 PCI bridge: Maker & Co [minicard] [Kilo Lake] &c. <?>\n\tMemory [size=1M]",
        "# dmidecode 3.3\n# SMBIOS implementations newer\n",
    ],
)
def test_what_belongs_to_a_text_stays(text: str) -> None:
    assert [line for _, line in lines_of(text)] == text.split("\n")


def test_a_decoded_table_with_something_before_each_line_is_recognised(tmp_path: Path) -> None:
    table = (
        "Handle 0x0009, DMI type 9, 17 bytes\nSystem Slot Information\n\tDesignation: SLOT 1\n"
        "\tType: x16 PCI Express 4 x16\n\tCurrent Usage: Available\n"
    )
    source = tmp_path / "log.txt"
    source.write_text(
        re.sub(r"(?m)^", "10:11:12 box ", table).replace("10:11:12 box", "[10:11:12]")
    )
    (slot,) = readings_of(source)[0].slots
    assert (slot.designation, slot.lanes) == ("SLOT 1", 16)
