"""What to mind at the open case; each applies by what the plan holds."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem

CHAINED = {"sata-power", "molex-4"}
"""Plugs of which several hang on one cable."""

HOLD_DATA = ("drive", "carrier", "host-bus-adapter", "sas-expander")
"""Classes of drives, and of what drives hang on."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution, its source, and the parts for which it applies."""

    text: str
    in_short: str
    source: str
    of: Callable[[PartSpec], bool] | None = None
    """None: it applies whatever goes in."""


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Shut the machine down, switch it off and pull every power cord before you open it; wait "
        "until the board's standby light is out.",
        "power off, cords out",
        "server service guides, as quoted",
    ),
    Caution(
        "Wear a grounded wrist strap, or touch bare chassis metal before you touch a part; static "
        "kills parts unseen.",
        "no static",
        "server service guides, as quoted",
    ),
    Caution(
        "The manuals of the board, the chassis and each card come first; where they say otherwise, "
        "follow them. Work on mains wiring is for licensed people under the local electrical code.",
        "manuals and local codes first",
        "common practice, no source",
    ),
    Caution(
        "Back up, and test the backup, before a drive or its adapter moves; keep the drives of an "
        "array together and note their order.",
        "back up drives",
        "common practice, no source",
        lambda part: part.part_class in HOLD_DATA,
    ),
    Caution(
        "Use only the modular power cables that came with this very supply: the plugs at the "
        "supply's end are not standardised. Processor (EPS) and PCIe plugs look alike and are "
        "wired differently.",
        "own supply's cables only",
        "power supply makers' notes, as quoted",
        lambda part: bool(part.power and (part.power.aux or part.power.aux_away)),
    ),
    Caution(
        "Push a 12V-2x6 plug home until it clicks, and bend its cable no closer than 35 mm from "
        "the plug: one that is not home, or is bent closer, gets hot and melts.",
        "click 12V-2x6 home",
        "common practice, no source",
        lambda part: bool(part.power and "12v-2x6" in part.power.aux),
    ),
    Caution(
        "Take no moulded SATA splitters: they are known to burn. Hang nothing above 54 W on a SATA "
        "plug, and no more than 50 to 60 W on one chain of Molex plugs.",
        "no moulded SATA splitters",
        "common practice, no source; SATA plug from memory",
        lambda part: bool(part.power and CHAINED & {*part.power.aux, *(part.power.aux_away or ())}),
    ),
    Caution(
        "Passive cards need the air they were made for: fit blanking plates, ducts and baffles "
        "before you put the card under load, and watch its temperature.",
        "fit air ducts",
        "card data sheets, as quoted",
        lambda part: part.cooling == "passive" and bool(part.airflow_lfm),
    ),
    Caution(
        "Heavy cards need their end support, and come out before the machine is carried.",
        "support heavy cards",
        "common practice, no source",
        lambda part: (part.weight_kg or 0) >= 1,
    ),
    Caution(
        "Take a photograph and label cables and slots before you pull anything; device names and "
        "pass-through settings may change when cards move.",
        "photograph first",
        "common practice, no source",
    ),
)


WHILE_IT_RUNS = (
    Caution(
        "Before a drive comes out of a running machine take it out of use in the system, see by "
        "its light or its serial number that it is the right one, and wait until it has stopped "
        "spinning.",
        "take a drive out of use before it is pulled",
        "common practice, no source",
    ),
    Caution(
        "Open no cover while a machine runs; what its manual does not call hot-swap is not.",
        "open no cover",
        "common practice, no source",
    ),
)
"""Where parts come and go without switching off."""


def applying(problem: Problem, part_ids: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions that apply where these parts go in."""
    parts = [problem.part[name].spec for name in part_ids]
    return tuple(one for one in CAUTIONS if one.of is None or any(map(one.of, parts)))


def cautions_for(problem: Problem, part_ids: Iterable[str]) -> tuple[str, ...]:
    """The same as sentences."""
    return tuple(one.text for one in applying(problem, part_ids))


def safety(in_short: Iterable[str], when: str = "") -> str:
    """All that apply in one sentence: three lines at most."""
    return f"Safety{when}: {', '.join(in_short)}."
