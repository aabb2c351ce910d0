"""The parts of a build one by one: counted ones numbered, extra plugs as items of their own."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.build_part import BuildPart
from slotfit.model.part import Demand, ExtraPlug, Part, Power
from slotfit.model.problem import Item, Site


def item_ids(wish: BuildPart) -> tuple[str, ...]:
    """
    What the items of one entry are called.

    >>> item_ids(BuildPart(id="ssd", part="nvme", count=2)), item_ids(BuildPart(id="hba", part="x"))
    (('ssd-1', 'ssd-2'), ('hba',))
    """
    if wish.count == 1:
        return (wish.id,)
    return tuple(f"{wish.id}-{number}" for number in range(1, wish.count + 1))


def items_of(wish: BuildPart, part: Part) -> Iterator[Item]:
    """
    The items of one entry, each followed by one companion for each extra plug.

    A companion `item:plug` is a part with that plug and its links alone. Receptacles that the plug
    feeds are the companion's, so that their lanes come through it; the body, the power and the
    wishes stay with the item. Demand goes with the lanes: to the first companion if the item itself
    has no links.
    """
    fed = {name for plug in part.extra_plugs for name in plug.feeds}
    own = tuple(one for one in part.receptacles if one.id not in fed)
    carries_demand = bool(part.links) or not part.extra_plugs
    for name in item_ids(wish):
        main = part.model_copy(
            update={
                "receptacles": own,
                "extra_plugs": (),
                "demand": part.demand if carries_demand else None,
            }
        )
        yield Item(name, main, without_demand(wish, name, carries=carries_demand))
        for number, plug in enumerate(part.extra_plugs):
            carries = not carries_demand and number == 0
            companion = companion_part(part, plug, carries=carries)
            asked = companion_wish(wish, name, plug, carries)
            joins = f"{name}:{plug.joins}" if plug.joins else None
            yield Item(f"{name}:{plug.id}", companion, asked, name, joins)


def without_demand(wish: BuildPart, name: str, *, carries: bool) -> BuildPart:
    kept = wish.demand if carries else None
    return wish.model_copy(update={"id": name, "count": 1, "demand": kept})


def companion_part(part: Part, plug: ExtraPlug, *, carries: bool) -> Part:
    """A part without a body: a connector and what hangs on it."""
    return part.model_copy(
        update={
            "id": f"{part.id}:{plug.id}",
            "plug": plug.plug,
            "links": plug.links,
            "generation": plug.generation or part.generation,
            "receptacles": tuple(one for one in part.receptacles if one.id in plug.feeds),
            "extra_plugs": (),
            # What a wide port moves is counted at the plug that the others join.
            "demand": Demand() if plug.joins else part.demand if carries else None,
            **NO_BODY,
        }
    )


NO_BODY = {
    "min_lanes": None,
    "min_generation": None,
    "thickness": None,
    "length_mm": None,
    "height_mm": None,
    "bracket": "none",
    "power": Power.model_construct(slot_w=0, aux_w=0),
    "cooling": "none",
    "airflow_lfm": None,
    "gives_airflow_lfm": None,
    "weight_kg": None,
    "bay": None,
    "recognise": (),
    "price": None,
}
"""What a companion does not have: it is all counted with the item itself."""


def companion_wish(wish: BuildPart, name: str, plug: ExtraPlug, carries: bool) -> BuildPart:
    """Placed or left out with its item, in the same machine; where it goes is free."""
    made = BuildPart.model_construct(
        id=f"{name}:{plug.id}",
        part=wish.part,
        required=wish.required,
        weight=wish.weight,
        machine=wish.machine,
        demand=wish.demand if carries else None,
    )
    if span := wish.span():
        made.marks[""] = span
    return made


def sites_on(item: Item) -> Iterator[Site]:
    """The receptacles of one item; those of a companion are named for the item it belongs to."""
    name = item.body
    for receptacle in item.part.receptacles:
        yield Site(f"{name}/{receptacle.id}", item.id, False, receptacle)
