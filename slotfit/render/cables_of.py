"""Every cable of a plan with both its ends, each under a letter to write on its flag."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from slotfit.render.nesting import Nesting
from slotfit.render.seat_words import link_words
from slotfit.render.view import SeatView, View


@dataclass(frozen=True, slots=True)
class CableView:
    """One cable, or one connection that needs a cable nobody has named."""

    letter: str
    machine: str
    item: str
    """The cable, or the further connection of a part."""
    named: bool
    """It is a part of its own."""
    from_item: str | None
    """The part it starts from; None: the board."""
    from_label: str
    to: tuple[str, ...]
    """Parts at its far ends; none yet if empty."""
    ends: tuple[str, ...]
    """The same in words."""
    link: str
    reach_mm: float | None

    @property
    def words(self) -> str:
        """`sas-cable, from hba port0 to expander, its up connector; SAS-3 x4; 800 mm`."""
        start = f"{self.from_item} {self.from_label}" if self.from_item else self.from_label
        name = f"{self.item}, " if self.named else ""
        reach = f"; {self.reach_mm:g} mm" if self.reach_mm else ""
        return (
            f"{name}from {start} to {' and '.join(self.ends) or 'nothing yet'}; {self.link}{reach}"
        )


def cables_of(view: View, nesting: Nesting) -> tuple[CableView, ...]:
    """In the order of the plan, A, B, ... Z, AA, ..."""
    found = [seat for seat in view.seats if is_cable(nesting, seat)]
    return tuple(cable_view(nesting, seat, letters(number)) for number, seat in enumerate(found))


def is_cable(nesting: Nesting, seat: SeatView) -> bool:
    """A cable, or a further plug of a part that sits at no cable's end."""
    if seat.part_class == "cable":
        return True
    holder = nesting.seat.get(seat.owner)
    return whole_of(seat) is not None and (holder is None or holder.part_class != "cable")


def whole_of(seat: SeatView) -> str | None:
    """The part whose further connection this is."""
    return seat.body.companion_of if seat.body else None


def cable_view(nesting: Nesting, seat: SeatView, letter: str) -> CableView:
    """One cable with its ends."""
    named = seat.part_class == "cable"
    far = [s for _, s in nesting.below(seat.item) if s] if named else [seat]
    on_board = seat.owner == seat.machine and seat.owner not in nesting.seat
    return CableView(
        letter=letter,
        machine=seat.machine,
        item=seat.item,
        named=named,
        from_item=None if on_board else seat.site.partition("/")[0],
        from_label=seat.label,
        to=tuple(whole_of(other) or other.item for other in far),
        ends=tuple(end_words(other) for other in far),
        link=link_of(seat, far),
        reach_mm=seat.body.reach_mm if seat.body else None,
    )


def end_words(seat: SeatView) -> str:
    """What is at a cable's end: a part, or one of its further connections."""
    whole = whole_of(seat)
    return f"{whole}, its {seat.item.partition(':')[2]} connector" if whole else seat.item


def link_of(seat: SeatView, far: list[SeatView]) -> str:
    """How what is at its ends trains; how many lanes it carries if nothing is."""
    return " and ".join(dict.fromkeys(link_words(other) for other in far)) or link_words(seat)


def letters(number: int) -> str:
    """
    A name of letters for a number.

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = ascii_uppercase[rest] + text
    return text
