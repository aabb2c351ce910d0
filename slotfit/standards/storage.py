"""SATA and SAS rates, in MB/s (10^6 bytes) one direction."""

from typing import NamedTuple

from slotfit.standards.source import AS_QUOTED, READ, Source

TECHNOLOGY_BRIEF = Source("SAS technology brief", "p. 5", AS_QUOTED)
SAS_TABLE = Source("", "published table of SAS rates", AS_QUOTED)
LINUX_SAS = Source("Linux 6.12 drivers/scsi/scsi_transport_sas.c", "sas_linkspeed_names", READ)


class Rate(NamedTuple):
    """One interface: line rate in Mb/s, payload bits out of line bits, usable MB/s a lane."""

    name: str
    line_mb: int
    payload_bits: int
    line_bits: int
    usable_mb_s: int
    source: Source


RATES: dict[str, Rate] = {
    row.name: row
    for row in (
        Rate("sata-1", 1_500, 8, 10, 150, TECHNOLOGY_BRIEF),
        Rate("sata-2", 3_000, 8, 10, 300, TECHNOLOGY_BRIEF),
        Rate("sata-3", 6_000, 8, 10, 600, TECHNOLOGY_BRIEF),
        Rate("sas-1", 3_000, 8, 10, 300, TECHNOLOGY_BRIEF),
        Rate("sas-2", 6_000, 8, 10, 600, SAS_TABLE),
        Rate("sas-3", 12_000, 8, 10, 1_200, SAS_TABLE),
        Rate("sas-4", 22_500, 128, 150, 2_400, LINUX_SAS),
    )
}
"""SAS-4 is sold as 24G and runs at 22.5 Gb/s; 128 of its 150 line bits are data."""


def usable_mb_s(interface: str, lanes: int = 1) -> int:
    """
    MB/s a port of that many lanes carries. KeyError for an interface not in RATES.

    >>> usable_mb_s("sas-3", 8)
    9600
    """
    return RATES[interface].usable_mb_s * lanes
