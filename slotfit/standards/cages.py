"""Cages and jacks for network cables: which module or cable goes into which."""

from typing import NamedTuple

from slotfit.standards.source import FROM_MEMORY, Source


class Cage(NamedTuple):
    """One cage or jack; `also` are the plugs of other names that it takes."""

    name: str
    title: str
    also: tuple[str, ...]
    source: Source
    most_m: float | None = None
    """How far a cable reaches without a module; None where a module or cable of its own decides."""


_ROWS = (
    Cage("sfp", "SFP cage", ("sfp-plus", "sfp28"), Source("INF-8074, SFF-8432", "", FROM_MEMORY)),
    Cage("sfp-plus", "SFP+ cage", ("sfp", "sfp28"), Source("SFF-8431, -8432", "", FROM_MEMORY)),
    Cage("sfp28", "SFP28 cage", ("sfp", "sfp-plus"), Source("SFF-8402, -8432", "", FROM_MEMORY)),
    Cage("qsfp-plus", "QSFP+ cage", ("qsfp28", "qsfp56"), Source("SFF-8436", "", FROM_MEMORY)),
    Cage("qsfp28", "QSFP28 cage", ("qsfp-plus", "qsfp56"), Source("SFF-8665", "", FROM_MEMORY)),
    Cage("qsfp56", "QSFP56 cage", ("qsfp-plus", "qsfp28"), Source("SFF-8665", "", FROM_MEMORY)),
    Cage(
        "qsfp-dd",
        "QSFP-DD cage",
        ("qsfp-plus", "qsfp28", "qsfp56"),
        Source("QSFP-DD hardware specification", "cage and plug pairs", FROM_MEMORY),
    ),
    Cage("osfp", "OSFP cage", (), Source("OSFP module specification", "", FROM_MEMORY)),
    Cage(
        "rj45",
        "8-contact jack for twisted pairs",
        (),
        Source("IEEE 802.3", "100 m of twisted pairs in all", FROM_MEMORY),
        100,
    ),
)

CAGES: dict[str, Cage] = {row.name: row for row in _ROWS}
"""Every cage by name; also the plug of the module or cable that is made for it."""


COPPER_W = 0.5
"""Passive copper cables of one card draw no more together (common practice, no source)."""


def goes_into(plug: str, cage: str) -> bool:
    """
    Whether a module or cable can be pushed in; whether it then runs is for their rates to say.

    >>> goes_into("sfp-plus", "sfp28"), goes_into("qsfp28", "sfp28"), goes_into("qsfp-dd", "qsfp28")
    (True, False, False)
    """
    return plug == cage or plug in CAGES[cage].also
