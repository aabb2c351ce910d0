"""What to mind at the open case; each applies by what the plan holds."""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat


class Caution(NamedTuple):
    """One caution, its source, and when it applies."""

    text: str
    source: str
    applies: Callable[[Problem, list[Item]], bool]


def always(problem: Problem, items: list[Item]) -> bool:  # noqa: ARG001 - one shape for all
    """Every time."""
    return True


def drives_move(problem: Problem, items: list[Item]) -> bool:  # noqa: ARG001
    """A drive, or what drives hang on, is among the parts."""
    holds_data = {"drive", "carrier", "host-bus-adapter", "sas-expander"}
    return any(item.part.part_class in holds_data for item in items)


def plugs_used(problem: Problem, items: list[Item]) -> bool:  # noqa: ARG001
    """A part has plugs of its own."""
    return any(item.part.power and item.part.power.aux for item in items)


def passive_cards(problem: Problem, items: list[Item]) -> bool:  # noqa: ARG001
    """A passive card that needs moving air is among the parts."""
    return any(item.part.cooling == "passive" and item.part.airflow_lfm for item in items)


def heavy_cards(problem: Problem, items: list[Item]) -> bool:  # noqa: ARG001
    """A card of a kilogram or more is among the parts."""
    return any((item.part.weight_kg or 0) >= 1 for item in items)


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "Shut the machine down, switch it off and pull every power cord before you open it; wait "
        "until the board's standby light is out.",
        "server service guides, as quoted",
        always,
    ),
    Caution(
        "Wear a grounded wrist strap, or touch bare chassis metal before you touch a part; static "
        "kills parts unseen.",
        "server service guides, as quoted",
        always,
    ),
    Caution(
        "The manuals of the board, the chassis and each card come first; where they say otherwise, "
        "follow them. Work on mains wiring is for licensed people under the local electrical code.",
        "common practice, no source",
        always,
    ),
    Caution(
        "Back up, and test the backup, before a drive or its adapter moves; keep the drives of an "
        "array together and note their order.",
        "common practice, no source",
        drives_move,
    ),
    Caution(
        "Use only the modular power cables that came with this very supply: the plugs at the "
        "supply's end are not standardised. Processor (EPS) and PCIe plugs look alike and are "
        "wired differently.",
        "power supply makers' notes, as quoted",
        plugs_used,
    ),
    Caution(
        "Passive cards need the air they were made for: fit blanking plates, ducts and baffles "
        "before you put the card under load, and watch its temperature.",
        "card data sheets, as quoted",
        passive_cards,
    ),
    Caution(
        "Heavy cards need their end support, and come out before the machine is carried.",
        "common practice, no source",
        heavy_cards,
    ),
    Caution(
        "Take a photograph and label cables and slots before you pull anything; device names and "
        "pass-through settings may change when cards move.",
        "common practice, no source",
        always,
    ),
)


def cautions_for(problem: Problem, seats: Iterable[Seat]) -> tuple[str, ...]:
    """The cautions that apply where these parts go in."""
    items = [problem.item[seat.item] for seat in seats]
    return tuple(caution.text for caution in CAUTIONS if caution.applies(problem, items))
