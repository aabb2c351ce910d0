"""Addresses, places in a source, and notes on what is odd there."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

# Linux 6.12 drivers/pci/probe.c: "%04x:%02x:%02x.%d". The domain has at least four digits; domains
# made by volume management controllers start at 10000h (drivers/pci/controller/vmd.c).
_ADDRESS = re.compile(
    r"(?:([0-9a-fA-F]{1,8}):)?([0-9a-fA-F]{1,2}):([0-9a-fA-F]{1,2})(?:\.([0-7]))?"
)


@dataclass(frozen=True, slots=True, order=True)
class PciAddress:
    """
    Domain, bus, device, function of one PCI function; sorts the way the bus is numbered.

    >>> str(PciAddress.read("65:00.0")), str(PciAddress.read("10000:e1:00.0"))
    ('0000:65:00.0', '10000:e1:00.0')
    """

    domain: int
    bus: int
    device: int
    function: int

    @classmethod
    def read(cls, text: str) -> PciAddress | None:
        """The address `text` spells, function 0 if it names none; None if it spells none."""
        found = _ADDRESS.fullmatch(text.strip())
        if not found:
            return None
        domain, bus, device, function = found.groups()
        if int(device, 16) > 0x1F:
            return None
        return cls(int(domain or "0", 16), int(bus, 16), int(device, 16), int(function or "0"))

    @property
    def device_function(self) -> tuple[int, int]:
        """Device and function alone."""
        return self.device, self.function

    def __str__(self) -> str:
        return f"{self.domain:04x}:{self.bus:02x}:{self.device:02x}.{self.function}"


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """
    A place in a source: a line of a text, or an offset in bytes and a record's handle.

    >>> str(Where("lspci.txt", line=12)), str(Where("DMI", offset=32, handle=16))
    ('lspci.txt:12', 'DMI+0x20 (handle 0x0010)')
    """

    file: str
    line: int | None = None
    offset: int | None = None
    handle: int | None = None

    def __str__(self) -> str:
        text = self.file
        if self.line is not None:
            text += f":{self.line}"
        if self.offset is not None:
            text += f"+0x{self.offset:x}"
        return text if self.handle is None else f"{text} (handle 0x{self.handle:04x})"


@dataclass(frozen=True, slots=True)
class Note:
    """
    Something odd in a source, for people.

    `kind` is one of: `odd` (an unusual or impossible value), `damaged` (text or table is broken
    here), `not-read` (it exists and was refused: rights, limits), `cut` (a limit of ours).
    """

    kind: str
    text: str
    where: Where


@dataclass(slots=True)
class Notes:
    """Collects notes while a parser runs; at most `limit`, so that a hostile file stays small."""

    file: str
    limit: int = 200
    found: list[Note] = field(default_factory=list)

    def add(self, kind: str, text: str, where: Where | None = None) -> None:
        """Add one; beyond the limit only the last says that there were more."""
        if len(self.found) < self.limit:
            self.found.append(Note(kind, text, where or Where(self.file)))
        elif len(self.found) == self.limit:
            self.found.append(Note("cut", "more oddities were found than shown", Where(self.file)))

    def done(self) -> tuple[Note, ...]:
        """All that was noted, in order."""
        return tuple(self.found)
