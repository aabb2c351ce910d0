"""Parts given by their names, files or words, and the sockets that they go into."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.check.question import is_lane_socket
from slotfit.errors import Mistake
from slotfit.listing import counted
from slotfit.load.build_file import parts_of
from slotfit.load.catalog import Catalog
from slotfit.load.entities import read_inline
from slotfit.load.findings import error_of
from slotfit.load.words import known_names
from slotfit.model.build import BuildPart
from slotfit.model.part import PartReceptacle, PartSpec
from slotfit.model.problem import Part
from slotfit.standards.forms import plug_fits

Given = Sequence[tuple[str | None, PartSpec]]
"""Drives, each with its socket if one is named."""


def on_sockets(part: Part, drives: Given, taken: set[str]) -> Iterator[tuple[Part, str]]:
    """
    Each drive as a part, and the receptacle it sits in.

    One drive without a socket goes into every free one that takes it; several go one by one, each
    into the first that takes it. Raises InputError if there is no such socket, or none left.
    """
    sockets = part.spec.receptacles
    by_name = {name: drive for name, drive in drives if name is not None}
    loose = [drive for name, drive in drives if name is None]
    check_names(part, by_name, sockets, drives)
    free = [socket for socket in sockets if socket.id not in by_name]
    pairs = [(socket, by_name[socket.id]) for socket in sockets if socket.id in by_name]
    room = len(free)
    for drive in loose:
        takers = takers_of(drive, part.spec, free)
        if not takers:
            text = f"{part.spec.id} has room for {counted(room, 'more part')}, not {len(loose)}"
            if len(loose) <= room:
                text = f"no free socket of {part.spec.id} takes {drive.id}"
            raise error_of([Mistake("--with", "", text)])
        for socket in takers if len(loose) == 1 else takers[:1]:
            pairs.append((socket, drive))
            free.remove(socket)
    for socket, drive in sorted(pairs, key=lambda pair: sockets.index(pair[0])):
        name = drive.id if len(pairs) == 1 else f"{drive.id}.{socket.id}"
        while name in taken:
            name += "+"
        taken.add(name)
        yield plain_part(drive, name), f"{part.id}/{socket.id}"


def takers_of(
    drive: PartSpec, carrier: PartSpec, free: Sequence[PartReceptacle]
) -> list[PartReceptacle]:
    """Free receptacles that take the drive; those for lanes if none does, to say why not."""
    takers = [one for one in free if plug_fits(drive.plug.form, one.form)]
    return takers or [one for one in free if is_lane_socket(carrier, one.id)]


def check_names(
    part: Part, by_name: dict[str, PartSpec], sockets: Sequence[PartReceptacle], drives: Given
) -> None:
    """Every socket that is named is there, and named once."""
    known = [socket.id for socket in sockets]
    mistakes = [
        Mistake("--with", "", f"{part.spec.id} has no socket {name}{known_names(name, known)}")
        for name in by_name
        if name not in known
    ]
    if drives and not known:
        mistakes = [Mistake("--with", "", f"{part.spec.id} has no socket to put anything in")]
    if len(by_name) < sum(name is not None for name, _ in drives):
        mistakes.append(Mistake("--with", "", "one socket is named twice"))
    if mistakes:
        raise error_of(mistakes)


def plain_part(spec: PartSpec, name: str) -> Part:
    """A part as a part with no wishes; its further plugs are left aside."""
    wish = BuildPart.model_construct(id=name, part=spec.id, required=False)
    return next(iter(parts_of(wish, spec)))


MODULES = {"m2-bm": "m2-m", "m2-ae": "m2-e"}
"""Modules with two notches -> the key of the socket that carriers for them have."""


def with_sockets_for(spec: PartSpec, drives: Sequence[PartSpec]) -> PartSpec:
    """A passive carrier that was written without its sockets: one a link, made for the drives."""
    ends = [link for link in spec.links if not link.to]
    if spec.receptacles or spec.wiring != "passive" or len(ends) != len(spec.links) or not ends:
        return spec
    forms = [drive.plug.form for drive in drives]
    form = MODULES.get(forms[0], forms[0])
    names = [f"socket{number}" for number in range(1, len(ends) + 1)]
    return spec.model_copy(
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


INLINE = "the part given"
"""What messages call a part that is written on the command line."""


def part_given(
    argument: str, catalog: Catalog, drives: Sequence[tuple[str | None, PartSpec]] = ()
) -> PartSpec:
    """
    What an argument stands for: a catalog id, a file, or a part written out in YAML.

    `plug: cem x16, links: 4x4` needs neither braces nor an id, nor sockets where `drives` are named
    that go into them. Raises InputError.
    """
    if not is_written_out(argument):
        return catalog.load(argument, PartSpec)
    text = argument.strip()
    if "\n" not in text and not text.startswith("{"):
        text = "{" + text + "}"
    spec = read_inline(with_id(text), PartSpec, INLINE)
    return with_sockets_for(spec, [drive for _, drive in drives]) if drives else spec


def is_written_out(argument: str) -> bool:
    """Ids and paths hold no colon before a space; YAML does."""
    return ": " in argument or argument.lstrip().startswith("{") or "\n" in argument


def with_id(text: str) -> str:
    """The same YAML with an id, if it has none."""
    keys = (line.strip().lstrip("{").strip() for line in text.replace(",", "\n").split("\n"))
    if any(key.startswith("id:") for key in keys):
        return text
    return "{id: part, " + text[1:] if text.startswith("{") else f"id: part\n{text}"


def every_drive(given: Sequence[str], catalog: Catalog) -> Iterator[tuple[str | None, PartSpec]]:
    """`socket=DRIVE` names the socket; `DRIVE` alone leaves it open."""
    for one in given:
        socket, equals, drive = one.partition("=")
        if equals and not is_written_out(socket):
            yield socket.strip(), part_given(drive, catalog)
        else:
            yield None, part_given(one, catalog)
