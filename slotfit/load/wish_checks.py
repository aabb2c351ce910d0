"""Wishes that the parts themselves can never fulfil."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slotfit.listing import counted
from slotfit.load.complaints import Complaints
from slotfit.model.build import Build, Group
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part
from slotfit.standards.forms import plug_fits

NOT_SEEN = ("cooling-mount", "opening")
"""Receptacles in which nothing comes alive."""


def check_wishes(build: Build, parts: Sequence[Part | None], found: Complaints) -> None:
    """Complain of more endpoints than there are, and of a carrier that is to share itself."""
    known: dict[str, Part] = {}
    for wish, part in zip(build.parts, parts, strict=True):
        if part is not None:
            known[wish.id] = part
            check_endpoints(wish, part, found)
    for group in build.together:
        if group.by == "carrier":
            check_carried(group, known, found)


def check_endpoints(wish: BuildPart, part: Part, found: Complaints) -> None:
    """No more are asked for than the part has."""
    sockets = [one for one in part.receptacles if one.form not in NOT_SEEN]
    has = len(sockets) if part.wiring != "passive" and sockets else len(part.links)
    if wish.endpoints is not None and wish.endpoints > has:
        text = f"{part.id} has {counted(has, 'endpoint')}; write {has} or less"
        found.add(wish, "endpoints", text)


def check_carried(group: Group, known: Mapping[str, Part], found: Complaints) -> None:
    """Who takes the others itself is not carried with them."""
    for number, name in enumerate(group.parts):
        others = [one for one in group.parts if one != name and takes(known, name, one)]
        if others:
            text = (
                f"{name} takes {others[0]} itself, so no carrier holds both; leave {name} out here "
                f"and write only: [{name}] at {others[0]}"
            )
            found.add(group, f"parts[{number}]", text)


def takes(known: Mapping[str, Part], name: str, other: str) -> bool:
    """Whether one part has a receptacle for the other."""
    if name not in known or other not in known:
        return False
    plug = known[other].plug.form
    return any(plug_fits(plug, one.form) for one in known[name].receptacles)
