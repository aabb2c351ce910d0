"""What `carriers` shows: kinds of carrier for each receptacle, and the drives they show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slotfit.check.carriers import Choice, Slot
from slotfit.model.part import Part
from slotfit.model.problem import Problem
from slotfit.render.check.notes import setting_text
from slotfit.render.check.view import SCHEMA_VERSION
from slotfit.render.names_of import about, board_of, label, socket_name
from slotfit.render.words import segments_text


@dataclass(frozen=True, slots=True)
class CarrierView:
    """One kind of carrier in one receptacle."""

    part: str
    """The best of its kind in the catalog."""
    kind: str
    """How it is wired, its connector, and the sockets such carriers come with."""
    seen: int
    total: int
    word: str
    each_mb_s: int | None
    """What a drive has while the others rest; none if the speed is not known."""
    together_mb_s: int | None
    """What all drives have together where they share a link; none if they share none."""
    setting: str | None


@dataclass(frozen=True, slots=True)
class SlotView:
    """One receptacle."""

    receptacle: str
    label: str
    about: str
    carriers: tuple[CarrierView, ...]


@dataclass(frozen=True, slots=True)
class CarriersView:
    """The whole answer."""

    schema_version: int
    board: str
    board_name: str
    invented: bool
    slots: tuple[SlotView, ...]


def carriers_view_of(machine: Problem, slots: Sequence[Slot]) -> CarriersView:
    """Everything it shows."""
    return CarriersView(
        SCHEMA_VERSION,
        *board_of(machine),
        any(rig.board.invented for rig in machine.rigs),
        tuple(slot_view(slot) for slot in slots),
    )


def slot_view(slot: Slot) -> SlotView:
    """One receptacle."""
    return SlotView(
        slot.site.id,
        label(slot.site),
        about(slot.problem, slot.site),
        tuple(carrier_view(choice) for choice in slot.choices),
    )


def carrier_view(choice: Choice) -> CarrierView:
    """One kind of carrier."""
    outcome = choice.verdict.outcome
    alive = [one for one in outcome.counted if one.alive] if outcome else []
    rates = [one.mb_s for one in alive]
    up = (
        next((one for one in outcome.endpoints if one.kind == "upwards"), None) if outcome else None
    )
    each = None if None in rates else min((rate for rate in rates if rate), default=None)
    shared = up.mb_s if up else None
    return CarrierView(
        part=choice.part.id,
        kind=kind_text(choice),
        seen=len(alive),
        total=outcome.total if outcome else 0,
        word=choice.verdict.word.value,
        each_mb_s=min(each, shared) if each and shared else each,
        together_mb_s=shared,
        setting=setting_text(outcome) if outcome and outcome.change else None,
    )


def kind_text(choice: Choice) -> str:
    """`passive x4+x4+x4+x4, x16 card, for M.2 or U.2`."""
    plug = choice.part.plug
    card = f"x{plug.width} card" if plug.width else plug.form
    forms = " or ".join(socket_name(form) for form in choice.forms)
    return f"{wired(choice.part)}, {card}, for {forms}"


def wired(part: Part) -> str:
    """`switch on x8`, `passive 4x4`, or where its links start if they leave gaps."""
    lanes = [link.lanes for link in part.links]
    if part.wiring == "switch":
        return f"switch on {segments_text(lanes)}"
    starts = [link.at for link in part.links]
    packed = [sum(lanes[:number]) for number in range(len(lanes))]
    where = "" if starts == packed else f" at lanes {' '.join(map(str, starts))}"
    return f"passive {segments_text(lanes)}{where}"
