"""Linux /sys, live, copied, or in a bundle."""

from slotfit.read.sysfs.functions import read_sys

__all__ = ["read_sys"]
