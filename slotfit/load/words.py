"""
What people call things that are written otherwise here.

Manuals and habit have many words for one thing; a message names the one that is meant.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from difflib import get_close_matches
from typing import Any

LONGEST_QUOTE = 40
FEW = 12
"""Names; a longer list is no help in a message."""


def quote(written: Any) -> str:
    """What was written, short enough for a line."""
    if isinstance(written, dict):
        return "a mapping"
    if isinstance(written, list | tuple):
        return "a list"
    if written is None:
        return "nothing"
    if isinstance(written, bool):
        return "true" if written else "false"
    text = str(written)
    short = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "..."
    return " ".join(short.split()) or '""'


def listed(names: Iterable[str], last: str = "or") -> str:
    """
    Names as a sentence lists them.

    >>> listed(["a", "b", "c"]), listed(["a"])
    ('a, b or c', 'a')
    """
    *before, final = [*names] or ["none"]
    return f"{', '.join(before)} {last} {final}" if before else final


def closest(name: str, known: Iterable[str]) -> str | None:
    """The known name that `name` most likely stands for."""
    by_lower = {one.lower(): one for one in sorted(known)}
    found = get_close_matches(name.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def shape(name: str) -> str:
    """A name without its figures: slot9 is no slip of the pen for slot2."""
    return re.sub(r"\d", "#", name)


def close_to(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?`, or nothing."""
    found = closest(name, known)
    return f"; did you mean {found}?" if found else ""


def close_or_search(name: str, known: Iterable[str]) -> str:
    """What a catalog id may stand for; else how to list what is like it, or all there is."""
    names = sorted(known)
    likely = close_to(name, names)
    if likely:
        return likely
    if name and any(name.lower() in one for one in names):
        return f"; `slotfit catalog search {quote(name)}` lists what is like it"
    return "; `slotfit catalog list` has every id"


def known_names(name: str, known: Iterable[str]) -> str:
    """What to write instead of a name that is not known: the likeliest, or all if few."""
    names = sorted(known)
    likely = closest(name, names)
    is_slip = likely is not None and shape(likely.lower()) != shape(name.lower())
    if names and not is_slip and len(names) <= FEW:
        return f"; known: {listed(names, 'and')}"
    return f"; did you mean {likely}?" if likely else ""


KEYS: dict[str, tuple[str, ...]] = {
    "amount": ("count",),
    "bifurcation": ("splits",),
    "bifurcations": ("splits",),
    "case": ("chassis",),
    "chipset": ("hubs",),
    "connector": ("plug", "form"),
    "cpu": ("processors", "from", "near"),
    "cpus": ("processors",),
    "divisions": ("splits",),
    "electrical": ("lanes",),
    "gen": ("generation",),
    "interface": ("form", "plug"),
    "lengths": ("drive_lengths",),
    "m2_lengths": ("drive_lengths",),
    "mainboard": ("board",),
    "mechanical": ("width",),
    "motherboard": ("board",),
    "number": ("count",),
    "numa": ("near", "from"),
    "parent": ("from",),
    "pch": ("hubs",),
    "pcie": ("generation",),
    "physical": ("width",),
    "psu": ("power_supply",),
    "quantity": ("count",),
    "qty": ("count",),
    "sata_ports": ("receptacles",),
    "sizes": ("drive_lengths", "sizes"),
    "slot": ("pin", "row"),
    "slots": ("receptacles", "thickness", "openings"),
    "socket": ("form",),
    "sockets": ("receptacles", "processors"),
    "source": ("sources", "from"),
    "speed": ("generation",),
    "split": ("splits",),
    "supply": ("power_supply",),
    "tdp": ("power",),
    "type": ("form", "class"),
    "version": ("generation",),
    "wattage": ("watts", "power_w", "power"),
    "wired": ("lanes",),
}
"""A word -> the keys it may stand for; the first that can be written there counts."""

SAID: dict[str, tuple[str, str]] = {
    "key": ("form", "the key is part of the form: m2-m, m2-b, m2-e or m2-a"),
    "optional": ("required", "write `required: false`"),
    "shares": ("lane_groups", "lanes that receptacles share are a lane group: see `lane_groups`"),
    "shared_with": ("splits", "what shares lanes is named in the board's `lane_groups`"),
    "shares_with": ("splits", "what shares lanes is named in the board's `lane_groups`"),
}
"""A word -> a key that can be written where it makes sense, and what to say of it."""


def key_hint(name: str, keys: Collection[str]) -> str | None:
    """
    What to write instead of a key that is a word of the trade; None for any other.

    >>> key_hint("bifurcation", ["splits", "isolation"])
    'write `splits`'
    """
    word = re.sub(r"[\s-]+", "_", name.lower())
    if word in SAID and SAID[word][0] in keys:
        return SAID[word][1]
    meant = next((key for key in KEYS.get(word, ()) if key in keys), None)
    return f"write `{meant}`" if meant else None


FORM_WORDS = (
    (r"(pci[- ]?e(xpress)?|peg)?[ _-]*x?(1|2|4|8|16)( ?slot)?", "write cem, and `width: {3}`"),
    (r"(pci[- ]?e(xpress)?|peg|slot|card edge)( slot)?", "write cem, and its length as `width`"),
    (r"riser.*", "write cem and its `width`: a riser goes in as a card does"),
    (r"m\.?2|ngff", "write m2-m (key M), m2-b, m2-e or m2-a"),
    (r"m\.?2.*([mbea])( key)?|key ([mbea])", "write m2-m (key M), m2-b, m2-e or m2-a"),
    (r"u\.2|sff-?8639", "write u2"),
    (r"u\.3|sff-?ta-?1001", "write u3"),
    (r"ocp.*", "write ocp3-sff, or ocp3-lff for the large one"),
    (r"slim ?(sas|line).*|sff-?8654.*", "write slimsas-8, or slimsas-4 for the small one"),
    (r"mcio.*", "write mcio-8, mcio-4 or mcio-16"),
    (r"oculink.*|sff-?8611", "write oculink-4"),
    (r"mini[- ]?sas[- ]?hd.*", "write sff-8643 (internal) or sff-8644 (external)"),
    (r"mini[- ]?sas.*", "write sff-8087, or sff-8643 for the HD kind"),
    (r"usb.*", "write usb-header"),
    (r"sata.+", "write sata"),
    (r"pci|pci-?x|agp|e?isa|legacy.*", "no such slot is planned here: on a board write opening"),
    (
        r"m-?sata|mini[- ]?pci.*|mpcie",
        "none is planned here: leave it out, say so in `about`",
    ),
)
"""What is written as a form -> what to write."""


def form_hint(written: Any) -> str | None:
    """
    What to write instead of a form in the words of a manual; None for any other word.

    >>> form_hint("PCIe x16")
    'write cem, and `width: 16`'
    """
    for pattern, hint in FORM_WORDS:
        if isinstance(written, str) and (found := re.fullmatch(pattern, written.lower().strip())):
            return hint.format(None, *found.groups())
    return None


RATE = re.compile(r"([\d.]+)\s*([kMGT]?)(bit/s|bps|b/s|bit|b|B/s|B)", re.IGNORECASE)
SCALE = {"k": 1e-6, "m": 1e-3, "g": 1.0, "t": 1e3, "": 1e-9}


def rate_hint(written: Any) -> str | None:
    """
    Gigabytes per second for a rate with its unit; None for anything else.

    >>> rate_hint("25 Gb/s"), rate_hint("550 MB/s")
    ('write 3.125', 'write 0.55')
    """
    found = RATE.fullmatch(written.strip()) if isinstance(written, str) else None
    if found is None:
        return None
    figure, scale, unit = found.groups()
    is_bytes = unit.startswith("B") and not unit.lower().startswith(("bit", "bps"))
    try:
        value = float(figure) * SCALE[scale.lower()] / (1 if is_bytes else 8)
    except ValueError:
        return None
    return f"write {value:.6g}"


def split_hint(written: Any) -> str | None:
    """
    A division written with other signs; None for anything else.

    >>> split_hint("x8/x8"), split_hint("4x4x4x4")
    ('write x8x8', 'write x4x4x4x4')
    >>> split_hint("sata")
    'a socket that takes SATA as well is a lane group: see `lane_groups`'
    """
    text = written.lower().strip() if isinstance(written, str) else ""
    if "sata" in text:
        return "a socket that takes SATA as well is a lane group: see `lane_groups`"
    widths = re.findall(r"\d+", text)
    if not widths or re.sub(r"[\dx+/,\s-]", "", text):
        return None
    return f"write {''.join(f'x{width}' for width in widths)}"
