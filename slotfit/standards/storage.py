"""SATA and SAS rates, and what drives typically reach, in MB/s (10^6 bytes) one direction."""

from dataclasses import dataclass

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, READ, Source

TECHNOLOGY_BRIEF = Source("SAS technology brief", "p. 5", AS_QUOTED)
SAS_TABLE = Source("", "published table of SAS rates", AS_QUOTED)
LINUX_SAS = Source("Linux 6.12 drivers/scsi/scsi_transport_sas.c", "sas_linkspeed_names", READ)


@dataclass(frozen=True, slots=True)
class Rate:
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


def kernel_rate_text(interface: str) -> str:
    """The rate as Linux prints it in sysfs: `22.5 Gbit` (LINUX_SAS)."""
    return f"{RATES[interface].line_mb / 1000:.1f} Gbit"


@dataclass(frozen=True, slots=True)
class DriveRate:
    """What a kind of drive typically reaches in sequence, in MB/s: from, to."""

    kind: str
    low_mb_s: int
    high_mb_s: int
    source: Source


_TYPICAL = Source("", "sequential, outer tracks; about half inside", COMMON_PRACTICE)
_FLASH = Source("", "sequential reads", COMMON_PRACTICE)

DRIVE_RATES: dict[str, DriveRate] = {
    row.kind: row
    for row in (
        DriveRate("hdd-7200", 150, 280, _TYPICAL),
        DriveRate("hdd-10k-sas", 180, 270, _TYPICAL),
        DriveRate("hdd-5400", 100, 160, _TYPICAL),
        DriveRate("ssd-sata", 550, 550, _FLASH),
        DriveRate("nvme-gen3-x4", 3_500, 3_500, _FLASH),
        DriveRate("nvme-gen4-x4", 7_000, 7_000, _FLASH),
        DriveRate("nvme-gen5-x4", 14_000, 14_000, _FLASH),
    )
}
"""
Drive makers' figures are for long reads, which do better than `pcie.usable_mb_s` says of its
256-byte writes. Compare them with `pcie.lane_mb_s`, or take 93 % of them.
"""
