"""What the designation of a slot says: the text that stands beside it on the board."""

from __future__ import annotations

import re
from dataclasses import dataclass

from slotfit.read.seen import whole_number

_IN = re.compile(r"\(?\bIN ?X(\d+)|\(IN ?X(\d+)")
_X = re.compile(r"(?:(?<![A-Z0-9/._])|(?<=SLOT\d\d_)|(?<=SLOT\d_))X(\d{1,2})(?![\d/])")
# One word, as in PCIEX16_2 or PCIE16_1: a name made from the connector, whatever is wired to it.
_NAMED_AFTER_SHAPE = re.compile(r"PCI-?E[_-]?X(\d{1,2})(?!\d)|^PCI-?E(1|4|8|16)_\d")
# "PCIE3" alone is a slot's number, and so is "PCI-Express 5 X1"; with ".0" or "GEN" it is a
# generation, and beside another number of the slot: "SLOT2 PCIe3 x16".
_PCIE_GENERATION = re.compile(
    r"PCI[ -]?E(?:XPRESS)?[ ._-]?(?:GEN ?)?([1-7])\.0|\bGEN ?([1-7])(?:\.0)?\b|\(G([1-7])\)"
)
_BESIDE_A_NUMBER = re.compile(r"PCI[ -]?E(?:XPRESS)?[ _-]?([1-7])[ _]X\d")
_PROCESSOR = re.compile(r"(?<![A-Z])(?:CPU|PROC|SOCKET) ?[_-]?(\d)(?!\d)|^P(\d)[_ ]")
_SLOT = re.compile(
    r"(?<![A-Z])SLOT[ _#-]{0,2}(\d{1,3})(?![.\d])"
    r"|^PCI-?E(?:XPRESS)?[ _#-]?(\d{1,2})(?:_[A-D])?(?![_.\d X])"
)
_SAID_SLOT = re.compile(r"(?<![A-Z])SLOT[ _#-]{0,2}\d")
_NOT_A_SLOT = re.compile(
    r"ON-?BOARD|THUNDERBOLT|WIFI|WI-FI|WLAN|\bLOM\b|BACKPLANE|DC-SCM|\bINTEGRATED\b|\bETHERNET\b"
)
# A mezzanine, of which only "OCP 3.0" says the kind; "OCP1" is the first one.
_MEZZANINE = re.compile(r"\W*(?:IO )?(?:OCP(?! ?3\.?0)|MEZZ)")
# What only a slot for cards is called, and what only a drive's place is.
_A_CARD_SLOT = re.compile(r"RISER|PCI-?EX?16|PCIEX\d|\bSLOT ?_?[A-Z]\b")
_ANY_SLOT = re.compile(r"SLOT|PCI|RISER|PEG")
_A_BAY = re.compile(r"\bBAY|SSD|NVME|\bU\.2|\bE[13]\.?[SL]")
_IN_A_BAY = re.compile(r"\bIN BAY\b")
_FOR_CARDS = re.compile(r"(?<![A-Z])SLOT|PCI[ -]?E|\bPEG\b|RISER")
_FOR_OTHERS = re.compile(r"DIMM|M\.2|M2_|OCP|MEZZ|GENZ")
_PCI_EXPRESS = re.compile(r"PCI[ -]?E(?!ISA)|\bPEG\b")
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
        (r"OCU-?LINK|\bOCU[ _-]?\d", "oculink"),
        (r"SLIM ?SAS|SL_?SAS|SLIM-?LIN|\bSLIM[ _-]?\d", "slimsas"),
        (r"\bGEN-?Z[ _-]?\d", "gen-z"),
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
    lanes = _one_width(_IN.sub("", text))
    if shape is not None and lanes is not None and lanes > shape:
        lanes = shape = None
    return Hints(
        number=_number(_SLOT.search(text)),
        processor=_number(_PROCESSOR.search(text)),
        generation=_generation(text),
        lanes=lanes,
        shape_lanes=shape,
        form=None if _NOT_A_SLOT.search(text) else _form(text),
        chipset=bool(re.search(r"\bPCH\b|CHIPSET", text)),
        not_a_slot=bool(_NOT_A_SLOT.search(text)),
        bay=bool(_IN_A_BAY.search(text) or (_A_BAY.search(text) and not _ANY_SLOT.search(text))),
        mezzanine=bool(_MEZZANINE.match(text)),
        slot_word=bool(_A_CARD_SLOT.search(text) and not _A_BAY.search(text)),
    )


def names_slot_for_cards(designation: str | None) -> bool:
    """Whether it is called a slot, or PCI Express, and nothing that takes no cards."""
    text = (designation or "").upper()
    return bool(_FOR_CARDS.search(text)) and not _FOR_OTHERS.search(text)


# Where connectors are counted by a grid on the board; a reference design's names, which 22,862 of
# 162,853 public tables have, on boards of every make.
_REFERENCE = re.compile(r"J\d[A-H]\d")


def is_of_reference_design(designation: str | None) -> bool:
    """
    Whether the name is one that makers of boards take over with their firmware.

    >>> is_of_reference_design("J6B2"), is_of_reference_design("J6009")
    (True, False)
    """
    return bool(_REFERENCE.fullmatch((designation or "").strip().upper()))


def names_pci_express(designation: str | None) -> bool:
    """Whether it is called PCI Express."""
    return bool(_PCI_EXPRESS.search((designation or "").upper()))


def _one_width(text: str) -> int | None:
    """The width that is said; of several, as of a riser and its slot, nobody knows whose."""
    said = {number for found in _X.finditer(text) if (number := _lanes(found))}
    return said.pop() if len(said) == 1 else None


def _generation(text: str) -> int | None:
    """The newest that is named: `Gen1/Gen2/Gen3` is all three."""
    said = [_number(found) for found in _PCIE_GENERATION.finditer(text)]
    if not said and _SAID_SLOT.search(text):
        said = [_number(_BESIDE_A_NUMBER.search(text))]
    return max((number for number in said if number), default=None)


def _number(found: re.Match[str] | None) -> int | None:
    groups = found.groups() if found else ()
    return next((whole_number(group) for group in groups if group), None)


def _lanes(found: re.Match[str] | None) -> int | None:
    number = _number(found)
    return number if number in _LANES else None


def _form(text: str) -> str | None:
    """The form the words name; only where they leave no doubt."""
    return next((form for words, form in _FORMS if words.search(text)), None)
