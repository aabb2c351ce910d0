"""What cannot be, however unlikely things are allowed to be: no plan and no verdict rests on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from slotfit.errors import Mistake
from slotfit.listing import listed
from slotfit.load.checks import Complaints
from slotfit.load.yaml_file import Written
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec, Power
from slotfit.model.spread import spreads
from slotfit.standards.power import ATX, plugs_w

CHOSEN = ("setting", "jumper")
"""Ways to pick a division that somebody has to do, and that do one thing."""


def impossible_power(part: PartSpec, written: Written) -> list[Mistake]:
    """Watts through plugs that a part does not have, or that they do not carry."""
    found, power = Complaints(written), part.power
    if power is None:
        return []
    impossible_moments(part, power, found)
    away = plugs_w(power.aux_away or ())
    if power.aux_away and part.draw_w > away:
        text = f"it draws {part.draw_w:g} W and these plugs carry {away:g} W ({ATX})"
        found.add(power, "aux_away", text)
    if not power.aux_w:
        return found.mistakes
    carried = plugs_w(power.aux)
    if not power.aux:
        text = f"{power.aux_w:g} W come through plugs, and none is listed; add `aux`, such as "
        found.add(power, "aux_w", text + "[pcie-8], or write them in `slot_w`")
    elif power.aux_w > carried:
        plugs = listed(f"{power.aux.count(one)} x {one}" for one in power.aux)
        text = f"{power.aux_w:g} W through plugs that carry {carried:g} W ({plugs}, {ATX}); "
        found.add(power, "aux_w", text + "write all plugs in `aux`, or the watts of these")
    return found.mistakes


def impossible_spread(part: PartSpec, written: Written) -> list[Mistake]:
    """What is typical of a class is less than the worst of it."""
    found = Complaints(written)
    for entity, field, figure in spreads(part):
        if figure.typical >= figure:
            text = f"typical {figure.typical:g} is not below worst {figure:g}; "
            found.add(entity, field, text + "write the worst seen as `worst`, or one figure alone")
    return found.mistakes


def impossible_moments(part: PartSpec, power: Power, found: Complaints) -> None:
    """At rest no more than at work, at start and at a peak no less, on smaller rails no more."""
    draw_w = part.draw_w
    for name in ("start_w", "peak_w"):
        watts = getattr(power, name)
        if watts is not None and watts < draw_w:
            found.add(power, name, f"{watts:g} W, and it draws {draw_w:g} W at work")
    if part.is_draw_said and power.idle_w is not None and power.idle_w > draw_w:
        found.add(power, "idle_w", f"{power.idle_w:g} W at rest, and {draw_w:g} W at work")
    rails = sum((power.rails_w or {}).values())
    if power.aux_w is not None and rails > power.aux_w:
        text = f"{rails:g} W from smaller rails, and {power.aux_w:g} W through all plugs"
        found.add(power, "rails_w", text)


def impossible_supply(supply: PowerSupply, written: Written) -> list[Mistake]:
    """Watts for a moment are no less than those for long, those at 115 V no more."""
    found = Complaints(written)
    for name in ("start_w", "peak_w"):
        watts = getattr(supply, name)
        if watts is not None and watts < supply.watts:
            found.add(supply, name, f"{watts:g} W for a moment, and {supply.watts:g} W for long")
    if supply.low_line_w is not None and supply.low_line_w > supply.watts:
        text = f"{supply.low_line_w:g} W at 100 to 127 V, and {supply.watts:g} W at most"
        found.add(supply, "low_line_w", text)
    impossible_cables(supply, found)
    return found.mistakes


def impossible_cables(supply: PowerSupply, found: Complaints) -> None:
    """Cables have no more plugs than the supply."""
    if supply.cables and supply.plugs is None:
        found.add(supply, "cables", "how many plugs there are is not said; add `plugs`")
        return
    left = Counter[str](supply.plugs)
    for cable in supply.cables or ():
        for plug, count in cable.plugs.items():
            left[plug] -= count * cable.count
            if left[plug] < 0:
                have = (supply.plugs or {}).get(plug, 0)
                text = f"the cables have {have - left[plug]} {plug} plugs up to here, and `plugs` "
                found.add(cable, f"plugs.{plug}", f"{text}says {have}; correct one of them")
                left[plug] = 0


def impossible_chassis(chassis: Chassis, written: Written) -> list[Mistake]:
    """Room in line with an opening that is not there, or told twice."""
    found, told = Complaints(written), set[int]()
    places = [(one.id, place) for place in chassis.places for one in place.spelled_out()]
    found.unique(places, "places")
    for one in chassis.room_at:
        for number, place in enumerate(one.at):
            if chassis.openings is not None and place >= chassis.openings:
                text = f"there is no opening {place}: the first of {chassis.openings} is 0"
                found.add(one, f"at[{number}]", text)
            elif place in told:
                text = f"the room at opening {place} is told twice; leave one out"
                found.add(one, f"at[{number}]", text)
            told.add(place)
    return found.mistakes


def impossible_menu(board: Board, written: Written) -> list[Mistake]:
    """One menu entry that does two things; `board` as it is written."""
    found = Complaints(written)
    for entries in menus(board):
        first: dict[str, object] = {}
        for entity, setting, does in entries:
            if first.setdefault(setting, does) != does:
                text = f"{setting!r} divides the same lanes otherwise above: one entry does one "
                found.add(entity, "setting", f"{text}thing; write the menu's words for each")
    return found.mistakes


Entry = tuple[Entity, str, object]
"""Where an entry is written, its words, what it does."""


def menus(board: Board) -> Iterator[list[Entry]]:
    """The entries of each lane group, spelled out or in short form."""
    for group in board.lane_groups:
        yield [
            (way, way.setting, way.gives)
            for way in group.arrangements
            if way.setting and way.chosen_by in CHOSEN and way.order == "known"
        ]
    for one in board.receptacles:
        yield [
            (split, split.setting, split.split)
            for split in one.splits or ()
            if split.setting and split.chosen_by in CHOSEN
        ]
