"""Ethernet line rates and the bandwidth a port needs from its slot."""

from slotfit.standards.source import COMMON_PRACTICE, READ, WORKED_OUT, Source

LINE_RATES_MB: tuple[int, ...] = (
    10, 100, 1_000, 2_500, 5_000, 10_000, 14_000, 20_000, 25_000,
    40_000, 50_000, 56_000, 100_000, 200_000, 400_000, 800_000,
)  # fmt: skip
"""Speeds Linux knows, in Mb/s (megabits)."""
LINE_RATES_SOURCE = Source("Linux 6.12 include/uapi/linux/ethtool.h", "SPEED_*", READ)

NEED_SOURCE = Source("", "line rate / 8, nothing deducted for framing", WORKED_OUT)
ALL_PORTS_SOURCE = Source("", "a card needs the sum of the ports that run", COMMON_PRACTICE)


def need_mb_s(line_rate_gb: float, ports: int = 1) -> int:
    """
    MB/s each way that ports of a line rate in Gb/s need when all run, rounded up.

    >>> need_mb_s(25, ports=2)
    6250
    """
    return -int(-line_rate_gb * 1000 * ports // 8)


def need_gb_s(line_rate_gb: float, ports: int = 1) -> float:
    """GB/s each way that ports of a line rate in Gb/s need when all run, not rounded."""
    return line_rate_gb * ports / 8
