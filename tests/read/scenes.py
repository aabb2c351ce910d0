"""Invented machines joined from register dumps and a table, and short ways to ask about them."""

from __future__ import annotations

from typing import Any

from slotfit.read import smbios
from slotfit.read.join import join
from slotfit.read.lspci_other import parse_hex
from slotfit.read.machine import MachineSeen, ReceptacleSeen
from slotfit.read.seen import PciAddress
from tests.read.machines import endpoint, port, text_of
from tests.read.registers import Function
from tests.read.tables import dump

NETWORK, ACCELERATOR, HOST = 0x0200, 0x0302, 0x0600


def machine(functions: list[Function], *structures: bytes) -> MachineSeen:
    readings = [parse_hex(text_of(functions), "bus")]
    if structures:
        readings.append(smbios.parse(dump(*structures), "table"))
    return join(readings)


def by_label(seen: MachineSeen) -> dict[str, ReceptacleSeen]:
    return {receptacle.label: receptacle for receptacle in seen.receptacles}


def at(text: str) -> dict[str, Any]:
    """The record's address fields for an address as firmware writes it."""
    address = PciAddress.read(text)
    assert address is not None
    return {
        "segment": address.domain,
        "bus": address.bus,
        "devfn": address.device << 3 | address.function,
    }


# Two ports: 00:01.1 with an x8 card below, 40:03.1 with another; a host bridge each.
BUS = [
    Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
    port("00:01.1", 1, lanes=8),
    endpoint("01:00.0", kind=NETWORK, lanes=8),
    endpoint("01:00.1", kind=NETWORK, lanes=8),
    port("00:1c.5", 2, lanes=1),
    Function(address="40:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
    port("40:03.1", 0x41),
    endpoint("41:00.0", kind=ACCELERATOR, lanes=16),
]
