"""A lane group with the processor and firmware that are fitted: which divisions there are."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product
from typing import Literal

from slotfit.model.board import Arrangement, Condition, Hub, LaneGroup, Width

Standing = Literal["met", "open", "unmet"]
"""Whether what a division needs is there; open: nobody has said."""

ANY = ".any"
"""In the id of what a group gives at least, whichever class of processor it is."""


def holds_for_any(arrangement: str) -> bool:
    """Whether an arrangement of that id is what a group gives whichever processor it is."""
    return arrangement.rpartition(".")[0].endswith(ANY)


MOST_COMBINED = 500
"""So many ways of combining divisions, one of each class, are looked at."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """What there is to choose from."""

    group: LaneGroup
    """With the divisions that are there or may be; the first is what the board does by itself."""
    withheld: tuple[Arrangement, ...] = ()
    """Divisions that need another processor or firmware."""


def fit(group: LaneGroup, classes: tuple[str, ...], firmware: str | None) -> Fitted:
    """
    The group with one of these classes in its socket and this firmware.

    Several classes: nobody has said which. Then what is common to all of them is a division of its
    own, and rests on nothing. A class of which the board says nothing gives nothing.
    """
    if all(way.needs is None for way in group.arrangements):
        return Fitted(group)
    standings = [(way, standing(way.needs, classes, firmware)) for way in group.arrangements]
    there = [way for way, now in standings if now == "met"]
    maybe = [way for way, now in standings if now == "open"]
    dark = [without_lanes(group, one) for one in classes if not serving(there, maybe, one)]
    if not classes and not there:
        dark = [without_lanes(group, None)]
    common = list(common_ways(group, classes, there, [*maybe, *dark]))
    only = dark if len(classes) <= 1 else []
    first_is_open = standings[0][1] != "met"
    ways = [*common, *there] if first_is_open else [*there, *common]
    ways += [*only, *maybe, *(one for one in dark if one not in only)]
    withheld = tuple(way for way, now in standings if now == "unmet")
    return Fitted(group.model_copy(update={"arrangements": tuple(ways)}), withheld)


def standing(needs: Condition | None, classes: Sequence[str], firmware: str | None) -> Standing:
    """Whether a condition holds."""
    parts = (by_class(needs, classes), by_firmware(needs, firmware))
    return "unmet" if "unmet" in parts else "open" if "open" in parts else "met"


def by_class(needs: Condition | None, classes: Sequence[str]) -> Standing:
    """As far as it asks for a class of processor; where none is named, nobody knows."""
    if needs is None or needs.processor is None:
        return "met"
    fitting = [one for one in classes if one in needs.processor]
    if len(fitting) == len(classes):
        return "met" if classes else "open"
    return "open" if fitting else "unmet"


def by_firmware(needs: Condition | None, firmware: str | None) -> Standing:
    """As far as it asks for a version."""
    if needs is None or needs.firmware is None:
        return "met"
    reached = None if firmware is None else at_least(firmware, needs.firmware)
    return "open" if reached is None else "met" if reached else "unmet"


def at_least(shown: str, needed: str) -> bool | None:
    """
    Whether a version is this one or a later one; None where the two are not told in one way.

    >>> at_least("2.10", "2.9"), at_least("1.40", "2.10"), at_least("2.10", "2.10.0")
    (True, False, True)
    >>> at_least("F12", "2.10"), at_least("2.10 beta", "2.10")
    (None, None)
    """
    mine, theirs = (re.findall(r"\d+|[a-z]+", text.lower()) for text in (shown, needed))
    length = max(len(mine), len(theirs))
    for one, other in zip(padded(mine, length), padded(theirs, length), strict=True):
        if one.isdigit() and other.isdigit():
            if int(one) != int(other):
                return int(one) > int(other)
        elif one != other:
            same_sort = len(one) == len(other) == 1 and one.isalpha() and other.isalpha()
            return one > other if same_sort else None
    return True


def uplinks(hub: Hub, classes: Sequence[str], firmware: str | None) -> tuple[Hub, ...]:
    """The hub with each uplink that it may have with one of these classes and this firmware."""
    found: list[Hub] = []
    for one in hub.uplinks:
        now = standing(one.needs, classes, firmware)
        if now != "unmet":
            link = {"generation": one.generation, "lanes": one.lanes}
            found.append(hub.model_copy(update=link))
        if now == "met":
            return tuple(found)
    return (*found, hub)


def padded(parts: list[str], length: int) -> list[str]:
    """With zeros behind."""
    return parts + ["0"] * (length - len(parts))


def serving(there: Sequence[Arrangement], maybe: Sequence[Arrangement], one: str) -> bool:
    """Whether some division is known for a class of processor, whatever firmware it needs."""
    return any(by_class(way.needs, [one]) == "met" for way in (*there, *maybe))


def without_lanes(group: LaneGroup, one: str | None) -> Arrangement:
    """Nothing for anybody, as of a class for which the board has no division."""
    names = dict.fromkeys(name for way in group.arrangements for name in way.gives)
    needs = Condition.model_construct(processor=(one,) if one else None, firmware=None)
    return Arrangement.model_construct(
        id=f"{group.id}.none.{one}" if one else f"{group.id}.none",
        gives=dict.fromkeys(names, ()),
        needs=needs if one else None,
        proof="documented",
        chosen_by="fixed",
    )


def common_ways(
    group: LaneGroup,
    classes: Sequence[str],
    there: Sequence[Arrangement],
    maybe: Sequence[Arrangement],
) -> Iterator[Arrangement]:
    """What the group gives at least, however it is divided with each of the classes."""
    if len(classes) < 2:
        return
    of_class = [
        [way for way in maybe if by_class(way.needs, [one]) == "met" and surely(way)]
        or [way for way in there if surely(way)]
        for one in classes
    ]
    if any(all(way in there for way in ways) for ways in of_class):
        return  # what is there for one class is there for all of them
    made: list[dict[str, tuple[Width, ...]]] = []
    for ways in islice(product(*of_class), MOST_COMBINED):
        way = in_common(f"{group.id}{ANY}.{len(made) + 1}", classes, ways, group)
        if way is not None and way.gives not in made:
            made.append(way.gives)
            yield way


def surely(way: Arrangement) -> bool:
    """Whether the class of the processor is all that is in doubt."""
    asks_firmware = way.needs is not None and way.needs.firmware is not None
    return way.proof != "refuted" and way.order == "known" and not asks_firmware


PROOFS = ("seen", "documented", "menu-only", None)
"""The surest first."""


def in_common(
    name: str, classes: Sequence[str], ways: Sequence[Arrangement], group: LaneGroup
) -> Arrangement | None:
    """What one division of each class gives at least; None where hands and slots differ."""
    receptacles = dict.fromkeys(one for way in ways for one in way.gives)
    gives = {one: at_least_given([way.gives.get(one, ()) for way in ways]) for one in receptacles}
    by = {way.chosen_by for way in ways}
    if "presence" in by and (len(by) > 1 or any(way.served != ways[0].served for way in ways)):
        return None
    if len({way.generation or group.generation for way in ways}) > 1:
        return None
    return ways[0].model_copy(
        update={
            "id": name,
            "gives": gives,
            "needs": None,
            "setting": settings_of(classes, ways),
            "proof": max((way.proof for way in ways), key=PROOFS.index),
            "chosen_by": by.pop() if len(by) == 1 else "setting",
        }
    )


def at_least_given(given: Sequence[tuple[Width, ...]]) -> tuple[Width, ...]:
    """
    Segments that begin at the same lane in all of them, each at its narrowest.

    >>> at_least_given([(16,), (8, 8)]), at_least_given([(4, 4, 4, 4), (4, 4, 8)])
    ((8,), (4, 4, 4))
    """
    common: list[Width] = []
    for widths in zip(*given, strict=False):
        if len(set(widths)) == 1:
            common.append(widths[0])
            continue
        lanes = [width for width in widths if isinstance(width, int)]
        return (*common, min(lanes)) if len(lanes) == len(widths) else tuple(common)
    return tuple(common)


def settings_of(classes: Sequence[str], ways: Sequence[Arrangement]) -> str | None:
    """What to choose in the menu: the same entry, or which one with which class."""
    entries = {way.setting for way in ways}
    if len(entries) == 1:
        return entries.pop()
    pairs = zip(classes, ways, strict=True)
    return " or ".join(f"{way.setting} with {one}" for one, way in pairs if way.setting)
