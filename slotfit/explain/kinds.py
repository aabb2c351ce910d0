"""The kinds of ways out, in the order in which people give things up most readily."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of change."""

    id: str
    title: str
    why: str
    """Why it stands where it stands in the order; our own judgement, common practice."""
    closed_by: tuple[str, ...] = ()
    """Words of `untouchable` that rule it out; a part's name always does."""


KINDS: tuple[Kind, ...] = (
    Kind("bracket", "the other bracket", "a few screws, and the part does all it did"),
    Kind("place", "a wish where a part goes", "a wish taken back costs nothing but the wish"),
    Kind("near", "a wish for a processor", "the part works, its traffic crosses the processors"),
    Kind("group", "parts together or apart", "all parts work; what the wish was for is lost"),
    Kind("machine", "the other machine", "all parts work, in another machine", ("machine",)),
    Kind("lanes", "fewer lanes, or slower ones", "the part works, with less bandwidth"),
    Kind("guest", "another guest", "the part works, for another owner"),
    Kind("endpoints", "fewer endpoints", "the part works in part"),
    Kind("more", "one part more", "a small thing to buy, nothing is given up", ("buy",)),
    Kind("other-part", "another kind of part", "a card to buy, nothing is given up", ("buy",)),
    Kind("supply", "another power supply", "to buy, and every cable with it", ("buy",)),
    Kind("processors", "one processor more", "to buy, with its cooler", ("buy", "processors")),
    Kind("leave-out", "one part less", "what it did is gone"),
    Kind("chassis", "another chassis", "everything moves into it", ("buy", "machine")),
    Kind("board", "another board", "everything moves onto it", ("buy", "board", "machine")),
)

RANK = {kind.id: number for number, kind in enumerate(KINDS)}
BY_ID = {kind.id: kind for kind in KINDS}
