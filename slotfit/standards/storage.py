"""SATA and SAS links: rates after line encoding, in MB/s (10^6 bytes) one direction."""

from typing import NamedTuple

from slotfit.standards.source import AS_QUOTED, READ, Source

TECHNOLOGY_BRIEF = Source("SAS technology brief", "p. 5", AS_QUOTED)
SAS_TABLE = Source("", "published table of SAS rates", AS_QUOTED)
LINUX_SAS = Source("Linux 6.12 drivers/scsi/scsi_transport_sas.c", "sas_linkspeed_names", READ)


DISK_BUSES = ("sata", "sas")
"""Buses of drives that do not answer on PCI Express themselves."""


class Rate(NamedTuple):
    """One interface: line rate in Mb/s, and payload bits out of line bits."""

    name: str
    line_mb: int
    payload_bits: int
    line_bits: int
    source: Source


RATES: dict[str, Rate] = {
    row.name: row
    for row in (
        Rate("sata-1", 1_500, 8, 10, TECHNOLOGY_BRIEF),
        Rate("sata-2", 3_000, 8, 10, TECHNOLOGY_BRIEF),
        Rate("sata-3", 6_000, 8, 10, TECHNOLOGY_BRIEF),
        Rate("sas-1", 3_000, 8, 10, TECHNOLOGY_BRIEF),
        Rate("sas-2", 6_000, 8, 10, SAS_TABLE),
        Rate("sas-3", 12_000, 8, 10, SAS_TABLE),
        Rate("sas-4", 22_500, 128, 150, LINUX_SAS),
    )
}
"""SAS-4 is sold as 24G and runs at 22.5 Gb/s; 128 of its 150 line bits are data."""


def lane_mb_s(interface: str, lanes: int = 1) -> int:
    """
    Encoded rate of a port of that many lanes. KeyError for an interface not in RATES.

    >>> lane_mb_s("sas-3", 8)
    9600
    """
    row = RATES[interface]
    return row.line_mb * row.payload_bits * lanes // (row.line_bits * 8)
