"""Drives on the command line, and the sockets of the part that they go into."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.errors import Mistake
from slotfit.listing import counted
from slotfit.load.hints import known_names
from slotfit.load.items import items_of
from slotfit.load.report import error_of
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part, PartReceptacle
from slotfit.model.problem import Item
from slotfit.standards.forms import plug_fits

Given = Sequence[tuple[str | None, Part]]
"""Drives, each with its socket if one is named."""


def on_sockets(item: Item, drives: Given, taken: set[str]) -> Iterator[tuple[Item, str]]:
    """
    Each drive as an item, and the site it sits in.

    One drive without a socket goes into every free one that takes it; several go one by one.
    Raises InputError if there is no such socket, or none left.
    """
    sockets = [s for s in item.part.receptacles if s.form not in ("cooling-mount", "opening")]
    by_name = {name: drive for name, drive in drives if name is not None}
    loose = [drive for name, drive in drives if name is None]
    check_names(item, by_name, sockets, drives)
    free = [socket for socket in sockets if socket.id not in by_name]
    pairs = [(socket, by_name[socket.id]) for socket in sockets if socket.id in by_name]
    if len(loose) == 1:
        takers = [s for s in free if plug_fits(loose[0].plug.form, s.form)] or free
        pairs += [(socket, loose[0]) for socket in takers]
    else:
        pairs += zip(free, loose, strict=False)
    if len(loose) > len(free):
        text = f"{item.part.id} has room for {counted(len(free), 'more part')}, not {len(loose)}"
        raise error_of([Mistake("--with", "", text)])
    for socket, drive in sorted(pairs, key=lambda pair: sockets.index(pair[0])):
        yield drive_item(drive, socket, taken, alone=len(pairs) == 1), f"{item.id}/{socket.id}"


def check_names(
    item: Item, by_name: dict[str, Part], sockets: Sequence[PartReceptacle], drives: Given
) -> None:
    """Every socket that is named is there, and named once."""
    known = [socket.id for socket in sockets]
    mistakes = [
        Mistake("--with", "", f"{item.part.id} has no socket {name}{known_names(name, known)}")
        for name in by_name
        if name not in known
    ]
    if drives and not known:
        mistakes = [Mistake("--with", "", f"{item.part.id} has no socket to put anything in")]
    if len(by_name) < sum(name is not None for name, _ in drives):
        mistakes.append(Mistake("--with", "", "one socket is named twice"))
    if mistakes:
        raise error_of(mistakes)


def drive_item(drive: Part, socket: PartReceptacle, taken: set[str], *, alone: bool) -> Item:
    """A drive with no wishes, called after itself and, among several, its socket."""
    name = drive.id if alone else f"{drive.id}.{socket.id}"
    while name in taken:
        name += "+"
    taken.add(name)
    wish = BuildPart.model_construct(id=name, part=drive.id, required=False)
    return next(iter(items_of(wish, drive)))


MODULES = {"m2-bm": "m2-m", "m2-ae": "m2-e"}
"""Modules with two notches -> the key of the socket that carriers for them have."""


def with_sockets_for(part: Part, drives: Sequence[Part]) -> Part:
    """A passive carrier that was written without its sockets: one a link, made for the drives."""
    ends = [link for link in part.links if not link.to]
    if part.receptacles or part.wiring != "passive" or len(ends) != len(part.links) or not ends:
        return part
    forms = [drive.plug.form for drive in drives]
    form = MODULES.get(forms[0], forms[0])
    names = [f"socket{number}" for number in range(1, len(ends) + 1)]
    return part.model_copy(
        update={
            "receptacles": tuple(
                PartReceptacle.model_validate({"id": name, "form": form}) for name in names
            ),
            "links": tuple(
                link.model_copy(update={"to": (name,)})
                for link, name in zip(ends, names, strict=True)
            ),
        }
    )
