"""What only the whole of a part can tell: lanes its plug lacks, links that lead nowhere."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.errors import Mistake
from slotfit.listing import counted
from slotfit.load.complaints import Complaints
from slotfit.load.connector_checks import check_form
from slotfit.load.hints import listed
from slotfit.load.written import Written
from slotfit.model.part import ExtraPlug, Link, Part, PartReceptacle, Plug
from slotfit.standards.forms import PLUG_FORMS
from slotfit.standards.pcie import LEGAL_WIDTHS


def part_mistakes(
    part: Part, written: Written, lost: frozenset[str] = frozenset()
) -> list[Mistake]:
    """Everything wrong with a part (as `finish` left it) beyond its single fields."""
    found = Complaints(written, lost)
    found.unique([(one.id, one) for one in part.receptacles], "receptacles")
    found.unique([(plug.id, plug) for plug in part.extra_plugs], "extra plugs")
    for owner in plugs_of(part):
        check_links(owner, found)
    for receptacle in part.receptacles:
        check_form(receptacle, found)
    check_targets(part, found)
    check_wiring(part, found)
    check_feeds(part, found)
    check_joins(part, found)
    check_positions(part, found)
    return found.mistakes


def plug_lanes(plug: Plug) -> int | None:
    """Lanes of the plug; None if neither file nor form says."""
    if plug.width is not None:
        return plug.width
    made = PLUG_FORMS[plug.form].lanes
    return made[0] if len(made) == 1 else None


def plugs_of(part: Part) -> tuple[Part | ExtraPlug, ...]:
    """The part itself, for its main plug, and its extra plugs."""
    return (part, *part.extra_plugs)


def check_links(owner: Part | ExtraPlug, found: Complaints) -> None:
    """Links lie side by side within the plug."""
    lanes = plug_lanes(owner.plug)
    end, before = 0, ""
    for number, link in sorted(enumerate(owner.links), key=lambda pair: pair[1].at):
        path = f"links[{number}]"
        if link.bus == "pcie" and link.lanes not in LEGAL_WIDTHS:
            found.add(owner, path, f"no link is {link.lanes} lanes wide")
        if link.at < end:
            found.add(owner, path, f"begins at lane {link.at}, and {before} goes to lane {end - 1}")
        if lanes is not None and link.at + link.lanes > lanes:
            last = link.at + link.lanes - 1
            found.add(owner, path, f"needs lane {last}, and the plug has lanes 0 to {lanes - 1}")
        end, before = max(end, link.at + link.lanes), path


def check_targets(part: Part, found: Complaints) -> None:
    """`to` names receptacles of this part, each once, and only where lanes are wired through."""
    known = {one.id for one in part.receptacles}
    for owner in plugs_of(part):
        for link in owner.links:
            if link.to and part.wiring != "passive":
                text = f"a {part.wiring} serves all its receptacles; leave out `to`"
                found.add(link, "to", text)
                continue
            for name in link.to:
                found.name(link, "to", name, known, "receptacle")


def check_wiring(part: Part, found: Complaints) -> None:
    """A switch or controller has one link up; passive links must say where they lead."""
    fed = {name for plug in part.extra_plugs for name in plug.feeds}
    own = [one for one in part.receptacles if one.id not in fed]
    if part.wiring == "passive":
        check_spread(part, own, found)
        return
    if own and len(part.links) != 1:
        text = f"a {part.wiring} has one link up, and this one has {len(part.links)}"
        found.add(part, "links", text)


def check_spread(part: Part, own: Sequence[PartReceptacle], found: Complaints) -> None:
    """`finish` leads links to receptacles where their numbers agree; else the file must say."""
    served = served_by(part.links, own)
    if not served or any(link.to for link in part.links):
        return
    names = listed((one.id for one in served), "and")
    text = (
        f"{counted(len(part.links), 'link')} for {counted(len(served), 'receptacle')} ({names}); "
        f"write which leads where: [{{at: 0, lanes: 4, to: [{served[0].id}]}}, ...]"
    )
    found.add(part, "links", text)


def served_by(links: Sequence[Link], own: Sequence[PartReceptacle]) -> list[PartReceptacle]:
    """Receptacles that passive links could lead to: those of the same bus."""
    buses = {link.bus for link in links}
    return [one for one in own if one.bus in buses and PLUG_FORMS[one.form].buses]


def check_feeds(part: Part, found: Complaints) -> None:
    known = {one.id for one in part.receptacles}
    feeder: dict[str, ExtraPlug] = {}
    for plug in part.extra_plugs:
        for number, name in enumerate(plug.feeds):
            path = f"feeds[{number}]"
            if not found.name(plug, path, name, known, "receptacle"):
                continue
            if (first := feeder.setdefault(name, plug)) is not plug:
                found.add(plug, path, f"{name} is fed by {first.id} already")
        if plug.feeds and part.wiring != "passive" and len(plug.links) != 1:
            text = f"a {part.wiring} has one link up, and this plug has {len(plug.links)}"
            found.add(plug, "links", text)
    for link in part.links:
        for name in set(link.to) & feeder.keys():
            text = f"{name} is fed by the plug {feeder[name].id} already"
            found.add(link, "to", text)


def check_joins(part: Part, found: Complaints) -> None:
    """A plug joins another one that stands by itself, and feeds nothing of its own."""
    others = {plug.id: plug for plug in part.extra_plugs}
    for plug in part.extra_plugs:
        if plug.joins is None:
            continue
        known = {name for name, other in others.items() if other is not plug and not other.joins}
        found.name(plug, "joins", plug.joins, known, "other plug that joins none")
        if plug.feeds:
            found.add(plug, "feeds", f"what a wide port feeds is said of {plug.joins}")


def check_positions(part: Part, found: Complaints) -> None:
    """Slots of a riser lie within its row, one a position."""
    first: dict[tuple[str, int], PartReceptacle] = {}
    for one in part.receptacles:
        if one.row is None:
            continue
        if part.row_positions is not None and one.position >= part.row_positions:
            text = f"the part has positions 0 to {part.row_positions - 1}"
            found.add(one, "position", text)
        other = first.setdefault((one.row, one.position), one)
        if one.form == "cem" and other is not one:
            found.add(one, "position", f"{other.id} is at position {one.position} already")
