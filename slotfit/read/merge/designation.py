"""
What a slot's designation says: number, processor, generation, wired lanes, connector size.

Board makers put into this text what they print beside the slot, so it often says more than the
fields: `CPU1 SLOT2 PCI-E 3.0 X4 (IN X8 SLOT)`, `J2A16 - SLOT_C (X16_CPU0PE1), slot 6`,
`PCIEX16(G5)_2`. Spellings were collected from some 140,000 public tables.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_IN = re.compile(r"\(?\bIN ?X(\d+)|\(IN ?X(\d+)")
_X = re.compile(r"(?<![A-Z0-9/._])X(\d{1,2})(?![\d/])")
# One word, as in PCIEX16_2 or PCIE16_1: a name made from the connector, whatever is wired to it.
_NAMED_AFTER_SHAPE = re.compile(r"PCI-?E[_-]?X(\d{1,2})(?!\d)|^PCI-?E(1|4|8|16)_\d")
# "PCIE3" alone is a slot's number; with ".0", "GEN" or a width after it, a generation.
_PCIE_GENERATION = re.compile(
    r"PCI[ -]?E(?:XPRESS)?[ ._-]?(?:GEN ?)?([1-7])\.0|PCI[ -]?E(?:XPRESS)?[ _-]?([1-7])[ _]X\d"
    r"|\bGEN ?([1-7])\b|\(G([1-7])\)"
)
_PROCESSOR = re.compile(r"(?<![A-Z])(?:CPU|PROC|SOCKET) ?[_-]?(\d)(?!\d)|^P(\d)[_ ]")
_SLOT = re.compile(
    r"(?<![A-Z])SLOT[ _#-]{0,2}(\d{1,3})(?![.\d])"
    r"|^PCI-?E(?:XPRESS)?[ _#-]?(\d{1,2})(?:_[A-D])?(?![_.\d X])"
)
_NOT_A_SLOT = re.compile(
    r"ON-?BOARD|THUNDERBOLT|WIFI|WI-FI|WLAN|\bLOM\b|BACKPLANE|DC-SCM|\bINTEGRATED\b|\bETHERNET\b"
)
# A mezzanine, of which only "OCP 3.0" says the kind; "OCP1" is the first one.
_MEZZANINE = re.compile(r"\W*(?:IO )?(?:OCP(?! ?3\.?0)|MEZZ)")
# What only a slot for cards is called, and what only a drive's place is.
_A_CARD_SLOT = re.compile(r"RISER|PCI-?EX?16|PCIEX\d|\bSLOT ?_?[A-Z]\b")
_ANY_SLOT = re.compile(r"SLOT|PCI|RISER|PEG")
_A_BAY = re.compile(r"\bBAY|SSD|NVME|\bU\.2|\bE[13]\.?[SL]")
_LANES = (1, 2, 4, 8, 12, 16, 32)


@dataclass(frozen=True, slots=True)
class Hints:
    """What was found in a designation; None where it says nothing, or nothing that can be."""

    number: int | None = None
    processor: int | None = None
    generation: int | None = None
    lanes: int | None = None
    shape_lanes: int | None = None
    form: str | None = None
    chipset: bool = False
    not_a_slot: bool = False
    mezzanine: bool = False
    bay: bool = False
    slot_word: bool = False


_FORMS = tuple(
    (re.compile(words), form)
    for words, form in (
        (r"(?<![A-Z0-9])M\.?2(?![0-9.])|\bNGFF", "m2-m"),
        (r"\bOCP ?3\.?0|\bOCP 3\b", "ocp3-sff"),
        (r"MCIO", "mcio"),
        (r"(?<![A-Z0-9])U\.?2(?![0-9.])", "u2"),
        (r"OCU-?LINK", "oculink"),
        (r"SLIM ?SAS|SLSAS|SLIM-?LIN", "slimsas"),
    )
)
"""Words that leave no doubt about the form; the first that is there counts."""


def hints_of(designation: str | None) -> Hints:
    """
    The hints in a designation.

    >>> hints = hints_of("CPU1 SLOT2 PCI-E 3.0 X4 (IN X8 SLOT)")
    >>> hints.number, hints.processor, hints.generation, hints.lanes, hints.shape_lanes
    (2, 1, 3, 4, 8)
    """
    if not designation:
        return Hints()
    text = designation.upper()
    named = _lanes(_NAMED_AFTER_SHAPE.search(text))
    shape = _lanes(_IN.search(text)) or named
    lanes = _lanes(_X.search(_IN.sub("", text)))
    if shape is not None and lanes is not None and lanes > shape:
        lanes = shape = None
    return Hints(
        number=_number(_SLOT.search(text)),
        processor=_number(_PROCESSOR.search(text)),
        generation=_number(_PCIE_GENERATION.search(text)),
        lanes=lanes,
        shape_lanes=shape,
        form=None if _NOT_A_SLOT.search(text) else _form(text),
        chipset=bool(re.search(r"\bPCH\b|CHIPSET", text)),
        not_a_slot=bool(_NOT_A_SLOT.search(text)),
        bay=bool(_A_BAY.search(text) and not _ANY_SLOT.search(text)),
        mezzanine=bool(_MEZZANINE.match(text)),
        slot_word=bool(_A_CARD_SLOT.search(text) and not _A_BAY.search(text)),
    )


def _number(found: re.Match[str] | None) -> int | None:
    return next((int(group) for group in found.groups() if group), None) if found else None


def _lanes(found: re.Match[str] | None) -> int | None:
    number = _number(found)
    return number if number in _LANES else None


def _form(text: str) -> str | None:
    """The form the words name; only where they leave no doubt."""
    return next((form for words, form in _FORMS if words.search(text)), None)
