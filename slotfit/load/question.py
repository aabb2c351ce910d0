"""What a command line asks about a part and a board, as a question."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.check.question import Question, sites_of
from slotfit.errors import Mistake
from slotfit.load.catalog import Catalog
from slotfit.load.hints import known_names, listed
from slotfit.load.items import items_of, sites_on
from slotfit.load.report import error_of
from slotfit.load.sockets import on_sockets, with_sockets_for
from slotfit.load.whole import read_inline
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Site

INLINE = "the part given"
"""What messages call a part that is written on the command line."""


def question_of(
    machine: Problem,
    part: Part,
    drives: Sequence[tuple[str | None, Part]] = (),
    slot: str | None = None,
) -> Question:
    """
    A part, with drives in its sockets, held to the receptacles of a machine.

    `machine` holds what sits there today. Raises InputError for a socket or slot that is not there.
    """
    taken = {item.id for item in machine.items}
    asked = item_for(part, taken)
    placed = tuple(on_sockets(asked, drives, {*taken, asked.id}))
    plugs = tuple(plug.id for plug in part.extra_plugs)
    return held_to(machine, asked, placed, slot)._replace(unconnected=plugs)


def held_to(
    machine: Problem,
    asked: Item,
    placed: Sequence[tuple[Item, str]],
    slot: str | None,
    sat_in: str | None = None,
) -> Question:
    """The question about an item and what sits on it, each of that with its site."""
    fresh = [asked, *(item for item, _ in placed)]
    problem = replace(
        machine,
        items=(*machine.items, *fresh),
        sites=(*machine.sites, *(site for item in fresh for site in sites_on(item))),
    )
    sites = sites_of(problem, {item.id for item in fresh})
    return Question(
        problem,
        asked.id,
        tuple(site.id for site in (sites if slot is None else [named(slot, sites)])),
        drives={item.id: site for item, site in placed},
        today=machine.today,
        sat_in=sat_in,
    )


def item_for(part: Part, taken: set[str], name: str | None = None) -> Item:
    """A part as an item with no wishes; its further plugs are left aside."""
    called = free_name(name or part.id, taken)
    wish = BuildPart.model_construct(id=called, part=part.id, required=False)
    return next(iter(items_of(wish, part)))


def free_name(name: str, taken: set[str]) -> str:
    """The name, or the next that nothing else has."""
    numbered = (f"{name}-{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (name, *numbered) if one not in taken)


def item_named(name: str, problem: Problem) -> str:
    """A part of a build by its id. Raises InputError."""
    if name in problem.item:
        return name
    several = [item.id for item in problem.items if item.id.startswith(f"{name}-")]
    if several:
        text = f"which of several? write {listed(several)}"
    else:
        text = f"there is no part {name}{known_names(name, problem.item)}"
    raise error_of([Mistake("PART", "", text)])


def named(slot: str, sites: Sequence[Site], argument: str = "--slot") -> Site:
    """The receptacle a name means: its id, its place in a build, or the name printed beside it."""
    for spelt in (by_id, by_label):
        found = [site for site in sites if spelt(site, slot)]
        if len(found) == 1:
            return found[0]
        if found:
            ways = listed(site.id for site in found)
            raise error_of([Mistake(argument, "", f"{slot} is in several places; write {ways}")])
    hint = known_names(slot, [site.id for site in sites])
    raise error_of([Mistake(argument, "", f"there is no receptacle {slot}{hint}")])


def by_id(site: Site, name: str) -> bool:
    return name in (site.id, site.receptacle.id)


def by_label(site: Site, name: str) -> bool:
    printed = (site.receptacle.label or "", site.id, site.receptacle.id)
    return name.lower() in (one.lower() for one in printed)


def part_given(
    argument: str, catalog: Catalog, drives: Sequence[tuple[str | None, Part]] = ()
) -> Part:
    """
    What an argument stands for: a catalog id, a file, or a part written out in YAML.

    `plug: cem x16, links: 4x4` needs neither braces nor an id, nor sockets where `drives` are named
    that go into them. Raises InputError.
    """
    if not is_written_out(argument):
        return catalog.load(argument, Part)
    text = argument.strip()
    if "\n" not in text and not text.startswith("{"):
        text = "{" + text + "}"
    part = read_inline(with_id(text), Part, INLINE)
    return with_sockets_for(part, [drive for _, drive in drives]) if drives else part


def is_written_out(argument: str) -> bool:
    """Ids and paths hold no colon before a space; YAML does."""
    return ": " in argument or argument.lstrip().startswith("{") or "\n" in argument


def with_id(text: str) -> str:
    """The same YAML with an id, if it has none."""
    keys = (line.strip().lstrip("{").strip() for line in text.replace(",", "\n").split("\n"))
    if any(key.startswith("id:") for key in keys):
        return text
    return "{id: part, " + text[1:] if text.startswith("{") else f"id: part\n{text}"


def every_drive(given: Sequence[str], catalog: Catalog) -> Iterator[tuple[str | None, Part]]:
    """`socket=DRIVE` names the socket; `DRIVE` alone leaves it open."""
    for one in given:
        socket, equals, drive = one.partition("=")
        if equals and not is_written_out(socket):
            yield socket.strip(), part_given(drive, catalog)
        else:
            yield None, part_given(one, catalog)
