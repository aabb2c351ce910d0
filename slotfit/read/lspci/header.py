"""
The line that starts a device: address, class, name, and with -n or -nn the numbers.

All of `00:1f.2 SATA controller: N (rev 05)`, `0000:00:1f.2 SATA controller [0106]: N [8086:2822]`,
`00:1f.2 0106: 8086:2822`, `05:01.0 Class 0604: Device 10b5:9716`, and a header glued to the end of
an error message.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from slotfit.read.seen import PciAddress
from slotfit.standards.pci_regs import CLASS_OF_NAME

_ADDRESS = r"(?:[0-9a-f]{4,8}:)?[0-9a-f]{1,2}:[0-9a-f]{2}\.[0-7]"
_HEADER = re.compile(rf"({_ADDRESS}) (.+)", re.IGNORECASE)
# A header after other words in the line counts only with a class name of the list behind it.
_GLUED = re.compile(r"((?:[0-9a-f]{4}:)?[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]) ([A-Z3].+)")
_QUOTED = re.compile(rf'({_ADDRESS}) "([^"]*)" "([^"]*)" "([^"]*)"(.*)', re.IGNORECASE)
_PROG_IF = re.compile(r"\s*\(prog-if ([0-9a-f]{2})[^)]*\)")
_REVISION = re.compile(r"\s*\(rev ([0-9a-f]{2})\)")
_CLASS_CODE = re.compile(r"(?:Class )?\[?([0-9a-f]{4})\]?", re.IGNORECASE)
_IDS = re.compile(r"\s*\[?\b([0-9a-f]{4}):([0-9a-f]{4})\]?", re.IGNORECASE)
_BRACKETED_IDS = re.compile(r"\s*\[([0-9a-f]{4}):([0-9a-f]{4})\]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Header:
    """What the first line of a device says."""

    address: PciAddress
    class_name: str | None
    class_code: int | None
    name: str | None
    ids: tuple[int, int] | None
    revision: int | None
    prog_if: int | None


def header_of(text: str) -> Header | None:
    """The header this line holds; None if it holds none."""
    found = _HEADER.match(text)
    if found:
        return _header(*found.groups()) or _quoted(text)
    # Cheap test first: nearly no line of the body has such a dot and colon pair.
    glued = _GLUED.search(text) if "." in text and text.count(":") > 1 else None
    if glued:
        header = _header(*glued.groups())
        if header and header.class_name and header.class_name.lower() in CLASS_OF_NAME:
            return header
    return None


def _header(address_text: str, rest: str) -> Header | None:
    address = PciAddress.read(address_text)
    class_text, colon, name = rest.partition(": ")
    if address is None or not (colon or rest.endswith(":")):
        return None
    class_name, code = _class(class_text.rstrip(":"))
    if class_name is None and code is None:
        return None
    prog_if, revision = _PROG_IF.search(name), _REVISION.search(name)
    name = _REVISION.sub("", _PROG_IF.sub("", name)).strip()
    ids = _BRACKETED_IDS.search(name) or _IDS.search(name)
    name = _BRACKETED_IDS.sub("", name).strip()
    return Header(
        address,
        class_name,
        code,
        name or None,
        (int(ids.group(1), 16), int(ids.group(2), 16)) if ids else None,
        int(revision.group(1), 16) if revision else None,
        int(prog_if.group(1), 16) if prog_if else None,
    )


def _class(text: str) -> tuple[str | None, int | None]:
    """Name and code of the class; both None if the text cannot be one."""
    bare = _CLASS_CODE.fullmatch(text)
    if bare:
        return None, int(bare.group(1), 16)
    name, bracket, code = text.rpartition(" [")
    if bracket and _CLASS_CODE.fullmatch(code.rstrip("]")):
        return name, int(code.rstrip("]"), 16)
    if not text[:1].isalpha() and not text[:1].isdigit():
        return None, None
    if len(text) > 80:
        return None, None
    return text, CLASS_OF_NAME.get(text.lower())


def _quoted(text: str) -> Header | None:
    """The machine-readable form, -mm: quoted class, vendor, device."""
    found = _QUOTED.match(text)
    address = PciAddress.read(found.group(1)) if found else None
    if not found or not address:
        return None
    class_text, code = _class(found.group(2))
    vendor, device = found.group(3), found.group(4)
    pair = [re.search(r"\b([0-9a-f]{4})\]?$", part) for part in (vendor, device)]
    ids = (int(pair[0].group(1), 16), int(pair[1].group(1), 16)) if pair[0] and pair[1] else None
    revision = re.search(r"-r([0-9a-f]{2})", found.group(5))
    return Header(
        address,
        class_text,
        code,
        f"{vendor} {device}".strip() or None,
        ids,
        int(revision.group(1), 16) if revision else None,
        None,
    )
