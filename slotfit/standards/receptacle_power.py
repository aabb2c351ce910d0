"""Watts that a form lets a part draw from its receptacle, where the board says nothing."""

from typing import NamedTuple

from slotfit.standards.m2 import DRIVE_POWER_SOURCE, DRIVE_POWER_W
from slotfit.standards.source import AS_QUOTED, FROM_MEMORY, Source


class Promise(NamedTuple):
    """Watts that any receptacle of a form supplies."""

    form: str
    power_w: float
    source: Source


_OCP = Source("OCP NIC 3.0", "3.9, smallest power envelope", FROM_MEMORY)

PROMISES: dict[str, Promise] = {
    row.form: row
    for row in (
        Promise("m2-m", DRIVE_POWER_W, DRIVE_POWER_SOURCE),
        Promise("u2", 25, Source("drive maker's page on E1", "25 W reliable limit", AS_QUOTED)),
        Promise("u3", 25, Source("SFF-TA-1001", "the connector of SFF-8639", FROM_MEMORY)),
        Promise("e1s", 12, Source("SFF-TA-1006", "thinnest module, 5.9 mm", AS_QUOTED)),
        Promise("e1l", 25, Source("SFF-TA-1007", "9.5 mm", AS_QUOTED)),
        Promise("e3s", 25, Source("SFF-TA-1008", "7.5 mm", FROM_MEMORY)),
        Promise("e3l", 40, Source("SFF-TA-1008", "7.5 mm", FROM_MEMORY)),
        Promise("ocp3-sff", 15, _OCP),
        Promise("ocp3-lff", 15, _OCP),
    )
}
"""Card edge slots are in `cem.SLOT_POWER`: there the card's class counts. Other forms: nothing."""


def promised_w(form: str) -> float:
    """
    Watts any receptacle of the form supplies; 0 where no promise is known.

    >>> promised_w("u2"), promised_w("mcio-8")
    (25, 0.0)
    """
    row = PROMISES.get(form)
    return row.power_w if row else 0.0
