"""
What a link carries for data, in MB/s (10^6 bytes) one direction: one model for every bus.

    usable = encoded x payload / (payload + overhead) x 0.985

The encoded rate is the line's without its code bits (pcie.py, storage.py). Data goes in packets:
each has so many bytes of payload and takes the time of so many more for its header, its checksum
and what both ends say to one another in between. What is left of the time for keeping the link up
is the last factor.

A PCIe system settles on a payload of 256 or 512 bytes, and nobody can tell which before it runs.
The rates of drives on sale lie between the two (tests/standards/test_rates.py). Plans reckon with
256.
"""

from functools import cache
from typing import NamedTuple

from slotfit.standards import pcie, storage
from slotfit.standards.source import FROM_MEMORY, READ, WORKED_OUT, Source

UPKEEP_PER_MILLE = 985
"""Of a thousand bytes' time what skip symbols, credits and acknowledgements leave."""

UPKEEP_SOURCE = Source("", "fitted to published rates of drives, documents not kept", WORKED_OUT)


class Packet(NamedTuple):
    """What goes at once: bytes of data, and the bytes' time that it takes beside them."""

    payload_bytes: int
    overhead_bytes: int
    source: Source


PACKETS: dict[str, Packet] = {
    # Framing, sequence number and checksum (8) and a four-word header (16), as for a write.
    "pcie": Packet(
        256,
        24,
        Source(
            "Understanding PCIe Performance for End Host Networking (SIGCOMM 2018)",
            "model/pcie.py",
            READ,
        ),
    ),
    # A data frame of 8 KiB; 16 bytes frame it, the rest is the handshake before and after it. The
    # time of the handshake is fitted: 0.55 to 0.56 GB/s are published of SATA-3.
    "sata": Packet(8192, 512, Source("", "frame sizes; handshake fitted", FROM_MEMORY)),
    # A data frame of 1 KiB; 36 bytes frame it, the rest is credits, answers and connections. Their
    # time is fitted: 1.05 to 1.1 GB/s a lane are published of SAS-3.
    "sas": Packet(1024, 96, Source("", "frame sizes; the rest fitted", FROM_MEMORY)),
}
"""By bus. Of USB nothing is reckoned."""

LARGE_PAYLOAD_BYTES = 512
"""The larger payload of PCIe that systems settle on; common practice, no source."""


def encoded_mb_s(bus: str, generation: int, lanes: int) -> int:
    """The rate after line encoding. KeyError for a bus or generation that is not known."""
    if bus == "pcie":
        return pcie.lane_mb_s(generation, lanes)
    return storage.lane_mb_s(f"{bus}-{generation}", lanes)


@cache
def usable_mb_s(bus: str, generation: int, lanes: int, payload_bytes: int | None = None) -> int:
    """
    What is left for data, rounded down; `payload_bytes`: other than the usual payload.

    For PCIe 6 and 7 the packet model's own authors call their figures guesses.

    >>> usable_mb_s("pcie", 3, 4), usable_mb_s("pcie", 3, 4, LARGE_PAYLOAD_BYTES)
    (3546, 3705)
    >>> usable_mb_s("sata", 3, 1), usable_mb_s("sas", 3, 1)
    (556, 1080)
    """
    packet = PACKETS[bus]
    payload = payload_bytes or packet.payload_bytes
    bits = encoded_mb_s(bus, generation, lanes) * payload * UPKEEP_PER_MILLE
    return bits // ((payload + packet.overhead_bytes) * 1000)
