"""Where the readers' words come together: sources opened, functions merged, slots joined."""

from slotfit.read.merge.join import join
from slotfit.read.merge.machine import MachineSeen
from slotfit.read.merge.sources import readings_of

__all__ = ["MachineSeen", "join", "readings_of"]
